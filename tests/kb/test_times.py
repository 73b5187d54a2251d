"""Check and test of the shipped knowledge are quick enough to be run after every change.

Processor time is measured, so that other work on the machine does not count.
"""

from __future__ import annotations

import time

import pytest

from crankpath.engine.checking.checks import check_knowledge
from crankpath.shell.commands.kb.test import run_case
from crankpath.shell.kb_folders import Folders

CHECK_SECONDS, TEST_SECONDS = 5.0, 25.0


@pytest.mark.slow
def test_the_shipped_knowledge_is_read_and_checked_in_time() -> None:
    begun = time.process_time()
    kb, problems = Folders().read()
    assert kb is not None
    assert check_knowledge(kb) == ()
    assert problems == ()
    assert time.process_time() - begun < CHECK_SECONDS


@pytest.mark.slow
def test_the_shipped_cases_run_in_time() -> None:
    begun = time.process_time()
    folders = Folders()
    kb, _ = folders.read()
    assert kb is not None
    results = [run_case(kb, file, text) for _, file, text in folders.cases()]
    assert results
    assert time.process_time() - begun < TEST_SECONDS
