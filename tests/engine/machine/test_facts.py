"""Forward chaining: to a fixed point, with a trace, whatever the order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import permutations
from pathlib import Path

import pytest

from crankpath.engine.errors import KnowledgeError
from crankpath.engine.knowledge.condition import All, Condition, Facts, FactValue, Is, Known, NoneOf
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import FactRule, Knowledge, Origin, Selector
from crankpath.engine.machine.facts import Deduction, deduce, fires

HERE = Origin("facts.yaml", 3, 1)


def rule(name: str, when: Condition, then: Mapping[str, object] | None = None, **more: object) -> FactRule:
    fields = dict.fromkeys(FactRule.__dataclass_fields__, None) | {
        "id": name, "when": when, "unless": None, "then": then or {}, "caution": (), "warn": None,
        "distrust": (), "pointless": None, "unsafe": None, "because": "", "sources": (), "origin": HERE,
    }  # fmt: skip
    return FactRule(**(fields | more))


@pytest.fixture(scope="module")
def tiny() -> Knowledge:
    return load_knowledge(Path(__file__).parents[1] / "data" / "tiny", shipped=False)


def deduced(tiny: Knowledge, given: Mapping[str, FactValue], *rules: FactRule) -> Deduction:
    base = replace(tiny, facts={r.id: r for r in rules})
    return deduce(base, given, lambda name, value, facts: str(value))


A, B = rule("a", Is("x", (1,)), {"y": "one"}), rule("b", Is("y", ("one",)), {"z": Formula.parse("x + 1")})


def test_rules_chain_whatever_their_order_and_each_fact_remembers_its_rule(tiny: Knowledge) -> None:
    for order in permutations((A, B)):
        found = deduced(tiny, {"x": 1}, *order)
        assert found.facts.values == {"x": 1, "y": "one", "z": 2}
        assert {d.name: (d.rule, d.grounds) for d in found.trace} == {"y": ("a", ("x",)), "z": ("b", ("y",))}


def test_what_was_given_stands_against_any_rule(tiny: Knowledge) -> None:
    assert deduced(tiny, {"x": 1, "y": "two"}, A, B).facts.values == {"x": 1, "y": "two"}


def test_an_unknown_condition_does_not_fire_and_an_unknown_exception_does_not_stop(tiny: Knowledge) -> None:
    careful = rule("c", Is("x", (1,)), {"y": 1}, unless=Is("w", (1,)))
    facts = Facts({"x": 1}, {})
    assert fires(careful, facts)
    assert not fires(careful, Facts({"x": 1, "w": 1}, {}))
    assert not fires(careful, Facts({"w": 2}, {}))


def test_a_formula_with_a_missing_number_concludes_nothing(tiny: Knowledge) -> None:
    lacking = rule("d", Is("x", (1,)), {"y": Formula.parse("x / amps")})
    assert "y" not in deduced(tiny, {"x": 1}, lacking).facts.values
    assert deduced(tiny, {"x": 1, "amps": 2}, lacking).facts.values["y"] == 0.5


def test_rules_that_undo_each_other_are_an_error_that_names_them(tiny: Knowledge) -> None:
    circle = rule("undoes_itself", Is("x", (1,)), {"y": 1}, unless=Known("y"))
    with pytest.raises(KnowledgeError, match=r"undoes_itself \(facts.yaml:3"):
        deduced(tiny, {"x": 1}, circle)


def test_warnings_cautions_and_what_not_to_read_name_their_rule(tiny: Knowledge) -> None:
    says = rule(
        "says", Is("crank_behaviour", ("silent",)), warn="No current.", caution=("cranks",),
        distrust=("positive_leg_drop",), pointless=Selector(("crank_behaviour",), ()),
        unsafe=Selector((), ("loaded_drop",)),
    )  # fmt: skip
    found = deduced(tiny, {"crank_behaviour": "silent", "positive_leg_drop": 0.0}, says)
    assert [(w.rule, w.text) for w in found.warnings] == [("says", "No current.")]
    assert [(c.rule, c.text) for c in found.cautions] == [("says", "cranks")]
    assert found.distrusted == {"positive_leg_drop": "says"}
    assert found.pointless == {"crank_behaviour": "says"}
    assert found.unsafe == {"positive_leg_drop": "says"}
    unread = deduced(tiny, {"crank_behaviour": "silent"}, says)
    assert unread.distrusted == {}  # nothing was read there that could be distrusted


def test_the_same_sentence_is_said_once(tiny: Knowledge) -> None:
    twice = [rule(name, Known("x"), warn="Once.") for name in ("e", "f")]
    assert len(deduced(tiny, {"x": 1}, *twice).warnings) == 1


@pytest.mark.parametrize(
    ("given", "current"),
    [
        ({"crank_behaviour": "slow"}, "flows"),
        ({"crank_behaviour": "silent"}, "absent"),
        ({"crank_behaviour": "silent", "crank_current": 400.0}, "flows"),
        ({"crank_behaviour": "slow", "crank_current": 0.0}, "absent"),
        ({"crank_behaviour": "single_click"}, None),
        ({"crank_behaviour": "single_click", "start_terminal_voltage": 0.0}, "absent"),
    ],
)
def test_whether_current_flows_follows_from_what_was_seen_and_read(
    kb: Knowledge, given: dict[str, FactValue], current: str | None
) -> None:
    from crankpath.engine import Case

    case = Case(kb)
    for name, value in given.items():
        case.record(name, value)
    assert case.assessment.now.facts.values.get("main_current") == current


def test_a_leg_in_ohm_is_its_drop_over_the_current_of_the_crank(kb: Knowledge) -> None:
    from crankpath.engine import Case

    case = Case(kb)
    case.record("positive_leg_drop", "0.5 V")
    case.record("crank_current", "500 A")
    # TM 5-2420-230-24-2 p. 13-23: less than 0.5 V at 500 A (0.0010 ohm).
    assert case.assessment.now.facts.values["positive_leg_resistance"] == pytest.approx(0.001)


def test_conditions_may_nest(tiny: Knowledge) -> None:
    nested = rule("g", All((Known("x"), NoneOf((Is("x", (2,)),)))), {"y": True})
    assert deduced(tiny, {"x": 1}, nested).facts.values["y"] is True
    assert "y" not in deduced(tiny, {"x": 2}, nested).facts.values
