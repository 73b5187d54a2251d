"""Drawing figures of a parameter set: ranges, chances and single values."""

from __future__ import annotations

import math
import random
from typing import Any

from crankpath.engine.physics.tables import Figures


def drawn(rng: random.Random, figure: Figures) -> float:
    """A number from ``{range: [low, high]}``, evenly, or evenly in its logarithm with ``log: true``."""
    low, high = figure["range"]
    if figure.get("log"):
        return math.exp(rng.uniform(math.log(low), math.log(high)))
    return rng.uniform(low, high)


def chosen(rng: random.Random, figure: Figures) -> Any:
    """A key of ``{chances: {key: chance, ...}}``."""
    chances = figure["chances"]
    return rng.choices(list(chances), list(chances.values()))[0]


def happens(rng: random.Random, figure: Figures) -> bool:
    """True with the chance of ``{value: chance}``."""
    return bool(rng.random() < figure["value"])
