"""One more reading here, beside an array floor and beside pyAgrum, an independent exact library.

All three work on the sets of faults that the engine weighs, so on the same network, whatever a rule may
say. (With a node a fault instead, a pooled reading has a table of 2 ** faults rows and is never built.)
Run as a module it is the process that is stopped when it takes too long:
``python tests/benchmark/beside_pyagrum.py "100 x 100" 3``.
"""

from __future__ import annotations

import gc
import json
import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from statistics import median
from typing import Any

from bench_cases import BenchCase, generated_case, shipped_case
from bench_timing import advise
from by_sets import Arrays, Network
from generated_bases import Size

from crankpath.engine.advice.leading_hypotheses import JointDistribution
from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Measurement

_GIGABYTE = 2**30


@dataclass(frozen=True, slots=True)
class Compared:
    """What one more reading took, or why there is no figure (``trouble``).

    Milliseconds of processor time, medians of the same run, of the chances of all faults and the bits of
    every open reading: arrays by array operations; library with the posterior by pyAgrum, and the rest by
    arrays; same here, for these outputs. advice: everything here: facts, tables, minutes and the verdict
    besides. worst: largest difference between a chance here and by pyAgrum. bits: the same of bits
    by arrays on all sets, here on the likeliest. sets, readings: how many there are.
    """

    name: str
    arrays: float = 0.0
    library: float = 0.0
    same: float = 0.0
    advice: float = 0.0
    worst: float = 0.0
    bits: float = 0.0
    sets: int = 0
    readings: int = 0
    trouble: str = ""


def installed() -> bool:
    """True if pyAgrum and numpy are there."""
    return find_spec("pyagrum") is not None and find_spec("numpy") is not None


def compared(name: str, seconds: float, gigabytes: float) -> Compared:
    """Compare on one base in a process of its own, stopped at a time or a memory cap.

    Args:
        name: "shipped", or "faults x measurements" of a generated base.
    """
    command = [sys.executable, __file__, name, str(gigabytes)]
    try:
        env = {**os.environ, "OPENBLAS_NUM_THREADS": "1"}  # threads that wait count as processor time
        done = subprocess.run(command, capture_output=True, text=True, timeout=seconds, check=False, env=env)
    except subprocess.TimeoutExpired:
        return Compared(name, trouble=f"does not finish in {seconds:.0f} s")
    if done.returncode != 0:
        lines = done.stderr.strip().splitlines() or ["it was stopped"]
        memory = "MemoryError" in lines[-1] or "bad_alloc" in done.stderr
        trouble = f"needs more than {gigabytes:g} GB" if memory else f"fails: {lines[-1][:60]}"
        return Compared(name, trouble=trouble)
    return Compared(**json.loads(done.stdout.splitlines()[-1]))


def _compare(case: BenchCase, runs: int = 15) -> dict[str, Any]:
    base = case.read()
    advise(base)
    arrays = Arrays(base)
    network = Network(arrays)
    times: dict[str, list[float]] = {name: [] for name in ("arrays", "library", "same", "advice")}
    worst = bits = 0.0
    arrays.open(base.what_if(case.more, case.values[0]))
    for value in case.values[:runs]:
        fuller, again = base.what_if(case.more, value), base.what_if(case.more, value)
        times["advice"].append(_timed(advise, fuller))
        opened = again.advisor.options.open  # with the facts and tables that arrays are given, too
        times["same"].append(_timed(_told, again, opened))
        given = arrays.given(fuller)
        network.observe(given)
        times["arrays"].append(_timed(lambda shares: arrays.told(arrays.posterior(shares)), given))
        times["library"].append(_timed(lambda: arrays.told(network.posterior())))
        theirs, _ = arrays.told(network.posterior())
        _, floor = arrays.told(arrays.posterior(given))
        causes, ours = _told(again, opened)
        worst = max([worst, *(abs(theirs[fault] - causes[fault]) for fault in theirs)])
        bits = max([bits, *(abs(floor[name] - ours[name]) for name in ours)])
    found = {name: median(taken) for name, taken in times.items()}
    return {
        **found, "name": case.name, "worst": worst, "bits": bits,
        "sets": len(arrays.before), "readings": len(opened),
    }  # fmt: skip


def _timed(work: Callable[..., object], *of: Any) -> float:
    """Milliseconds of processor time that the work takes."""
    gc.collect()
    begin = time.process_time()
    work(*of)
    return 1e3 * (time.process_time() - begin)


def _told(case: Case, opened: Sequence[Measurement]) -> tuple[dict[str | None, float], dict[str, float]]:
    """Chances of the faults, and bits of the open readings."""
    causes = {cause.fault: cause.probability for cause in case.causes()}
    leading = case.advisor.leading
    return causes, {one.id: JointDistribution(leading, leading.outcomes(one)).bits for one in opened}


def lines(found: Compared) -> list[str]:
    """One base as text."""
    rows = (
        ("arrays alone (numpy)", found.arrays),
        ("pyAgrum's posterior of the sets, the rest by arrays", found.library),
        ("here, in plain Python", found.same),
        ("here, with facts, tables, minutes and the verdict, which only we work out", found.advice),
    )
    said = f"{found.sets} sets, {found.readings} readings; chances differ by {found.worst:.0e} at most"
    return [
        f"  {found.name}: {said}, bits on the likeliest sets from those on all by {found.bits:.0e}",
        *(f"    {ms:8.2f}  {ms / found.arrays:5.1f} x arrays  {said}" for said, ms in rows),
    ]


def _case_named(name: str) -> BenchCase:
    """The benchmark case of that name."""
    kb = load_knowledge()
    if name == "shipped":
        return shipped_case(kb)
    faults, _, measurements = name.partition(" x ")
    return generated_case(kb, Size(int(faults), int(measurements)))


def _main(name: str, gigabytes: str) -> None:
    most = int(float(gigabytes) * _GIGABYTE)
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    found = _compare(_case_named(name))
    sys.stdout.write(json.dumps(found) + "\n")


if __name__ == "__main__":
    _main(*sys.argv[1:])
