"""A lock on an open file that ends with its process, where the system has one."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

try:
    import fcntl
except ImportError:  # a system without it: the window is a few milliseconds wide
    fcntl = None  # type: ignore[assignment]


@contextmanager
def held(descriptor: int) -> Iterator[None]:
    """Hold the exclusive lock of an open file for the time of the block."""
    if fcntl is not None:
        fcntl.flock(descriptor, fcntl.LOCK_EX)
    try:
        yield
    finally:
        if fcntl is not None:
            fcntl.flock(descriptor, fcntl.LOCK_UN)
