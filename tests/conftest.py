"""The knowledge that tests share, loaded once, and how often a property is tried.

Property tests try the same examples every time; ``--hypothesis-profile=search`` tries new ones.
"""

from __future__ import annotations

import gc
from pathlib import Path

import pytest
from hypothesis import settings

from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge

settings.register_profile("same", deadline=None, derandomize=True, max_examples=40)
settings.register_profile("search", deadline=None, max_examples=1000)
settings.load_profile("same")


@pytest.fixture(scope="session")
def shipped() -> Knowledge:
    """The shipped knowledge base."""
    kb = load_knowledge()
    gc.freeze()  # the collector need not go through it in every test
    return kb


@pytest.fixture(scope="session")
def kb(shipped: Knowledge) -> Knowledge:
    """The same by its short name."""
    return shipped


@pytest.fixture(scope="session")
def small() -> Knowledge:
    """An invented circuit of four points: what takes a second on the shipped one takes milliseconds."""
    return load_knowledge(Path(__file__).parent / "data" / "small", shipped=False)
