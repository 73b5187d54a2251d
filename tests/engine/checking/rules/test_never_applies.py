"""Rules and conditions that can never come into play."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


RULE = "rules:\n  odd: {faults: [%s], measurements: [%s], %sreads: {between: [0.1, 0.2]}, because: so}\n"


def test_a_rule_for_a_machine_that_can_be_is_fine(finds: Finds) -> None:
    assert finds("never_applies", RULE % ("joint", "current", "given: {disconnect: true}, ")) == []


def test_a_given_that_excludes_the_machines_with_the_fault_is_told(finds: Finds) -> None:
    (told,) = finds("never_applies", RULE % ("switch", "current", "given: {disconnect: false}, "))
    assert told.endswith("its line on disconnect holds on no machine that has both fault and measurement")


def test_an_unless_that_always_stops_is_told(finds: Finds) -> None:
    conditions = "given: {duty: heavy}, unless: {duty: heavy}, "
    (told,) = finds("never_applies", RULE % ("joint", "current", conditions))
    assert "whenever its 'given' holds, its 'unless' stops it" in told


def test_a_where_that_is_true_nowhere_is_told(finds: Finds) -> None:
    (told,) = finds("never_applies", RULE % ("joint", "cable_drop", "where: across, "))
    assert "it applies nowhere: no measurement it names has the fault's place between its leads" in told


def test_a_word_that_no_rule_derives_is_told(finds: Finds) -> None:
    (told,) = finds("never_applies", RULE % ("joint", "current", "given: {main_current: abcent}, "))
    assert told == "rules/odd: odd given: main_current can never be abcent"


def test_a_number_outside_what_the_fact_can_be_is_told(finds: Finds) -> None:
    (told,) = finds("never_applies", RULE % ("joint", "current", "given: {air: {above: 80}}, "))
    assert told == "rules/odd: odd given: air can never be above 80"


def test_lines_that_exclude_each_other_are_told(finds: Finds) -> None:
    given = "given: {air: {above: 10, below: -10}}, "
    (told,) = finds("never_applies", RULE % ("joint", "current", given))
    assert told == "rules/odd: odd given: its lines exclude each other (air)"


def test_a_fact_with_a_default_is_never_unknown(finds: Finds) -> None:
    (told,) = finds("never_applies", RULE % ("joint", "current", "given: {duty: unknown}, "))
    assert "duty is always known" in told


def test_a_share_behind_one_that_always_holds_is_told(finds: Finds) -> None:
    shares = "share: [{given: {duty: [light, heavy]}, chance: 0.29}, {chance: 0.25}]"
    (told,) = finds(
        "never_applies", old="share: [{given: {wet: true}, chance: 0.29}, {chance: 0.25}]", new=shares
    )
    assert told == "faults/joint: joint share: whenever this one holds, one before it does"


def test_a_fact_rule_that_is_always_stopped_is_told(finds: Finds) -> None:
    (told,) = finds(
        "never_applies", old="    warn: A drop", new="    unless: {main_current: absent}\n    warn: A drop"
    )
    assert told.startswith("facts/absent_is_told: ")
