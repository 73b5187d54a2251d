"""Drawing: every fault at every degree shows a complaint, shares are kept, slips are told."""

import collections
import random
from dataclasses import dataclass
from types import SimpleNamespace

import pytest
from sampled import one_in

from crankpath.engine.errors import CrankpathError, UnknownName
from crankpath.engine.knowledge.condition import Is
from crankpath.engine.knowledge.records import Fault, Origin, Share
from crankpath.engine.physics.tables import PhysicsError, load_parameters
from crankpath.engine.solved.drawn.draw import draw_machine

SETS = ("first", "second", "third")
DEGREES = [
    (fault, degree) for fault, degrees in load_parameters("first")["faults"].items() for degree in degrees
]
HERE = Origin("faults.yaml", 1, 1)

BEHAVIOURS = {
    "silent": {
        "battery_open_inside",
        "pull_in_winding",
        "relay_coil",
        "relay_ground",
        "key_switch",
        "start_inhibited",
    },
    "spins_free": {"overrunning_clutch"},
    "grinds": {"ring_gear", "solenoid_plunger"},
    "keeps_running": {"solenoid_contacts_welded", "relay_contacts_welded", "start_contact_stuck"},
}
"""Faults whose textbook behaviour must be met (TM 5-3805-254-20-1 p. 2-86, TM 5-3820-254-14&P)."""


@dataclass
class StandIn:
    """As much of a knowledge base as drawing needs."""

    faults: dict[str, Fault]


def fault(name: str, *shares: Share, degrees: dict[str, float] | None = None) -> Fault:
    return Fault(
        name, name, "", (), (), shares, degrees or {"present": 1.0}, 0.5, "", None, (), None, "", (), (), HERE
    )


def share(chance: float, **given: str) -> Share:
    condition = Is(*next(iter((k, (v,)) for k, v in given.items()))) if given else None
    return Share(condition, chance, (), HERE)


def test_the_sets_know_the_same_faults_and_degrees() -> None:
    first, *others = (load_parameters(name)["faults"] for name in SETS)
    for other in others:
        assert {f: set(d) for f, d in first.items()} == {f: set(d) for f, d in other.items()}
    assert len(first) == 50


@pytest.mark.parametrize(
    "parameters", [SETS[0], *(pytest.param(name, marks=pytest.mark.slow) for name in SETS[1:])]
)
@pytest.mark.parametrize(("name", "degree"), one_in(4, DEGREES))
def test_every_fault_at_every_degree_shows_a_complaint(name: str, degree: str, parameters: str) -> None:
    for seed in range(6):
        machine = draw_machine(random.Random(seed), None, parameters, {name: degree})
        assert machine.behaviour() != "normal"
        assert machine.degrees == {name: degree}
        assert machine.faults == {name}


@pytest.mark.parametrize(
    ("behaviour", "name"), [(b, f) for b, names in BEHAVIOURS.items() for f in sorted(names)]
)
def test_the_textbook_behaviour_of_a_fault_is_met(behaviour: str, name: str) -> None:
    met = {draw_machine(random.Random(seed), None, "first", {name: None}).behaviour() for seed in range(40)}
    assert behaviour in met


def test_a_slight_resistance_cranks_slowly_and_an_open_one_not_at_all() -> None:
    for seed in range(25):
        slight = draw_machine(random.Random(seed), None, "first", {"negative_cable": "slight"})
        opened = draw_machine(random.Random(seed), None, "first", {"negative_cable": "open"})
        assert slight.behaviour() in ("slow", "single_click")
        assert opened.solution().currents["starter_motor"] < 8
        assert opened.outcome().speed == 0


def test_a_pair_of_faults_shows_a_complaint() -> None:
    for seed in range(12):
        machine = draw_machine(
            random.Random(seed), None, "first", {"positive_cable": "slight", "key_switch": "partial"}
        )
        assert machine.behaviour() != "normal"


def test_faults_are_drawn_by_the_shares_of_the_knowledge_base() -> None:
    kb = StandIn({
        "engine_drag": fault("engine_drag", share(0.6, duty="light"), share(0.2)),
        "ring_gear": fault("ring_gear", share(0.4)),
    })  # fmt: skip
    rng, count = random.Random(8), collections.Counter[str]()
    for _ in range(150):
        count.update(draw_machine(rng, kb, equipment={"duty": "heavy", "system_voltage": 12}).faults)
    assert 80 <= count["ring_gear"] <= 120  # two in three


def test_degrees_are_drawn_by_the_shares_of_the_knowledge_base() -> None:
    kb = StandIn(
        {
            "positive_cable": fault(
                "positive_cable", share(1), degrees={"slight": 0.1, "bad": 0.1, "open": 0.8}
            )
        }
    )
    rng = random.Random(8)
    degrees = collections.Counter(draw_machine(rng, kb).degrees["positive_cable"] for _ in range(60))
    assert degrees["open"] > 36


def test_a_fault_of_a_part_the_machine_lacks_is_not_drawn() -> None:
    kb = StandIn({name: fault(name, share(0.5)) for name in ("relay_coil", "key_switch")})
    for seed in range(10):
        machine = draw_machine(random.Random(seed), kb, equipment={"start_relay": False})
        assert machine.faults == {"key_switch"}


@pytest.mark.parametrize(
    ("faults", "equipment", "message"),
    [
        ({"relay_coil": None}, {"start_relay": False}, "needs start_relay true"),
        ({"ground_strap": None}, {"ground_path": "direct"}, "needs ground_path frame"),
        ({"disconnect_contacts": None}, {"disconnect_switch": "none"}, "needs disconnect_switch"),
        ({"positive_cable": "dreadful"}, {}, "slight, bad, open"),
        ({"warp_core": None}, {}, "warp_core"),
        (None, {}, "knowledge base"),
    ],
)
def test_what_cannot_be_drawn_is_told(
    faults: dict[str, str | None] | None, equipment: dict[str, object], message: str
) -> None:
    with pytest.raises(CrankpathError, match=message):
        draw_machine(random.Random(1), None, faults=faults, equipment=equipment)


def test_an_empty_knowledge_base_has_nothing_to_draw() -> None:
    with pytest.raises(UnknownName):
        draw_machine(random.Random(1), SimpleNamespace(faults={}))


def test_an_unknown_set_is_told_with_those_there_are() -> None:
    with pytest.raises(PhysicsError, match=r"there are .*first, second"):
        draw_machine(random.Random(1), None, "fourth", {})


def test_equipment_given_is_kept() -> None:
    given = {"system_voltage": 24, "duty": "heavy", "battery_count": 4, "air_temperature": 5, "cca": 1000}
    equipment = draw_machine(random.Random(1), None, faults={}, equipment=given).equipment
    assert {name: equipment[name] for name in given} == given


@pytest.mark.parametrize("count", [1, 2, 3, 4, 6])
@pytest.mark.parametrize("volts", [12, 24])
def test_any_number_of_batteries_makes_the_system_voltage(count: int, volts: int) -> None:
    given = {"system_voltage": volts, "battery_count": count, "duty": "heavy"}
    machine = draw_machine(random.Random(count), None, faults={}, equipment=given)
    assert len(machine.sound.batteries) == count
    rested = machine.solution(state="rested").across("battery_positive_post", "battery_negative_post")
    assert rested == pytest.approx(12.5 * volts / 12, rel=0.03)
    assert machine.behaviour() == "normal"


def test_the_same_seed_draws_the_same_machine() -> None:
    one, two = (draw_machine(random.Random(9), None, faults={"engine_drag": None}) for _ in range(2))
    assert one == two
    assert [one.read("crank_current", random.Random(1))] == [two.read("crank_current", random.Random(1))]
