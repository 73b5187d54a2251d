"""Battery arithmetic against published tables."""

import pytest

from crankpath.engine.physics import battery
from crankpath.engine.physics.tables import PhysicsError


@pytest.mark.parametrize(
    ("volts", "charge"), [(12.6, 1.0), (12.4, 0.75), (12.2, 0.5), (12.0, 0.25), (11.7, 0.0)]
)
def test_rested_voltage_at_a_charge(volts: float, charge: float) -> None:
    # TM 5-3805-262-20 p. 5-142, flooded 12 V battery.
    assert battery.rest_volts(charge) == pytest.approx(volts)


def test_charge_of_a_24_volt_pair() -> None:
    assert battery.rest_volts(0.5, units=2) == pytest.approx(24.4)


def test_a_cold_battery_rests_a_little_lower_at_the_same_charge() -> None:
    assert battery.rest_volts(0.8, -20) < battery.rest_volts(0.8, 20)


@pytest.mark.parametrize(("degc", "share"), [(27, 1.0), (0, 0.65), (-18, 0.40), (-29, 0.20)])
def test_power_left_in_the_cold(degc: float, share: float) -> None:
    # TM 5-4210-230-14&P-1 Table 3: 80, 32, 0 and -20 F.
    assert battery.power_left(degc) == pytest.approx(share)


@pytest.mark.parametrize(("degc", "need"), [(27, 1.0), (0, 1.55), (-18, 2.1), (-29, 3.5)])
def test_engine_need_in_the_cold(degc: float, need: float) -> None:
    # Repair-shop web page without citation (155 %, 210 %, 350 %).
    assert battery.engine_need(degc) == pytest.approx(need)


def test_a_battery_as_rated_just_holds_the_test_voltage_at_its_rating() -> None:
    # SAE cold-cranking test: rated current at -18 degC, 7.2 V or more; IEC 60095-1: 7.5 V.
    assert 12.6 - 800 * battery.rating_resistance(800) == pytest.approx(7.2)
    assert 12.6 - 800 * battery.rating_resistance(800, -18, "en") == pytest.approx(7.5)


def test_a_warm_battery_as_rated_passes_the_half_rating_test() -> None:
    # Training quiz: 9.6 V at 70 F with half the rating for 15 s.
    assert 12.5 - 350 * battery.rating_resistance(700, 21) > 9.6


def test_internal_resistance() -> None:
    assert battery.internal_resistance(12.6, 10.6, 400) == pytest.approx(0.005)


def test_readings_that_cannot_be_are_refused() -> None:
    with pytest.raises(PhysicsError, match="load current"):
        battery.internal_resistance(12.6, 10.6, 0)
    with pytest.raises(PhysicsError, match="above the open"):
        battery.internal_resistance(12.0, 12.6, 100)
    with pytest.raises(PhysicsError, match="above zero"):
        battery.rating_resistance(0)
