"""Several processes on one case."""

from __future__ import annotations

import subprocess
import sys

NOON = "2031-05-04T12:00:00Z"
WRITER = """
import sys
from crankpath.shell.store import open_store
store = open_store(sys.argv[1], patience=30)
for n in range(40):
    event = store.append(sys.argv[2], "note", {"text": f"{sys.argv[3]} {n}"}, at="2031-05-04T12:00:00Z")
    print(event.sequence, flush=True)
"""


def test_entries_of_two_processes_interleave_and_all_are_kept_in_each_ones_order(place, opened):
    store = opened(place)
    case_id = store.create_case("x", at=NOON).case_id
    shells = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, place, case_id, name], stdout=subprocess.PIPE, text=True
        )
        for name in ("one", "two")
    ]
    printed = [list(map(int, shell.communicate(timeout=120)[0].split())) for shell in shells]
    assert [shell.returncode for shell in shells] == [0, 0]
    events = store.events(case_id)
    assert [e.sequence for e in events] == list(range(1, 82))
    assert sorted(printed[0] + printed[1]) == list(range(2, 82))
    for name, sequences in zip(("one", "two"), printed, strict=True):
        texts = [e.body["text"] for e in events if e.sequence in sequences]
        assert texts == [f"{name} {n}" for n in range(40)]
