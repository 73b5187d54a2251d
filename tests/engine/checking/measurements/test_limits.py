"""Limits that do not rise, cannot be reached or are never used."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


DROP = """measurements:
  third_drop:
    like: joint_drop
    label: third drop
    limits:
      - %s
"""


def test_limits_that_rise_on_every_machine_are_fine(finds: Finds) -> None:
    assert finds("limits", DROP % '{at: [{formula: "system_voltage / 60"}, 5]}') == []


def test_limits_that_overlap_on_one_machine_are_told_with_that_machine(finds: Finds) -> None:
    (told,) = finds("limits", DROP % '{at: [{formula: "0.3 * system_voltage"}, 5]}')
    assert "third_drop limits: the limits above and below 'high' do not rise (7.2, 5 with" in told
    assert "system_voltage 24" in told


def test_a_last_band_beyond_the_most_is_told(finds: Finds) -> None:
    (told,) = finds("limits", DROP % "{at: [0.2, 20]}")
    assert "no reading can lie in 'full': it begins at 20, and 'most' is 15.6 with system_voltage 12" in told


def test_a_first_band_below_the_least_is_told(finds: Finds) -> None:
    (told,) = finds("limits", DROP % "{at: [0, 5]}")
    assert "no reading can lie in 'low': it ends at 0, and 'least' is 0" in told


def test_a_limit_that_needs_a_reading_leaves_a_gap_without_it(finds: Finds) -> None:
    (told, *_) = finds("limits", DROP % '{at: [{formula: "0.1 + current / 1000"}, 15]}')
    assert "a limit cannot be worked out while current is not known" in told


def test_a_set_behind_one_that_always_holds_is_never_in_force(finds: Finds) -> None:
    sets = "{given: {duty: [light, heavy]}, at: [0.2, 5]}\n      - {at: [0.3, 5]}"
    (told,) = finds("limits", DROP % sets)
    assert "this set is never in force: whenever it holds, one before it does" in told


def test_a_narrower_set_first_is_fine(finds: Finds) -> None:
    assert finds("limits", DROP % "{given: {duty: light}, at: [0.3, 5]}\n      - {at: [0.2, 5]}") == []


def test_a_least_that_no_sound_circuit_reaches_is_told_and_no_limit(finds: Finds) -> None:
    slip = "measurements: {joint_drop: {like: joint_drop, least: 0.5}}\n"
    (told,) = finds("limits", slip)
    assert told.startswith("measurements/joint_drop: joint_drop: no reading can lie in 'low'")
    assert finds("ranges", slip) == []
