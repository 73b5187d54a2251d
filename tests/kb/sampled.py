"""Parameters of a test of which each run takes a sample, and the slow tests the rest."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest


def one_in(step: int, values: Iterable[Any]) -> list[Any]:
    """Every so many of the values with each run, the others with the slow tests."""
    return [value if number % step == 0 else _slow(value) for number, value in enumerate(values)]


def _slow(value: Any) -> Any:
    if hasattr(value, "marks"):  # a `pytest.param`
        return pytest.param(*value.values, id=value.id, marks=pytest.mark.slow)
    return pytest.param(*(value if isinstance(value, tuple) else (value,)), marks=pytest.mark.slow)
