"""The motor's line, and where motor and load settle."""

import math

import pytest

from crankpath.engine.physics.motor import Load, Motor, settle, speed_at
from crankpath.engine.physics.tables import PhysicsError

SERIES = Motor(volts_per_rpm=0.06, ohms=0.006, residual=0.35, half_current=300, friction=2.0)
MAGNET = Motor(volts_per_rpm=0.03, ohms=0.015, residual=1.0, half_current=1.0, friction=1.0)


def test_speed_is_proportional_to_voltage_less_the_motors_own_drop() -> None:
    assert speed_at(200, 10, 400, 0.01, 8) == pytest.approx(200 * 4 / 6)
    assert speed_at(200, 10, 400, 0.01, 3) == 0


def test_a_motor_without_emf_has_no_line() -> None:
    with pytest.raises(PhysicsError, match="stands still"):
        speed_at(200, 4, 400, 0.01, 8)


@pytest.mark.parametrize("motor", [SERIES, MAGNET])
def test_torque_and_voltage_balance_where_it_settles(motor: Motor) -> None:
    load = Load(still=4.0, per_rpm=0.01, breakaway=6.0)
    at = settle(motor, load, 12.0, 0.004)
    assert at.speed > 0
    assert at.emf + at.amperes * (motor.ohms + 0.004) == pytest.approx(12.0)
    assert at.emf == pytest.approx(motor.emf(at.amperes, at.speed))
    assert motor.torque(at.amperes) == pytest.approx(motor.friction + 4.0 + 0.01 * at.speed, rel=1e-9)


def test_a_permanent_magnet_motor_follows_the_line_of_the_repair_formula() -> None:
    # With constant flux and constant torque the two ways must agree exactly.
    load = Load(still=4.0)
    bad, good = settle(MAGNET, load, 12.0, 0.010), settle(MAGNET, load, 12.0, 0.004)
    volts = 12.0 - bad.amperes * 0.010
    back = bad.amperes * 0.006
    assert speed_at(bad.speed, volts, bad.amperes, MAGNET.ohms, volts + back) == pytest.approx(good.speed)


def test_too_much_load_stalls_it_at_the_current_ohm_gives() -> None:
    at = settle(SERIES, Load(still=1e6), 12.0, 0.004)
    assert (at.speed, at.emf) == (0, 0)
    assert at.amperes == pytest.approx(1200)


def test_no_source_no_current() -> None:
    assert settle(SERIES, Load(1.0), 12.0, math.inf).amperes == 0
    assert settle(SERIES, Load(1.0), 0.0, 0.01).amperes == 0


def test_shorted_turns_draw_more_and_turn_slower() -> None:
    braked = Motor(0.06, 0.006, 0.35, 300, 2.0, braking=0.02)
    whole, bad = settle(SERIES, Load(4.0), 12.0, 0.004), settle(braked, Load(4.0), 12.0, 0.004)
    assert bad.amperes > whole.amperes
    assert bad.speed < whole.speed
