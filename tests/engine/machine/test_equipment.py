"""What is known of the machine: checked, completed, cables computed."""

from __future__ import annotations

import pytest

from crankpath.engine.errors import EquipmentError
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.machine.equipment import complete


def test_defaults_fill_in_what_was_not_said_and_the_rest_stays_unknown(kb: Knowledge) -> None:
    facts = complete(kb, {})
    assert facts["system_voltage"] == 12
    assert facts["start_relay"] is True
    assert "air_temperature" not in facts
    assert "positive_cable_resistance" not in facts


@pytest.mark.parametrize(
    ("fact", "given", "kept"),
    [
        ("system_voltage", "24", 24),
        ("system_voltage", 24, 24),
        ("start_relay", "False", False),
        ("start_relay", False, False),
        ("when_hot", "true", True),
        ("duty", "Light", "light"),
        ("air_temperature", "-12.5", -12.5),
        ("engine_litres", 6, 6.0),
    ],
)
def test_values_are_taken_as_written_by_a_person(
    kb: Knowledge, fact: str, given: object, kept: object
) -> None:
    value = complete(kb, {fact: given})[fact]
    assert value == kept
    assert isinstance(value, bool) is isinstance(kept, bool)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"start_relay": 1}, "not one of true, false"),
        ({"system_voltage": True}, "not one of 12, 24"),
        ({"duty": "medium"}, "not one of light, heavy"),
        ({"air_temperature": True}, "no number in degC"),
        ({"air_temperature": float("nan")}, "no number"),
        ({"cca": 5}, "100 to 8000"),
        ({"disconect_switch": "none"}, "disconnect_switch"),
        ({"cables": "2/0"}, "gauge and length"),
        ({"cables": {"earth": {"gauge": "2/0 AWG", "length": "1 m"}}}, "the runs are positive and negative"),
        ({"cables": {"negative": {"gauge": "thick", "length": "1 m"}}}, "cables, negative: .*no cable size"),
        ({"cables": {"negative": {"gauge": "33 mm2", "length": "1 m"}}}, "cables, negative: .*33 mm2"),
    ],
)
def test_what_is_not_allowed_is_told_with_what_is(kb: Knowledge, given: dict[str, object], told: str) -> None:
    with pytest.raises(EquipmentError, match=told):
        complete(kb, given)


def test_cables_become_ohms_of_the_whole_run(kb: Knowledge) -> None:
    cables = {
        "positive": {"gauge": "4/0 AWG", "length": "10 ft"},
        "negative": {"gauge": "70 mm2", "length": "2 m"},
    }
    facts = complete(kb, {"cables": cables})
    # ASTM B258 geometry and IACS copper: 4/0 has 0.0490 ohm per 1000 ft at 20 degC.
    assert facts["positive_cable_resistance"] == pytest.approx(0.000490, rel=2e-3)
    # IEC 60228 class 5, plain copper, maximum at 20 degC: 70 mm2 has 0.272 mohm/m.
    assert facts["negative_cable_resistance"] == pytest.approx(2 * 0.000272, rel=1e-9)


def test_cold_copper_and_cables_side_by_side_have_less(kb: Knowledge) -> None:
    cables = {"positive": {"gauge": "2/0 AWG", "length": "3 m"}}
    plain = complete(kb, {"cables": cables})["positive_cable_resistance"]
    cold = complete(kb, {"cables": cables, "air_temperature": -20})["positive_cable_resistance"]
    two = complete(kb, {"cables": cables, "positive_cables": 2})["positive_cable_resistance"]
    assert isinstance(plain, float)
    # AC 43.13-1B para 11-66: resistance goes with 234.5 + T.
    assert cold == pytest.approx(plain * (234.5 - 20) / 254.5, rel=1e-3)
    assert two == pytest.approx(plain / 2)
