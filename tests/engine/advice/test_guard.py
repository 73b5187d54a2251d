"""Stops: what they take away, and what puts an end to them."""

from __future__ import annotations

from shipped_base import shipped_knowledge

from crankpath.engine.cases.case import Case

KB = shipped_knowledge()


def cranks_allowed(case: Case) -> bool:
    return not case.guard.reading(KB.measurements["battery_crank_voltage"])


def test_after_a_thump_nothing_cranks_until_the_engine_was_turned_by_hand() -> None:
    case = Case(KB)
    case.record("crank_behaviour", "heavy_thump")
    assert not cranks_allowed(case)
    case.record("engine_turns_by_hand", "freely")
    assert cranks_allowed(case)
    assert case.stops() == ()


def test_a_turn_by_hand_before_the_thump_does_not_count() -> None:
    case = Case(KB)
    case.record("engine_turns_by_hand", "freely")
    case.record("crank_behaviour", "heavy_thump")
    assert not cranks_allowed(case)


def test_another_repair_does_not_lift_a_stop_and_the_one_it_waits_for_does() -> None:
    case = Case(KB)
    case.record("crank_behaviour", "keeps_running")
    case.repaired("clean_positive_post", cured=False)
    assert not cranks_allowed(case)
    case.repaired("replace_solenoid")
    assert cranks_allowed(case)


def test_steps_of_a_repair_crank_only_where_it_ends_the_stop() -> None:
    case = Case(KB)
    case.record("crank_behaviour", "keeps_running")
    assert not any("Not yet" in step.text for step in case.guard.steps(KB.repairs["replace_solenoid"]))
    assert any("Not yet" in step.text for step in case.guard.steps(KB.repairs["clean_positive_post"]))


def test_the_repair_that_ends_a_stop_is_advised_while_nothing_more_may_be_read() -> None:
    case = Case(KB)
    case.record("crank_behaviour", "keeps_running")
    for suggestion in case.suggestions():
        case.cannot(suggestion.measurement)
    assert (case.verdict().action, case.verdict().repair) == ("repair", "replace_solenoid")


def test_a_high_voltage_drive_stops_before_anything_else() -> None:
    case = Case(KB, {"high_voltage_drive": True})
    assert case.verdict().action == "stop"
    assert case.suggestions() == []


def test_a_battery_is_charged_before_it_is_condemned() -> None:
    case = Case(KB, {"battery_count": 1})
    for name, value in (("crank_behaviour", "chatter"), ("battery_rest_voltage", "10.4 V")):
        case.record(name, value)
    verdict = case.verdict()
    assert verdict.repair != "replace_battery"
    case.record("battery_load_voltage", "4 V")
    assert case.verdict().repair != "replace_battery"


def test_a_caution_for_24_volts_is_not_said_on_12() -> None:
    rest = KB.measurements["battery_rest_voltage"]
    assert "series_batteries" in Case(KB, {"system_voltage": 24}).guard.cautions_of_reading(rest)
    assert "series_batteries" not in Case(KB, {"system_voltage": 12}).guard.cautions_of_reading(rest)
