"""Chances that fit the bands of every measurement they are used for."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


RULE = """rules:
  slight_shows:
    like: slight_shows
    reads: {%s}
measurements:
  odd_drop: {like: joint_drop, label: odd drop, bands: [low, middle, full], limits: [{at: [0.2, 5]}],
    healthy: {low: 0.9}}
"""


def test_bands_that_all_measurements_of_the_kind_have_are_fine(finds: Finds) -> None:
    assert finds("chances", RULE % "full: 0.9") == []


def test_a_band_that_one_measurement_of_the_kind_lacks_is_told_once(finds: Finds) -> None:
    (told,) = finds("chances", RULE % "high: 0.85, full: 0.1")
    assert told.startswith("rules/slight_shows: rule slight_shows does not fit odd_drop")
    assert "'high' is no band here" in told
