"""The figures of ``kb/machines``: the one place where the physics reads files.

Everything else in this package takes the mapping that `load_tables` or
`load_parameters` returns, so another loader can take this one's place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import yaml

from crankpath.engine.errors import CrankpathError


class PhysicsError(CrankpathError, ValueError):
    """A circuit computation was asked for something that has no answer; the message says why."""


Figures = Mapping[str, Any]
"""A mapping as read from YAML."""

Points = Sequence[Sequence[float]]
"""Pairs (x, y), ascending in x."""


@lru_cache(maxsize=8)
def load_parameters(name: str) -> Figures:
    """The parameter set of that name ("first", "second", "third", "tables").

    A set that is `like` another states only the figures in which it differs.

    Raises:
        PhysicsError: there is no such set; the message lists those there are.
    """
    folder = Path(__file__).resolve().parents[2] / "kb" / "machines"
    known = sorted(f.name.removesuffix(".yaml") for f in folder.iterdir() if f.name.endswith(".yaml"))
    if name not in known:
        raise PhysicsError(f"There is no parameter set '{name}'; there are {', '.join(known)}.")
    text = folder.joinpath(f"{name}.yaml").read_text(encoding="utf-8")
    figures = yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    like = figures.pop("like", None)
    laid: Figures = figures if like is None else _laid_over(load_parameters(like), figures)
    return laid


def _laid_over(figures: Any, changed: Any) -> Any:
    """Figures with some of them changed; a figure, which names its source, is changed as a whole."""
    if not isinstance(figures, Mapping) or not isinstance(changed, Mapping) or "source" in changed:
        return changed
    return {**figures, **{key: _laid_over(figures.get(key), value) for key, value in changed.items()}}


def load_tables() -> Figures:
    """The published tables, ``kb/machines/tables.yaml``."""
    return load_parameters("tables")


def interpolate(points: Points, x: float) -> float:
    """The table's value at x: straight lines between the points, the end values outside.

    >>> interpolate([[0, 10], [10, 20]], 2.5)
    12.5
    >>> interpolate([[0, 10], [10, 20]], 99)
    20.0
    """
    if x <= points[0][0]:
        return float(points[0][1])
    for (x0, y0), (x1, y1) in pairwise(points):
        if x <= x1:
            return float(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
    return float(points[-1][1])
