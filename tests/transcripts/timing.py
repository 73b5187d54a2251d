"""``python tests/transcripts/timing.py``: from a line to the next question; from start to first prompt.

The first is processor and wall time inside this process, entry on disk included, over whole cases; the
second is wall time of the real program in a pseudo-terminal, beside bare imports of its libraries.
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable

import pexpect
from playing import Person, asked_by

from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.shell.session.input.completion import Vocabulary
from crankpath.shell.session.loop import Conversation
from crankpath.shell.session.open_case import OpenCase
from crankpath.shell.session.start import now
from crankpath.shell.store import open_store

_FAULTS = ("positive_post_joint", "negative_cable", "starter_stud_joint", "relay_ground", "starter_dragging")
_BARE = "import networkx, yaml, prompt_toolkit"


class Timed:
    """A terminal whose lines a person answers, each answer timed."""

    def __init__(self, person: Person) -> None:
        self._person, self._screen, self._since = person, "", (0.0, 0.0)
        self.seconds: list[tuple[float, float]] = []

    def size(self) -> tuple[int, int]:
        return 79, 24

    def show(self, lines: Iterable[str]) -> None:
        self._screen += "\n" + "\n".join(lines)

    def read(self, prompt: str, vocabulary: Callable[[], Vocabulary]) -> str | None:
        if self._since[0]:
            wall, processor = self._since
            self.seconds.append((time.perf_counter() - wall, time.process_time() - processor))
        asked = asked_by(prompt)
        if asked == "case" or len(self.seconds) > 60:
            return None
        line = self._person.answer(asked, self._screen[-4000:])
        self._since = time.perf_counter(), time.process_time()
        return line


def steps() -> list[tuple[float, float]]:
    """Wall and processor seconds of every line of one case for each of some faults."""
    kb, found = load_knowledge(), []
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(f"{folder}/cases.sqlite")
        for fault in _FAULTS:
            machine = draw_machine(random.Random(1), kb, faults={fault: None})
            terminal = Timed(Person(kb, machine, random.Random(2), "no go"))
            open_case = OpenCase(store, kb, now)
            open_case.blank()
            Conversation(open_case, terminal, lambda state: None).run()
            found += terminal.seconds
        store.close()
    return found


def first_prompt() -> float:
    """Seconds from the start of the program to its first prompt."""
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "HOME": folder, "XDG_DATA_HOME": folder, "XDG_CONFIG_HOME": folder}
        begin = time.perf_counter()
        program = ["-c", "from crankpath.shell.main import main; main()"]
        child = pexpect.spawn(sys.executable, program, env=environment, dimensions=(24, 80))
        child.expect("operator says>")
        seconds = time.perf_counter() - begin
        child.close(force=True)
    return seconds


def bare() -> float:
    """Seconds that the libraries alone take to import in a fresh process."""
    begin = time.perf_counter()
    subprocess.run([sys.executable, "-c", _BARE], check=True)
    return time.perf_counter() - begin


def main() -> None:
    """Print the figures."""
    for name, seconds in zip(("wall", "processor"), zip(*steps(), strict=True), strict=True):
        ordered = sorted(1000 * s for s in seconds)
        print(  # noqa: T201
            f"line to question, {name}: median {statistics.median(ordered):.0f} ms, nine in ten below "
            f"{ordered[len(ordered) * 9 // 10]:.0f} ms, worst {ordered[-1]:.0f} ms, {len(ordered)} lines"
        )
    starts, imports = [[f() for _ in range(7)] for f in (first_prompt, bare)]
    start, alone = statistics.median(starts), statistics.median(imports)
    print(f"start to first prompt: {start:.2f} s, bare imports {alone:.2f} s")  # noqa: T201


if __name__ == "__main__":
    main()
