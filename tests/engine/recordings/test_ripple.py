"""The ripple of compressions and the speed that follows from it."""

from __future__ import annotations

import math
import random

import pytest

from crankpath.engine.recordings.ripple import compressions, find_ripple, speed_of


# rpm = 120 f / cylinders for a four-stroke engine. Source: a V8 measured at 150 rpm on average shows 10 Hz
# (engineering magazine, data acquisition on a V8 at 15:1).
@pytest.mark.parametrize(("hertz", "cylinders", "rpm"), [(5.0, 4, 150.0), (7.5, 6, 150.0), (10.0, 8, 150.0)])
def test_speed_follows_from_compressions(hertz: float, cylinders: int, rpm: float) -> None:
    assert speed_of(hertz, cylinders) == rpm
    assert compressions(rpm, cylinders) == hertz


SEEDS = [n if n < 4 else pytest.param(n, marks=pytest.mark.slow) for n in range(20)]


@pytest.mark.parametrize("seed", SEEDS)
def test_frequency_and_height_of_a_ripple_are_found_within_their_errors(seed: int) -> None:
    rng = random.Random(seed)
    hertz, height, noise = rng.uniform(2, 25), rng.uniform(0.1, 1.0), rng.uniform(0.001, 0.02)
    slope, rate = rng.uniform(-0.2, 0.2), rng.choice([150, 400, 2000])
    times = [i / rate for i in range(int(rate * rng.uniform(2, 5)))]
    wave = [height / 2 * math.sin(2 * math.pi * hertz * t + seed) for t in times]
    values = [10 + slope * t + w + rng.gauss(0, noise) for t, w in zip(times, wave, strict=True)]
    found = find_ripple(times, values, 1.0, 40.0, noise)
    assert found is not None
    assert abs(found.hertz - hertz) < found.hertz_error < 0.2
    assert abs(found.peak_to_peak - height) < found.error + 0.02 * height


@pytest.mark.parametrize("seed", SEEDS)
def test_noise_has_no_ripple(seed: int) -> None:
    rng = random.Random(seed)
    times = [i / 200 for i in range(600)]
    assert find_ripple(times, [rng.gauss(10, 0.1) for _ in times], 1.0, 40.0, 0.1) is None


def test_too_few_samples_have_no_ripple() -> None:
    assert find_ripple([0.0, 0.1], [1.0, 2.0], 1.0, 40.0, 0.1) is None
