"""How long each entry of the shipped cases takes: ``python tests/benchmark/steps.py``.

Processor time from an entry to causes, suggestions and verdict, no model of a machine left from another
case. An entry that begins a case, or the machine alone, makes all tables of the machine.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from time import process_time

from bench_timing import advise

from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import read_case
from crankpath.engine.cases.replay import enter
from crankpath.engine.inference.model import forget_models
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.kb_folders import Folders


def steps(kb: Knowledge, text: bytes | str, file: str) -> Iterator[tuple[str, float]]:
    """(sort, milliseconds) of the machine alone, the first entry and each later one of a case."""
    forget_models()
    written, _ = read_case(text, file)
    if written is None:
        return
    begin = process_time()
    case = Case(kb, written.equipment, frozenset(tool for tool in written.lacks if tool in kb.tools))
    advise(case)
    yield "machine alone", 1e3 * (process_time() - begin)
    for number, entry in enumerate(written.entries):
        begin = process_time()
        enter(case, entry)
        advise(case)
        taken = 1e3 * (process_time() - begin)
        later = "intermittent" if case.assessment.intermittent else "constant"
        yield later if number else "first entry", taken


def _main() -> None:
    folders = Folders()
    kb, taken = folders.load(), dict[str, list[float]]()
    for _, file, text in folders.cases():
        for sort, milliseconds in steps(kb, text, file):
            taken.setdefault(sort, []).append(milliseconds)
    for sort, times in taken.items():
        times.sort()
        middle, most = times[len(times) // 2], times[int(0.9 * len(times))]
        said = f"median {middle:.0f} ms, nine in ten below {most:.0f}, worst {times[-1]:.0f}"
        sys.stdout.write(f"{sort}: {len(times)} steps, {said}\n")


if __name__ == "__main__":
    _main()
