"""Leg resistance, its split, and the heat of a joint."""

import pytest

from crankpath.engine.physics.legs import joint_watts, leg_resistance, split_leg
from crankpath.engine.physics.tables import PhysicsError


def test_half_a_volt_at_six_hundred_amperes_is_three_hundred_watts() -> None:
    # Common practice figure of the trade: 0.5 V at 600 A is 300 W.
    assert joint_watts(0.5, 600) == 300


def test_half_a_volt_at_five_hundred_amperes_is_one_milliohm() -> None:
    # TM 5-2420-230-24-2 p. 13-23: less than 0.5 V at 500 A (0.0010 ohm).
    assert leg_resistance(0.5, 500) == pytest.approx(0.0010)


@pytest.mark.parametrize(
    ("drop", "amperes", "missing"),
    [(None, 500, "drop"), (0.5, None, "cranking current"), (None, None, "drop and the")],
)
def test_what_is_missing_is_named(drop: float | None, amperes: float | None, missing: str) -> None:
    with pytest.raises(PhysicsError, match=missing):
        leg_resistance(drop, amperes)


def test_a_drop_without_current_has_no_resistance() -> None:
    with pytest.raises(PhysicsError, match="No current"):
        leg_resistance(0.0, 0.0)


def test_the_two_parts_add_up_to_the_reading() -> None:
    split = split_leg(0.82, 400, 0.00075)
    assert split.as_built == pytest.approx(0.3)
    assert split.as_built + split.excess == pytest.approx(0.82)


def test_a_split_needs_a_cable() -> None:
    with pytest.raises(PhysicsError, match="above zero"):
        split_leg(0.8, 400, 0.0)
