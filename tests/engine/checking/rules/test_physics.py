"""Comparisons with the solved machine, told as problems."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from crankpath.engine.checking.checks import check_knowledge
from crankpath.engine.checking.rules.physics import problems_from_physics
from crankpath.engine.inference.expected import Expected
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.engine.trials.physics_check import Comparison

Laid = Callable[..., Knowledge]


def compared(bits: float, machines: int = 100, rule: str | None = "slight_shows") -> Comparison:
    origin = Origin("base.yaml", 7, 3)
    read, rule_reads = Expected(0.01, 0.02, 0.05, nothing=0.2), Expected(0.4, 1.5, 4.0)
    return Comparison(
        "joint", "slight", "joint_drop", machines, bits, rule, origin, read=read, rule_reads=rule_reads
    )


def test_a_rule_that_agrees_is_fine(laid: Laid) -> None:
    assert list(problems_from_physics(laid(), [compared(0.1)])) == []


def test_a_rule_that_misleads_is_told_with_what_was_seen(laid: Laid) -> None:
    (problem,) = problems_from_physics(laid(), [compared(2.0)])
    assert problem.entry == "rules/slight_shows"
    assert problem.origin.line == 7
    assert problem.message == (
        "rule slight_shows expects of joint (slight) in joint_drop 0.4 to 4 V; "
        "the solved machine reads 0.01 to 0.05 V, nothing in 20% of 100"
    )


def test_few_machines_prove_nothing(laid: Laid) -> None:
    assert list(problems_from_physics(laid(), [compared(2.0, machines=5)])) == []


def test_where_no_rule_speaks_the_healthy_reading_is_at_fault(laid: Laid) -> None:
    (problem,) = problems_from_physics(laid(), [compared(2.0, rule=None)])
    assert problem.entry == "measurements/joint_drop"
    assert problem.message.startswith("the healthy reading expects")


def test_of_an_observation_the_value_seen_most_is_told(laid: Laid) -> None:
    seen = replace(compared(2.0), measurement="behaviour", read=None, rule_reads=None,
                   bands=("normal", "slow"), seen=(0.8, 0.2), expected=(0.05, 0.95))  # fmt: skip
    (problem,) = problems_from_physics(laid(), [seen])
    assert problem.message.endswith("'normal' with 5%; the solved machine shows it in 80% of 100")


def test_comparisons_join_the_other_checks_and_can_be_silenced(laid: Laid) -> None:
    assert [p.check for p in check_knowledge(laid(), [compared(2.0)])] == ["physics"]
    silence = "silence: {physics: {entries: [slight_shows], because: the model has no splice}}\n"
    assert check_knowledge(laid(silence), [compared(2.0)]) == ()
