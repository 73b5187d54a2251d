"""Units that can be typed, and formulas that add like with like."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


FACT = """facts:
  leg: {when: {joint_drop: known, current: known}, then: {leg: {formula: "%s"}}, because: so}
"""


def test_volts_over_amperes_is_fine(finds: Finds) -> None:
    assert finds("units", FACT % "joint_drop / current") == []


def test_volts_and_amperes_do_not_add(finds: Finds) -> None:
    (told,) = finds("units", FACT % "joint_drop + current")
    assert told == "facts/leg: leg: leg (formula joint_drop + current) puts V and A together"


def test_a_plain_number_may_carry_any_unit(finds: Finds) -> None:
    assert finds("units", FACT % "joint_drop + 0.001 * current") == []


def test_a_limit_comes_out_in_the_unit_of_its_measurement(finds: Finds) -> None:
    slip = {
        "old": "limits:\n      - {at: [10, 200]",
        "new": 'limits:\n      - {at: [1, {formula: "cable_drop"}]',
    }
    (told,) = finds("units", **slip)
    assert "comes out in V, not in A" in told


def test_a_unit_nobody_can_type_is_told_with_a_near_one(finds: Finds) -> None:
    (told,) = finds("units", old="unit: A", new="unit: Amps")
    assert told == "measurements/current: current: no reading can be typed in the unit 'Amps'"


def test_two_leads_show_no_amperes(finds: Finds) -> None:
    (told,) = finds("units", old="    unit: A\n", new="    unit: A\n    between: [post, stud]\n")
    assert "lies between two points but is read in A" in told


def test_a_unit_unlike_all_others_of_the_kind_is_told(finds: Finds) -> None:
    text = "measurements:\n  last_drop: {like: joint_drop, label: last drop, unit: mV}\n"
    (told,) = finds("units", text)
    assert told.endswith("last_drop is read in mV, all others of the kind 'loaded_drop' in V")


def test_a_balance_of_volts_and_amperes_is_told(finds: Finds) -> None:
    (told,) = finds("units", old="parts: [cable_drop]", new="parts: [current]")
    assert "adds what does not add: joint_drop in V, current in A" in told
