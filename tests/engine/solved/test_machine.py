"""Machines: what the circuit says is what they do and read."""

import math
import random
import statistics

import pytest

from crankpath.engine.errors import UnknownName
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.engine.solved.machine import Machine
from crankpath.engine.solved.meter import MEASUREMENTS, OF_PARTS, exact_volts

SETS = ["first", *(pytest.param(name, marks=pytest.mark.slow) for name in ("second", "third"))]
LEGS = ("positive_leg_drop", "negative_leg_drop")


def drawn(seed: int, faults: dict[str, str | None] | None = None, **more: object) -> Machine:
    return draw_machine(random.Random(seed), None, faults=faults or {}, **more)  # type: ignore[arg-type]


def sound(count: int, parameters: str, **equipment: object) -> list[Machine]:
    return [drawn(seed, parameters=parameters, equipment=equipment) for seed in range(count)]


def residuals(machine: Machine) -> list[float]:
    """Net current into every node but the battery's negative post, over the largest current."""
    outcome = machine.outcome()
    currents = outcome.solution.currents
    nodes = {n for b in outcome.circuit for n in (b.a, b.b)}
    net = dict.fromkeys(nodes, 0.0)
    for branch in outcome.circuit:
        net[branch.a] -= currents[branch.name]
        net[branch.b] += currents[branch.name]
    largest = max(map(abs, currents.values())) or 1.0
    return [amperes / largest for amperes in net.values()]


@pytest.mark.parametrize("parameters", SETS)
def test_healthy_machines_crank_normally(parameters: str) -> None:
    assert {m.behaviour() for m in sound(300, parameters)} == {"normal"}


@pytest.mark.parametrize("parameters", SETS)
def test_the_usual_figures_are_those_of_the_trade(parameters: str) -> None:
    # Common practice: 12 V light 150-250 A, 12 V heavy 300-900 A, 24 V 200-500 A; TM-671: 180-220 A
    # for a diesel lift truck; warm cranking 9.6 V or more (TM-671), 19 V at 24 V (trade magazine).
    for volts, duty, amperes in (
        (12, "light", (150, 250)),
        (12, "heavy", (300, 900)),
        (24, "heavy", (200, 500)),
    ):
        machines = sound(60, parameters, system_voltage=volts, duty=duty, air_temperature=20)
        currents = [m.solution().currents["starter_motor"] for m in machines]
        assert amperes[0] <= statistics.median(currents) <= amperes[1]
        assert sum(amperes[0] * 0.85 <= c <= amperes[1] * 1.15 for c in currents) >= 57
        posts = [exact_volts(m, "battery_crank_voltage") * 12 / volts for m in machines]
        assert sum(9.5 <= v <= 11.5 for v in posts) >= 54
        assert sum(130 <= m.outcome().speed <= 280 for m in machines) >= 57


@pytest.mark.parametrize("parameters", SETS)
def test_healthy_drops_keep_the_trade_limits(parameters: str) -> None:
    # Common practice: 0.4 V a side at 12 V, twice that at 24 V; 0.2 V (0.4 V) over the solenoid's contacts.
    machines = sound(60, parameters)
    within = [exact_volts(m, leg) <= 0.4 * m.sound.volts_factor for m in machines for leg in LEGS]
    contacts = [exact_volts(m, "solenoid_contact_drop") <= 0.2 * m.sound.volts_factor for m in machines]
    assert statistics.mean(within) > 0.95
    assert statistics.mean(contacts) > 0.95


@pytest.mark.parametrize("seed", range(40))
def test_kirchhoff_holds_in_every_machine(seed: int) -> None:
    faults = [
        {},
        {"positive_cable": None},
        {"battery_discharged": None},
        {"relay_contacts": None},
        {"engine_drag": None},
    ]
    machine = drawn(seed, faults[seed % len(faults)])
    assert max(map(abs, residuals(machine))) < 1e-9 or machine.behaviour() == "chatter"
    legs = sum(machine.solution().across(*pair) for pair in (
        ("battery_positive_post", "starter_battery_stud"), ("starter_battery_stud", "starter_case"),
        ("starter_case", "battery_negative_post")))  # fmt: skip
    assert legs == pytest.approx(machine.solution().across("battery_positive_post", "battery_negative_post"))


def test_the_parts_of_a_leg_add_up_to_the_leg() -> None:
    machine = drawn(3, {"positive_cable": "slight"}, equipment={"disconnect_switch": "positive"})
    parts = ("positive_post_drop", "positive_cable_drop", "disconnect_drop", "starter_stud_drop")
    assert sum(exact_volts(machine, p) for p in parts) == pytest.approx(
        exact_volts(machine, "positive_leg_drop"), rel=1e-6
    )


@pytest.mark.parametrize("parameters", SETS)
def test_a_drop_without_load_reads_nothing(parameters: str) -> None:
    # the cable is bad, but the open fuse keeps the motor from drawing current
    faults: dict[str, str | None] = {"start_fuse": None, "positive_cable": "slight"}
    seen = 0
    for seed in range(20):
        machine = drawn(seed, faults, parameters=parameters, equipment={"start_relay": True})
        if machine.behaviour() == "silent":
            seen += 1
            assert exact_volts(machine, "positive_leg_drop") < 0.03 * machine.sound.volts_factor
            assert exact_volts(machine, "negative_leg_drop") < 0.03 * machine.sound.volts_factor
    assert seen > 10


def test_an_open_joint_shows_the_whole_battery_across_it_and_nothing_elsewhere() -> None:
    for seed in range(20):
        machine = drawn(seed, {"negative_post_joint": "open"})
        battery = exact_volts(machine, "battery_crank_voltage")
        assert exact_volts(machine, "negative_post_drop") > 0.9 * battery
        for other in ("positive_leg_drop", "negative_cable_drop", "starter_mount_drop"):
            assert abs(exact_volts(machine, other)) < 0.05


def test_contacts_that_are_not_closed_read_the_whole_battery() -> None:
    for seed in range(20):
        machine = drawn(seed, {"pull_in_winding": None})
        if machine.build().solenoid.pull_ohms > machine.sound.solenoid.pull_ohms:
            battery = exact_volts(machine, "battery_crank_voltage")
            assert exact_volts(machine, "solenoid_contact_drop") > 0.85 * battery


def test_an_open_hold_in_winding_chatters() -> None:
    # TM 5-3805-258-24-1 pp. 3-170, 3-171: pull-in is shorted once the contacts close.
    machines = [drawn(seed, {"hold_in_winding": None}) for seed in range(40)]
    opened = [m for m in machines if math.isinf(m.build().solenoid.hold_ohms)]
    assert len(opened) > 10
    assert {m.behaviour() for m in opened} == {"chatter"}


def test_open_brushes_take_the_pull_in_windings_way_to_ground() -> None:
    # TM 5-3805-258-24-1: the pull-in winding returns to ground through the motor.
    machines = [drawn(seed, {"starter_brushes": "open"}) for seed in range(30)]
    silent = [m for m in machines if math.isinf(m.build().motor.ohms) and not m.sound.habits.relay_heard]
    assert silent
    assert {m.behaviour() for m in silent} == {"silent"}


def test_current_and_speed_tell_drag_from_resistance() -> None:
    # TM 10-3930-671-24 F-300: slow with much current = engine or starter; slow with little = resistance.
    for seed in range(20):
        dragging = drawn(seed, {"engine_drag": None})
        resisting = drawn(seed, {"solenoid_contacts": "slight"})
        assert _amperes(dragging) > 1.15 * _usual(dragging)
        assert resisting.behaviour() != "slow" or _amperes(resisting) < 1.05 * _usual(resisting)


def _amperes(machine: Machine) -> float:
    return machine.solution().currents["starter_motor"]


def _usual(machine: Machine) -> float:
    return machine.with_repaired(machine.faults).solution().currents["starter_motor"]


@pytest.mark.parametrize(
    ("fault", "more", "faster"),
    [
        ("starter_windings_shorted", True, False),
        ("starter_dragging", True, False),
        ("starter_brushes", False, None),
    ],
)
def test_free_running_currents_follow_the_bench_rules(fault: str, more: bool, faster: bool | None) -> None:
    # TM-291, TM-307, TM-671, TM-593 agree: low rpm with high amps = drag or shorted armature; no amps = open.
    rng = random.Random(5)
    for seed in range(15):
        machine = drawn(seed, {fault: "open" if fault == "starter_brushes" else None})
        whole = machine.with_repaired([fault])
        bad, good = (float(m.read("starter_no_load_current", rng) or 0) for m in (machine, whole))
        assert bad > good if more else bad < good
        if faster is False:
            speed = "starter_no_load_speed"
            assert float(machine.read(speed, rng) or 0) < float(whole.read(speed, rng) or 0)


def test_welded_contacts_keep_it_running() -> None:
    machine = drawn(1, {"solenoid_contacts_welded": None})
    assert machine.behaviour() == "keeps_running"
    assert machine.with_repaired(["solenoid_contacts_welded"]).behaviour() == "normal"


def test_a_charge_lasts_until_what_draws_has_emptied_the_battery_again() -> None:
    faults: dict[str, str | None] = {"parasitic_drain": "flat", "positive_post_joint": "bad"}
    both = drawn(3, faults, equipment={"system_voltage": 12})
    rest, hides = random.Random(1), ("parasitic_drain",)
    empty = float(both.read("battery_rest_voltage", rest) or 0)
    charged = both.with_repaired((), hides)
    assert float(charged.read("battery_rest_voltage", rest) or 0) > max(12.3, empty + 0.5)
    alone = charged.with_repaired(("positive_post_joint",))
    assert alone.behaviour() == "normal"
    alone = alone.run_down()
    assert float(alone.read("battery_rest_voltage", rest) or 0) < 12.0
    assert alone.with_repaired(("parasitic_drain",)).behaviour() == "normal"


def test_every_measurement_is_answered_or_cannot_be_taken() -> None:
    rng = random.Random(2)
    for seed in range(12):
        machine = drawn(seed)
        equipment = machine.equipment
        for measurement in MEASUREMENTS:
            missing = (
                (measurement.startswith(("relay_", "start_message")) and not equipment["start_relay"])
                or (measurement == "disconnect_drop" and equipment["disconnect_switch"] == "none")
                or (measurement.startswith("ground_strap_") and equipment["ground_path"] == "direct")
                or (measurement == "battery_pair_difference" and equipment["battery_count"] == 1)
                or (measurement in OF_PARTS
                    and not any(equipment.get(fact) is True for fact in OF_PARTS[measurement]))
            )  # fmt: skip
            assert (machine.read(measurement, rng) is None) is missing, measurement


def test_it_answers_no_measurement_that_the_knowledge_base_does_not_know(kb: Knowledge) -> None:
    known = kb.measurements
    assert set(known) >= MEASUREMENTS
    usual = {name for name, m in known.items() if m.only is None and not m.instead_of}
    assert len(usual - MEASUREMENTS) < len(usual & MEASUREMENTS) / 4


def test_an_unknown_measurement_is_refused() -> None:
    with pytest.raises(UnknownName, match="positive_leg_dorp"):
        drawn(1).read("positive_leg_dorp", random.Random(1))


def test_readings_scatter_by_meter_and_ripple_about_the_solved_value() -> None:
    machine, rng = drawn(4), random.Random(4)
    readings = [float(machine.read("positive_leg_drop", rng) or 0) for _ in range(400)]
    exact = exact_volts(machine, "positive_leg_drop")
    assert statistics.mean(readings) == pytest.approx(exact, rel=0.02)
    assert 0.01 < statistics.stdev(readings) / exact < 0.1


def test_a_reading_taken_while_the_contacts_chatter_lies_between_open_and_closed() -> None:
    rng = random.Random(3)
    for seed in range(15):
        machine = drawn(seed, {"hold_in_winding": None})
        rested = machine.solution(state="rested").across("battery_positive_post", "battery_negative_post")
        readings = [float(machine.read("battery_crank_voltage", rng) or 0) for _ in range(40)]
        assert machine.behaviour() != "chatter" or max(readings) <= 1.03 * rested
        assert machine.behaviour() != "chatter" or statistics.stdev(readings) > 0.01


def test_the_parts_of_the_negative_leg_add_up_too() -> None:
    for path, parts in (
        ("frame", ("starter_mount_drop", "ground_strap_drop", "negative_cable_drop", "negative_post_drop")),
        ("direct", ("starter_mount_drop", "negative_cable_drop", "negative_post_drop")),
    ):
        equipment = {"ground_path": path, "disconnect_switch": "none"}
        machine = drawn(5, {"negative_cable": "slight"}, equipment=equipment)
        parts_sum = sum(exact_volts(machine, part) for part in parts)
        assert parts_sum == pytest.approx(exact_volts(machine, "negative_leg_drop"), rel=1e-6)


def test_the_control_circuit_hangs_where_the_equipment_says() -> None:
    # with the positive cable open, a chain fed from the starter's stud is dead and one from the battery lives
    for supply, lives in (("starter_stud", False), ("battery", True)):
        for seed in range(6):
            machine = drawn(seed, {"positive_cable": "open"}, equipment={"control_supply": supply})
            live = exact_volts(machine, "control_feed_voltage") > 0.8 * machine.sound.layout.system_voltage
            assert live is lives


def test_an_intermittent_machine_fails_at_its_rate_and_cranks_well_between() -> None:
    for seed in range(15):
        machine = drawn(seed, {"positive_post_joint": None}, intermittent=True)
        rng = random.Random(seed)
        tries = [machine.attempt(rng) for _ in range(600)]
        assert statistics.mean(tries) == pytest.approx(machine.rate, abs=0.08)
        assert machine.behaviour(symptom=False) == "normal"
        assert machine.behaviour() != "normal"
        assert machine.read("occurrence", rng) == "intermittent"
        good, bad = (
            exact_volts(machine, "positive_post_drop", False),
            exact_volts(machine, "positive_post_drop"),
        )
        assert good < bad or machine.behaviour() in ("silent", "chatter")


def test_repairing_every_fault_makes_it_healthy() -> None:
    machine = drawn(2, {"positive_cable": None, "engine_drag": None})
    half = machine.with_repaired(["positive_cable"])
    assert half.faults == {"engine_drag"}
    whole = machine.with_repaired(machine.faults)
    assert whole.healthy
    assert whole.behaviour() == "normal"
    assert not any(whole.attempt(random.Random(n)) for n in range(20))


def test_a_repaired_post_no_longer_looks_bad() -> None:
    rng = random.Random(1)
    machines = [drawn(seed, {"positive_post_joint": None}) for seed in range(60)]
    look = "positive_post_inspection"
    before = sum(m.read(look, rng) != "clean_tight" for m in machines)
    after = sum(m.with_repaired(m.faults).read(look, rng) != "clean_tight" for m in machines)
    assert before > 35 > 25 > after


def test_an_over_range_winding_reads_as_the_meter_shows_it() -> None:
    machines = [drawn(seed, {"pull_in_winding": None}) for seed in range(20)]
    texts = {
        m.read("pull_in_resistance", random.Random(1))
        for m in machines
        if math.isinf(m.build().solenoid.pull_ohms)
    }
    assert texts == {"OL"}


def test_a_withheld_start_is_mostly_told_and_hardly_anything_else_is() -> None:
    def told(fault: str) -> int:
        machines = [drawn(seed, {fault: None}) for seed in range(60)]
        read = [m.read("start_message", random.Random(1)) for m in machines if m.sound.layout.relay]
        assert len(read) > 20
        return round(100 * read.count("withheld") / len(read))

    assert told("start_inhibited") > 55
    assert 10 < told("interlock_switch") < 45
    assert told("relay_ground") < 8


def test_a_message_goes_with_what_it_tells_of() -> None:
    rng = random.Random(1)
    found = (drawn(seed, {"start_inhibited": None}) for seed in range(30))
    machine = next(m for m in found if m.read("start_message", rng) == "withheld")
    assert machine.with_repaired(["start_inhibited"]).read("start_message", rng) == "none"
    bare = drawn(3, {"pull_in_winding": None}, equipment={"start_relay": False})
    assert bare.read("start_message", rng) is None  # no electronics between key and solenoid
