"""The same marginals and mutual informations by pyAgrum, an independent exact library.

The network has one node whose states are the sets of faults that the engine weighs, and
every fault and every reading as its child: so it holds whatever a rule may say. (With a
node a fault instead, a pooled reading has a table of 2 ** faults rows and is never built.)
Run as a module it is the process that is stopped when it takes too long:
``python -m crankpath.shell.benchmark.reference "100 x 100" 3``.
"""

from __future__ import annotations

import gc
import json
import resource
import subprocess
import sys
import time
from dataclasses import dataclass
from importlib.util import find_spec
from typing import Any

from crankpath.engine.trials.benchmark.bench_cases import BenchCase, generated_case, shipped_case
from crankpath.engine.trials.benchmark.generated import Size
from crankpath.shell.benchmark.by_sets import Network
from crankpath.shell.kb_folders import Folders

_GIGABYTE = 2**30


@dataclass(frozen=True, slots=True)
class Compared:
    """What the reference took, or why there is no figure (``trouble``).

    build: making its network. ours: our ranking with all suggestions after one more reading,
    theirs: its marginals of all faults and the mutual information of every reading that can still be
    taken; all in milliseconds of processor time, ours and theirs medians of the same run.
    worst: the largest difference between a fault's chance here and there.
    """

    name: str
    build: float = 0.0
    ours: float = 0.0
    theirs: float = 0.0
    readings: int = 0
    worst: float = 0.0
    trouble: str = ""


def installed() -> bool:
    """True if pyAgrum is there."""
    return find_spec("pyagrum") is not None


def compared(name: str, folders: Folders, seconds: float, gigabytes: float) -> Compared:
    """Compare on one base in a process of its own, stopped at a time or a memory cap.

    Args:
        name: "shipped", or "faults x measurements" of a generated base.
        folders: the knowledge.
    """
    command = [sys.executable, "-m", __name__, name, str(gigabytes), folders.own or "", folders.base or ""]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=seconds, check=False)
    except subprocess.TimeoutExpired:
        return Compared(name, trouble=f"does not finish in {seconds:.0f} s")
    if done.returncode != 0:
        lines = done.stderr.strip().splitlines() or ["it was stopped"]
        memory = "MemoryError" in lines[-1] or "bad_alloc" in done.stderr
        trouble = f"needs more than {gigabytes:g} GB" if memory else f"fails: {lines[-1][:60]}"
        return Compared(name, trouble=trouble)
    return Compared(**json.loads(done.stdout.splitlines()[-1]))


def _spent(begin: float) -> float:
    return 1e3 * (time.process_time() - begin)


def _compare(case: BenchCase, runs: int = 15) -> dict[str, Any]:
    base = case.read()
    base.suggestions()
    ours, theirs, worst, build, asked = [], [], 0.0, 0.0, 0
    network: Network | None = None
    for value in case.values[:runs]:
        gc.collect()  # neither pays for what the other left
        begin = time.process_time()
        fuller = base.what_if(case.more, value)
        causes = {cause.fault: cause.probability for cause in fuller.causes()}
        asked = len(fuller.suggestions())
        ours.append(_spent(begin))
        if network is None:
            begin = time.process_time()
            network = Network(fuller)
            build = _spent(begin)
        network.observe(fuller)
        gc.collect()
        begin = time.process_time()
        chances = network.chances()
        for suggestion in fuller.suggestions():
            network.bits(suggestion.measurement)
        theirs.append(_spent(begin))
        worst = max([worst, *(abs(chances[fault] - causes[fault]) for fault in chances)])
    middle = runs // 2
    return {
        "name": case.name, "build": build, "ours": sorted(ours)[middle],
        "theirs": sorted(theirs)[middle], "readings": asked, "worst": worst,
    }  # fmt: skip


def case_named(name: str, folders: Folders) -> BenchCase:
    """The benchmark case of that name."""
    kb = folders.load()
    if name == "shipped":
        return shipped_case(kb)
    faults, _, measurements = name.partition(" x ")
    return generated_case(kb, Size(int(faults), int(measurements)))


def _main(name: str, gigabytes: str, folder: str, base: str = "") -> None:
    most = int(float(gigabytes) * _GIGABYTE)
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    found = _compare(case_named(name, Folders(folder or None, base or None)))
    sys.stdout.write(json.dumps(found) + "\n")


if __name__ == "__main__":
    _main(*sys.argv[1:])
