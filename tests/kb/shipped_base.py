"""The shipped knowledge, loaded once a process: for tests, and for what is made while tests are collected."""

from __future__ import annotations

import gc
from functools import cache

from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge


@cache
def shipped_knowledge() -> Knowledge:
    """The shipped knowledge base; frozen records, so one serves all tests."""
    kb = load_knowledge()
    gc.freeze()  # the collector need not go through it in every test
    return kb
