from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.physics.budget import voltage_budget

VOLTS = st.floats(0, 8)


def parts(**read: float) -> dict[str, float]:
    return {spent.part: round(spent.volts, 6) for spent in voltage_budget(**read)}


def test_every_volt_of_a_fully_read_machine_has_its_place() -> None:
    found = voltage_budget(
        rested=12.6, cranking=10.6, positive_leg=1.2, contacts=0.1, starter=9.2, negative_leg=0.2
    )
    assert [(s.part, round(s.volts, 3), s.read) for s in found] == [
        ("battery", 2.0, True),
        ("positive_leg", 1.2, True),
        ("contacts", 0.1, True),
        ("starter", 9.1, False),
        ("negative_leg", 0.2, True),
    ]


def test_a_starter_that_was_not_read_follows_from_the_sum() -> None:
    assert parts(cranking=10.0, positive_leg=0.8, contacts=0.2, negative_leg=0.3) == {
        "positive_leg": 0.8, "contacts": 0.2, "starter": 8.7, "negative_leg": 0.3,
    }  # fmt: skip


def test_what_is_read_on_one_side_only_leaves_the_rest_untold() -> None:
    assert parts(cranking=10.0, positive_leg=0.8) == {"positive_leg": 0.8, "not_read": 9.2}
    assert parts(cranking=10.0) == {"not_read": 10.0}


def test_the_posts_follow_from_both_legs_and_the_starter() -> None:
    found = parts(rested=12.0, positive_leg=1.0, starter=8.0, negative_leg=1.0)
    assert found == {"battery": 2.0, "positive_leg": 1.0, "contacts_and_starter": 8.0, "negative_leg": 1.0}


@pytest.mark.parametrize("read", [{}, {"rested": 12.6}, {"positive_leg": 1.0, "negative_leg": 0.1}])
def test_nothing_is_said_where_the_whole_is_not_known(read: dict[str, float]) -> None:
    assert voltage_budget(**read) == ()


def test_a_rested_voltage_below_the_cranking_one_tells_no_loss() -> None:
    assert "battery" not in parts(rested=10.0, cranking=11.0, positive_leg=0.1, negative_leg=0.1)


@given(VOLTS, VOLTS, VOLTS, VOLTS, VOLTS)
def test_the_parts_add_up_to_the_rested_voltage(
    inside: float, positive: float, contacts: float, motor: float, negative: float
) -> None:
    """Kirchhoff's voltage law: the sum round the circuit is what the battery had."""
    posts = positive + contacts + motor + negative
    found = voltage_budget(
        rested=inside + posts, cranking=posts, positive_leg=positive, contacts=contacts, negative_leg=negative
    )
    assert sum(spent.volts for spent in found) == pytest.approx(inside + posts, abs=1e-9)
    assert all(spent.volts >= 0 for spent in found)
