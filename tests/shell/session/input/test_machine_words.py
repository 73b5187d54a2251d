"""What a line tells of a machine."""

from __future__ import annotations

import random
from typing import Any

import pytest
from playing import machine_line

from crankpath.engine.errors import EquipmentError
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.shell.session.input.machine_words import told_machine


@pytest.mark.parametrize(
    ("typed", "facts"),
    [
        ("24v", {"system_voltage": 24}),
        ("12 volts, petrol, light", {"system_voltage": 12, "fuel": "gasoline", "duty": "light"}),
        ("disconnect in negative, no relay", {"disconnect_switch": "negative", "start_relay": False}),
        ("no disconnect; two positive cables", {"disconnect_switch": "none", "positive_cables": 2}),
        ("cca 950 A, 6.7 L", {"cca": 950.0, "engine_litres": 6.7}),
        ("-10 degC", {"air_temperature": -10.0}),
        ("positive 70 mm2 2.5 m", {"cables": {"positive": {"gauge": "70 mm2", "length": "2.5 m"}}}),
        ("control from battery", {"control_supply": "battery"}),
        ("disconnect on plus", {"disconnect_switch": "positive"}),
        ("lithium batteries", {"lithium_battery": True}),
        ("starter relay", {"start_relay": True}),
    ],
)
def test_facts_in_everyday_words(shipped: Knowledge, typed: str, facts: dict[str, Any]) -> None:
    assert told_machine(shipped, typed).facts == facts


def test_a_name_stands_before_a_colon_or_alone(shipped: Knowledge) -> None:
    assert told_machine(shipped, "loader 7: 24 V").name == "loader 7"
    assert told_machine(shipped, "Bus 12").name == "Bus 12"


def test_what_is_not_understood_is_given_back(shipped: Knowledge) -> None:
    assert told_machine(shipped, "loader: 24 V, green paint").unknown == ("green paint",)


def test_a_value_that_cannot_be_is_refused_with_what_can(shipped: Knowledge) -> None:
    with pytest.raises(EquipmentError, match="from -60 to 60"):
        told_machine(shipped, "air temperature 400 degC")


@pytest.mark.parametrize("seed", range(12))
def test_every_machine_that_can_be_drawn_can_be_told_in_words(shipped: Knowledge, seed: int) -> None:
    equipment = draw_machine(random.Random(seed), shipped).equipment
    told = told_machine(shipped, f"demo: {machine_line(shipped, equipment)}")
    assert told.unknown == ()
    optional = {name for name, fact in shipped.equipment.items() if fact.optional and True in fact.values}
    assert dict(told.facts) == {
        name: pytest.approx(value, rel=1e-4) if isinstance(value, float) else value
        for name, value in equipment.items()
        if name not in optional
    }


@pytest.mark.parametrize("typed", ["engine locked", "crank 9.8", "call tech at 5"])
def test_a_sentence_that_only_shares_a_word_with_a_fact_tells_none(shipped: Knowledge, typed: str) -> None:
    assert told_machine(shipped, typed).facts == {}
