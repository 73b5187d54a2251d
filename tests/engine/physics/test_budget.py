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
        rested=12.6, loaded=10.6, there=1.2, inner=0.1, load=9.2, back=0.2
    )
    assert [(s.part, round(s.volts, 3), s.read) for s in found] == [
        ("inside", 2.0, True),
        ("there", 1.2, True),
        ("inner", 0.1, True),
        ("rest", 9.1, False),
        ("back", 0.2, True),
    ]


def test_a_starter_that_was_not_read_follows_from_the_sum() -> None:
    assert parts(loaded=10.0, there=0.8, inner=0.2, back=0.3) == {
        "there": 0.8, "inner": 0.2, "rest": 8.7, "back": 0.3,
    }  # fmt: skip


def test_what_is_read_on_one_side_only_leaves_the_rest_untold() -> None:
    assert parts(loaded=10.0, there=0.8) == {"there": 0.8, "not_read": 9.2}
    assert parts(loaded=10.0) == {"not_read": 10.0}


def test_the_posts_follow_from_both_legs_and_the_starter() -> None:
    found = parts(rested=12.0, there=1.0, load=8.0, back=1.0)
    assert found == {"inside": 2.0, "there": 1.0, "load": 8.0, "back": 1.0}


@pytest.mark.parametrize("read", [{}, {"rested": 12.6}, {"there": 1.0, "back": 0.1}])
def test_nothing_is_said_where_the_whole_is_not_known(read: dict[str, float]) -> None:
    assert voltage_budget(**read) == ()


def test_a_rested_voltage_below_the_cranking_one_tells_no_loss() -> None:
    assert "inside" not in parts(rested=10.0, loaded=11.0, there=0.1, back=0.1)


@given(VOLTS, VOLTS, VOLTS, VOLTS, VOLTS)
def test_the_parts_add_up_to_the_rested_voltage(
    inside: float, positive: float, inner: float, motor: float, negative: float
) -> None:
    """Kirchhoff's voltage law: the sum round the circuit is what the battery had."""
    posts = positive + inner + motor + negative
    found = voltage_budget(
        rested=inside + posts, loaded=posts, there=positive, inner=inner, back=negative
    )
    assert sum(spent.volts for spent in found) == pytest.approx(inside + posts, abs=1e-9)
    assert all(spent.volts >= 0 for spent in found)
