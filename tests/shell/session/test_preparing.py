"""The work before a reading comes a piece at a time, and no caution is lost on the way."""

from __future__ import annotations

from dataclasses import replace

from shipped_base import shipped_knowledge

from crankpath.engine.cases.case import Case
from crankpath.shell.session.questions import (
    AskCautions,
    AskReading,
    AskRepair,
    AskSafe,
    cautions_of,
    question,
)
from crankpath.shell.session.screens.asking import asking
from crankpath.shell.session.state import CaseState

ROWS = 24


def at_the_start() -> CaseState:
    kb = shipped_knowledge()
    case = Case(kb, {"system_voltage": 24, "disconnect_switch": "positive", "ground_path": "frame"})
    case.record("crank_behaviour", "slow")
    return CaseState("", kb, case, complaint="slow", asked=frozenset({"machine", "when"}))


def pieces(state: CaseState, measurement: str) -> list[AskSafe | AskReading]:
    """The questions until the reading, each passed by Enter."""
    found: list[AskSafe | AskReading] = []
    while True:
        asked = question(state, measurement)
        assert isinstance(asked, AskSafe | AskReading)
        found.append(asked)
        if isinstance(asked, AskReading):
            return found
        state = replace(state, passed=state.passed | {(measurement, c) for c in asked.cautions})


def test_every_caution_stands_once_and_before_its_reading() -> None:
    state = at_the_start()
    for m in state.case.assessment.model.measurements.values():
        if state.case.guard.reading(m):
            continue
        said = [c for asked in pieces(state, m.id) for c in asked.cautions]
        assert sorted(said) == sorted(cautions_of(state.case, m.id)), m.id


def test_a_caution_of_some_work_stands_before_that_work_or_earlier() -> None:
    state = at_the_start()
    guard, kb = state.case.guard, state.kb
    for m in state.case.assessment.model.measurements.values():
        if guard.reading(m):
            continue
        seen: set[str] = set()
        for asked in pieces(state, m.id):
            seen |= set(asked.cautions)
            for setup in asked.setups if isinstance(asked, AskSafe) else ():
                assert set(guard.cautions_of_setup(kb.setups[setup])) <= seen, (m.id, setup)


def test_each_piece_is_seen_at_once_on_a_usual_terminal() -> None:
    state = at_the_start()
    for measurement in ("battery_crank_voltage", "positive_leg_drop", "start_terminal_voltage"):
        for asked in pieces(state, measurement)[:-1]:
            assert len(asking(state, asked, 80)) < ROWS, (measurement, asked)


def test_cautions_of_a_repair_come_before_the_step_that_they_belong_to() -> None:
    state = at_the_start()
    state.case.record("occurrence", "every_time")
    state.case.record("positive_post_drop", "3.1 V")
    state.case.record("positive_post_inspection", "corroded")
    found: list[AskCautions] = []
    while isinstance(asked := question(state), AskCautions):
        found.append(asked)
        state = replace(state, passed=state.passed | {(asked.repair, c) for c in asked.cautions})
    assert isinstance(asked, AskRepair)
    work, crank = found
    assert (work.step, crank.step) == (None, (4, "Read the drop from post to clamp while cranking."))
    assert "battery_gas" in work.cautions
    assert "crank_rest" in crank.cautions
    guard, repair = state.case.guard, state.kb.repairs[asked.repair]
    faults = state.case.verdict().faults[:2]
    assert (*work.cautions, *crank.cautions) == guard.cautions_of_repair(repair, faults)
    shown = asking(state, crank, 80)
    assert shown[0] == ">> Clean and tighten the positive post and clamp, step 4: watch out for"
    assert "Read the drop from post to clamp while cranking." in shown[1]


def test_cautions_of_work_that_is_made_do_not_come_again_with_the_next_reading() -> None:
    state = at_the_start()
    made = [c for asked in pieces(state, "positive_leg_drop") for c in asked.cautions]
    state.case.record("positive_leg_drop", "0.3 V")
    again = [c for asked in pieces(state, "negative_leg_drop") for c in asked.cautions]
    assert {"maker_manual", "button_rated", "battery_gas"} <= set(made)
    assert not {"maker_manual", "button_rated", "battery_gas"} & set(again)
    assert {"people_clear", "crank_rest", "moving_hot_parts"} <= set(again)
