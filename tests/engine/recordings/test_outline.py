"""A crank with fewer samples."""

from __future__ import annotations

from crankpath.engine.recordings.cranks import RawCrank
from crankpath.engine.recordings.outline import outline_of


def test_no_peak_is_lost_however_few_the_stretches() -> None:
    times = tuple(i / 1000 for i in range(4000))
    values = tuple(3.0 if i == 1777 else -2.0 if i == 2345 else 1.0 for i in range(4000))
    outline = outline_of(RawCrank(1.0, 3.0, times, (values,)), 10)
    (pairs,) = outline.columns
    assert len(pairs) == 10
    assert (min(a for a, _ in pairs), max(b for _, b in pairs)) == (-2.0, 3.0)
    assert (round(outline.begins, 2), round(outline.ends, 2)) == (-0.4, 2.4)


def test_a_stretch_without_samples_shows_the_one_before() -> None:
    outline = outline_of(RawCrank(0.0, 1.0, (0.0, 0.1, 0.9, 1.0), ((1.0, 2.0, 3.0, 4.0),)), 5)
    assert outline.columns == (((1.0, 2.0), (1.0, 2.0), (1.0, 2.0), (1.0, 2.0), (3.0, 4.0)),)
