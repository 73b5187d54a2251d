from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.entries.machine import BRANCH, LOOP
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.machine.circuit import Circuit
from crankpath.shell.outlets.drawing.picture import Picture, Run, picture

Draw = Callable[..., Picture]


def stops(run: Run) -> list[str]:
    return [stop.id for stop in run.stops]


def leads(*runs: Run) -> dict[str, str]:
    return {stop.id: stop.lead for run in runs for stop in run.stops if stop.lead}


def test_the_main_circuit_is_split_at_the_motor(draw: Draw) -> None:
    seen = draw(disconnect=True)
    assert stops(seen.there) == ["positive", "switch_in", "switch_out", "lug", "stud"]
    assert seen.load.id == "motor"
    assert stops(seen.back) == ["case", "negative"]
    assert [piece.id for piece in seen.there.pieces] == ["cable_in", "switch", "cable_out", "stud_joint"]


def test_each_control_segment_is_drawn_once_on_a_run_between_points_of_the_main_circuit(draw: Draw) -> None:
    first, second = draw().control
    assert stops(first) == ["stud", "key_out", "coil_out", "negative"]
    assert stops(second) == ["stud", "terminal", "case"]
    assert [stop.on_main for stop in first.stops] == [True, False, False, True]


def test_the_first_end_of_a_measurement_is_the_red_lead_and_what_lies_between_is_marked(draw: Draw) -> None:
    seen = draw(("positive", "stud"))
    assert leads(seen.there, seen.back) == {"positive": "red", "stud": "black"}
    assert {piece.id for piece in seen.there.pieces if piece.marked} == {"cable", "stud_joint"}
    assert not seen.load.marked


def test_leads_of_a_main_circuit_reading_are_not_drawn_again_on_the_control_runs(draw: Draw) -> None:
    assert leads(*draw(("positive", "stud")).control) == {}
    assert leads(*draw(("coil_out", "negative")).control) == {"coil_out": "red", "negative": "black"}


def test_across_the_posts_it_is_the_battery_that_is_marked(draw: Draw) -> None:
    seen = draw(("positive", "negative"))
    assert seen.battery.marked
    assert not any(piece.marked for piece in (*seen.there.pieces, seen.load, *seen.back.pieces))


def test_it_can_be_asked_which_circuit_a_lead_is_on(draw: Draw) -> None:
    seen = draw(("terminal", "case"))
    assert seen.holds_lead(BRANCH)
    assert seen.holds_lead(LOOP)
    assert not draw(("positive", "stud")).holds_lead(BRANCH)
    assert not draw().holds_lead(LOOP)


def test_texts_stand_on_the_segments_they_are_given_for(draw: Draw) -> None:
    assert [piece.value for piece in draw(values={"cable": "0.31 V"}).there.pieces] == ["0.31 V", ""]


def test_a_circuit_without_a_battery_is_refused() -> None:
    fields: dict[str, Any] = {name: {} for name in Knowledge.__dataclass_fields__}
    kb = Knowledge(**fields)
    with pytest.raises(ValueError, match="no source"):
        picture(kb, Circuit(kb, Facts()))
