"""How much reading is said to be left before a repair is named."""

from __future__ import annotations

from collections.abc import Callable

from crankpath.engine import Case

CaseOf = Callable[..., Case]


def test_what_is_advised_counts_itself_at_least(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    verdict, left = case.verdict(), case.progress()
    assert verdict.action == "measure"
    assert left.readings >= 1.0
    assert left.minutes >= case.advisor.minutes(case.kb.measurements[verdict.measurement])


def test_nothing_is_left_once_a_repair_is_named(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 2.1 V", "positive_post_drop 2.1 V")
    assert case.verdict().action == "repair"
    left = case.progress()
    assert (left.readings, left.minutes) == (0.0, 0.0)


def test_a_reading_that_settles_much_leaves_less_to_read(case_of: CaseOf) -> None:
    seen = ("crank_behaviour slow", "lights_while_cranking steady")
    before, after = case_of(*seen).progress(), case_of(*seen, "positive_post_drop 1.5 V").progress()
    assert after.readings < before.readings / 2
