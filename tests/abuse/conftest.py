"""What every abuse test needs: how many inputs, and an end to what hangs."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from types import FrameType
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

FEW, SAMPLE, MANY = 5, 60, int(os.environ.get("CRANKPATH_TRIES", "100000"))


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """A few inputs always, a sample with the slow tests, a hundred thousand with the long ones."""
    if "tries" in metafunc.fixturenames:
        marks = (("few", FEW, ()), ("sample", SAMPLE, pytest.mark.slow), ("many", MANY, pytest.mark.long))
        metafunc.parametrize("tries", [pytest.param(n, id=name, marks=mark) for name, n, mark in marks])


@pytest.fixture
def plenty(tries: int) -> settings:
    """Settings of a property that is tried that often."""
    return settings(max_examples=tries, deadline=None, suppress_health_check=list(HealthCheck), database=None)


class Hangs(BaseException):
    """Raised in the middle of what takes far too long; no handler of ours catches it."""


@pytest.fixture
def within() -> Callable[[float], AbstractContextManager[None]]:
    """``with within(2.0):`` fails what takes longer."""

    def late(_: int, __: FrameType | None) -> None:
        raise Hangs

    @contextmanager
    def limit(seconds: float) -> Iterator[None]:
        before: Any = signal.signal(signal.SIGALRM, late)
        signal.setitimer(signal.ITIMER_REAL, seconds)
        try:
            yield
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0.0)
            signal.signal(signal.SIGALRM, before)

    return limit
