"""Processor time of the steps of a case, and the memory it takes."""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from statistics import median

from bench_cases import BenchCase

from crankpath.engine.cases.case import Case
from crankpath.engine.inference.model import forget_models
from crankpath.engine.knowledge.loading import load_knowledge

MEMORY_UP_TO = 200_000  # sets; memory of larger cases is not traced, which takes ten times as long


@dataclass(frozen=True, slots=True)
class Steps:
    """Milliseconds of processor time, medians.

    first: from the machine's facts and the complaint to the ranking. once: the readings and
    the first suggestions on that machine. more: the ranking after one more reading.
    suggested: that and all suggestions. two: that and the verdict, two readings ahead.
    megabytes: what the case and its model hold; None where it was not traced.
    """

    name: str
    elements: int
    sets: int
    first: float
    once: float
    more: float
    suggested: float
    two: float
    megabytes: float | None


def spent(work: Callable[[], object]) -> float:
    """Milliseconds of processor time that the work takes."""
    begin = time.process_time()
    work()
    return 1e3 * (time.process_time() - begin)


def load_time(runs: int) -> float:
    """Milliseconds to load the shipped knowledge base, median."""
    return median(spent(load_knowledge) for _ in range(runs))


def measured(case: BenchCase, runs: int) -> Steps:
    """Time one case, each step several times; every *one more reading* is one not seen before."""
    first = median(spent(lambda: _first(case)) for _ in range(min(runs, 3)))
    forget_models()
    once = spent(lambda: case.read().suggestions())
    base = case.read()
    base.suggestions()
    values = iter(case.values)
    more = median(spent(lambda: _more(base, case, values)) for _ in range(runs))
    suggested = median(spent(lambda: _more(base, case, values).suggestions()) for _ in range(runs))
    two = median(spent(lambda: advise(_more(base, case, values))) for _ in range(min(runs, 3)))
    model = base.assessment.model
    sets = len(model.hypotheses.members)
    held = _megabytes(case) if sets <= MEMORY_UP_TO else None
    return Steps(case.name, len(model.elements), sets, first, once, more, suggested, two, held)


def advise(case: Case) -> None:
    """All advice on a case: causes, every suggestion, the verdict."""
    case.causes()
    case.suggestions()
    case.verdict()


def _first(case: BenchCase) -> None:
    forget_models()
    case.opened().causes()


def _more(base: Case, case: BenchCase, values: Iterator[float]) -> Case:
    fuller = base.what_if(case.more, next(values))
    fuller.causes()
    return fuller


def _megabytes(case: BenchCase) -> float:
    forget_models()
    tracemalloc.start()
    try:
        held = case.read()
        held.suggestions()
        return tracemalloc.get_traced_memory()[0] / 1e6
    finally:
        tracemalloc.stop()
