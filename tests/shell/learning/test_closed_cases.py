"""Closed cases of a store, brought in one by one."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from closed_store import filled

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.learning.learner import Learner
from crankpath.shell.learning.closed_cases import closed_cases

WITHIN = """
import resource, sys
from crankpath.shell.main import cli
cli(["kb", "learn", "--from", sys.argv[1]], standalone_mode=False)
used = resource.getrusage(resource.RUSAGE_SELF)
print("USED", used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)
"""


def test_a_store_is_read_case_by_case_the_latest_first(tmp_path: Path, kb: Knowledge) -> None:
    filled(tmp_path / "closed.sqlite", 5)
    lessons = Learner(kb)
    with closed_cases(str(tmp_path / "closed.sqlite")) as (filed, read):
        assert [one.name for one in filed] == [f"machine {n}" for n in (4, 3, 2, 1, 0)]
        for one in filed:
            assert lessons.wants(one.causes)
            closed = read(one, kb)
            assert not isinstance(closed, str)
            lessons.take(one.causes, closed)
    assert sum(lessons.confirmed.values()) == 5
    assert lessons.listener.heard


@pytest.mark.long
def test_learning_from_100_000_cases_takes_a_minute_and_300_megabytes(tmp_path: Path) -> None:
    """60 s of processor time, program start included; `-s` prints the figures."""
    place = tmp_path / "closed.sqlite"
    filled(place, 100_000)
    program = [sys.executable, "-c", WITHIN, str(place)]
    done = subprocess.run(program, check=True, capture_output=True, text=True)
    seconds, megabytes = map(float, done.stdout.rpartition("USED")[2].split())
    print(f"\n{seconds:.1f} s of processor time, {megabytes:.0f} MB")  # noqa: T201
    assert done.stdout.startswith("Shares: 100000 confirmed causes")
    assert done.stderr == ""  # no bar where nobody sees it
    assert seconds < 60
    assert megabytes < 300
