"""Readings taken wrongly show what such slips show."""

from __future__ import annotations

from random import Random

import pytest

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.engine.trials.evaluation import SLIPS, machine_of, trials
from crankpath.engine.trials.slips import ONE_IN, slipped


def test_a_drop_is_read_without_load_at_other_points_or_with_its_point_moved(kb: Knowledge) -> None:
    machine = draw_machine(Random(4), kb, "first", {"positive_post_joint": "slight"})
    right = machine.read("positive_post_drop", Random(1))
    assert isinstance(right, float)
    rng = Random(2)
    wrong = [slipped(machine, "positive_post_drop", right, rng, True) for _ in range(60)]
    moved = [value for value in wrong if value in (right * 10, right / 10)]
    unloaded = [value for value in wrong if abs(value) < 0.002 and value not in moved]
    assert moved
    assert unloaded
    assert len(moved) + len(unloaded) < len(wrong)


def test_a_resistance_can_only_have_its_point_moved(kb: Knowledge) -> None:
    machine = draw_machine(Random(4), kb, "first", {"positive_post_joint": "slight"})
    shown = {round(slipped(machine, "pull_in_resistance", 0.4, Random(n), True), 6) for n in range(20)}
    assert shown == {4.0, 0.04}


def test_the_machines_are_those_of_single_faults(kb: Knowledge) -> None:
    slips, single = (machine_of(kb, 3, 1, sort, "first") for sort in (SLIPS, "single"))
    assert slips.severities == single.severities


@pytest.mark.slow
def test_about_one_meter_reading_in_so_many_is_wrong(kb: Knowledge) -> None:
    taken = [shown for o in trials(kb, range(40), 3, SLIPS, "first", "paper") for _, shown in o.readings]
    share = sum("taken wrongly" in shown for shown in taken) / len(taken)
    assert 0.4 / ONE_IN < share < 1.6 / ONE_IN
