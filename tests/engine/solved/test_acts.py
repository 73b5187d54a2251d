"""Something good beside a suspect: what is bridged cranks, what is not stays as it was."""

from __future__ import annotations

from random import Random

import pytest

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.acts import BESIDE
from crankpath.engine.solved.drawn.draw import draw_machine

HELPED = {
    "positive_leg_bridged": ("positive_cable", "bad"),
    "negative_leg_bridged": ("starter_mount_ground", "bad"),
    "good_batteries_beside": ("battery_discharged", "low"),
    "relay_ground_jumped": ("relay_ground", "present"),
    "relay_contacts_jumped": ("relay_coil", "present"),
    "ground_strap_bridged": ("ground_strap", "bad"),
}


@pytest.mark.parametrize("act", HELPED)
def test_what_stands_beside_the_fault_makes_it_crank(kb: Knowledge, act: str) -> None:
    fault, degree = HELPED[act]
    machine = draw_machine(Random(5), kb, "first", {fault: degree})
    assert machine.read(act, Random(1)) == "cranks_better"


@pytest.mark.parametrize("act", sorted(set(HELPED) - {"good_batteries_beside"}))
def test_a_cable_or_a_lead_makes_no_difference_once_the_fault_is_gone(kb: Knowledge, act: str) -> None:
    fault, degree = HELPED[act]
    machine = draw_machine(Random(5), kb, "first", {fault: degree}).with_repaired([fault])
    assert machine.read(act, Random(1)) == "no_change"


@pytest.mark.parametrize("act", sorted(set(BESIDE) - {"solenoid_bypass"}))
def test_nothing_beside_the_circuit_turns_a_locked_engine(kb: Knowledge, act: str) -> None:
    for seed in range(4):
        machine = draw_machine(Random(seed), kb, "first", {"engine_locked": None})
        assert machine.read(act, Random(1)) in ("no_change", None)


def test_a_booster_cable_takes_its_share_of_the_volts(kb: Knowledge) -> None:
    """3 m of 4 AWG copper: 0.8152 ohm per km at 20 degrees C (ASTM B258, IACS copper) makes 2.4 milliohm."""
    machine = draw_machine(Random(5), kb, "first", {"positive_cable": "bad"})
    booster = BESIDE["positive_leg_bridged"](machine.build(), machine.figures)
    assert booster.ohms == pytest.approx(3 * 0.8152e-3, rel=0.03)
