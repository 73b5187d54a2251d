"""Machines with parts that not every machine has: each fault shows in the reading that proves it."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import pytest

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.engine.solved.machine import Machine

DRAWN = 6


def machines(kb: Knowledge, fault: str, degree: str | None = None) -> Iterator[tuple[Machine, Random]]:
    """Some machines with that fault, there at every try, and a source of meter errors."""
    for seed in range(DRAWN):
        machine = draw_machine(Random(seed), kb, "third", {fault: degree})
        if not machine.intermittent:
            yield machine, Random(seed)


def volts(machine: Machine, measurement: str, rng: Random) -> float:
    """That reading, which must be there."""
    found = machine.read(measurement, rng)
    assert isinstance(found, float)
    return found


def test_a_bad_junction_loses_what_the_leg_loses(kb: Knowledge) -> None:
    for machine, rng in machines(kb, "junction_stud_joint", "slight"):
        junction, leg = volts(machine, "junction_drop", rng), volts(machine, "positive_leg_drop", rng)
        assert 0.15 < junction < 1.2 * leg
        assert volts(machine, "positive_cable_drop", rng) < leg


def test_open_contacts_of_a_magnetic_switch_pass_nothing_though_its_coil_is_fed(kb: Knowledge) -> None:
    for machine, rng in machines(kb, "magnetic_switch_contacts", "open"):
        system = float(str(machine.equipment["system_voltage"]))
        assert volts(machine, "magnetic_switch_coil_voltage", rng) > 0.9 * system
        assert volts(machine, "start_terminal_voltage", rng) < 0.1 * system


def test_a_sound_machine_with_two_relays_cranks(kb: Knowledge) -> None:
    machine = draw_machine(Random(3), kb, "third", {}, equipment={"second_relay": True, "start_relay": True})
    assert machine.behaviour() == "normal"
    assert volts(machine, "magnetic_switch_drop", Random(3)) < 0.5


@pytest.mark.parametrize(
    ("fault", "trial"),
    [
        ("driven_load_stays_on", "engine_unloaded"),
        ("oil_too_thick", "engine_warmed"),
        ("tracker_relay_open", "tracker_bridged"),
    ],
)
def test_taking_off_what_is_wrong_makes_it_crank(kb: Knowledge, fault: str, trial: str) -> None:
    found = [machine.read(trial, rng) for machine, rng in machines(kb, fault)]
    assert found
    assert set(found) == {"cranks_better"}


def test_an_overcharged_bank_is_charged_too_high(kb: Knowledge) -> None:
    for machine, rng in machines(kb, "overcharging"):
        factor = float(str(machine.equipment["system_voltage"])) / 12
        assert volts(machine, "charging_voltage", rng) > 14.4 * factor


def test_a_loose_starter_is_seen_while_it_cranks_well(kb: Knowledge) -> None:
    seen = [
        machine.read("starter_fit_inspection", Random(seed), symptom=False)
        for seed in range(12)
        for machine in [draw_machine(Random(seed), kb, "third", {"starter_loose": None}, intermittent=True)]
    ]
    assert seen.count("loose_or_out") >= 10


def test_a_part_that_is_not_there_is_not_read(kb: Knowledge) -> None:
    bare = {"junction_stud": False, "second_relay": False, "driven_load": False, "tracker_relay": False}
    machine = draw_machine(Random(1), kb, "third", {}, equipment=bare)
    for name in ("junction_drop", "magnetic_switch_drop", "engine_unloaded", "tracker_bridged"):
        assert machine.read(name, Random(1)) is None
