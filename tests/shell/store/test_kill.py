"""A shell that is killed at any moment loses nothing it had said was written."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time

import pytest

from crankpath.shell.store import open_store

pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs kill -9")
NOON = "2031-05-04T12:00:00Z"
ENTRIES = 30
WRITER = """
import sys
from crankpath.shell.store import open_store
store = open_store(sys.argv[1])
print("ready", flush=True)
for n in range(30):
    event = store.append(sys.argv[2], "note", {"text": str(n)}, at="2031-05-04T12:00:00Z")
    print(event.sequence, event.id, flush=True)
"""


def killed_session(path, case_id, wait):
    """Run the writer and kill it `wait` seconds after its start was complete; return what it printed."""
    shell = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), case_id], stdout=subprocess.PIPE, text=True
    )
    assert shell.stdout.readline() == "ready\n"
    time.sleep(wait)
    shell.kill()
    lines = shell.stdout.read().split("\n")
    shell.wait()
    shell.stdout.close()
    return [tuple(line.split()) for line in lines[:-1]]  # the last is empty or cut off


def kill_often(path, times, seed):
    chance = random.Random(seed)
    store = open_store(path)
    cut_short = 0
    for _ in range(times):
        case_id = store.create_case("x", at=NOON).case_id
        printed = killed_session(path, case_id, chance.uniform(0, 0.15))
        events = store.events(case_id)
        there = {(str(e.sequence), e.id) for e in events}
        assert set(printed) <= there
        assert len(there) <= len(printed) + 2  # the opening, and one written but not yet printed
        assert [e.sequence for e in events] == list(range(1, len(events) + 1))
        cut_short += len(printed) < ENTRIES
    store.close()
    again = open_store(path)  # an entry that was not printed may be in the journal only
    assert again.said in ((), ("Entries that waited for the store are in it now: 1.",))
    again.close()
    return cut_short


@pytest.mark.parametrize(
    ("times", "cut_short"),
    [(4, 0), pytest.param(15, 0, marks=pytest.mark.slow), pytest.param(200, 20, marks=pytest.mark.long)],
)
def test_what_was_printed_before_a_kill_is_there(path, times, cut_short):
    assert kill_often(path, times, seed=times) > cut_short
