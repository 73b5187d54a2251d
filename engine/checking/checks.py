"""The table of checks, and what runs them all over a knowledge base.

Every check is a module of this folder with the check's id as its name: its docstring is the
explanation, its ``check`` takes a `Survey` and yields the problems it finds. Checks without
one are found while the files are read (`crankpath.engine.knowledge.loading`) or need more than the
knowledge base (`physics`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from types import ModuleType
from typing import Final

from crankpath.engine.checking.acts import repeated_caution, unsaid_hazard
from crankpath.engine.checking.entries import (
    duplicate_id,
    idle_silence,
    no_caution,
    no_proof,
    no_repair,
    no_source,
    same_name,
    share,
    structure,
    unknown_id,
    unreadable,
    unused,
)
from crankpath.engine.checking.measurements import limit_source, limits, tells_nothing, units
from crankpath.engine.checking.rules import (
    better_than_healthy,
    chances,
    condition,
    conflicting,
    fact_cycle,
    look_alikes,
    needless_condition,
    never_applies,
    physics,
    ranges,
    redundant,
    shadowed,
)
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.folders import shipped_folder
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge, Silence
from crankpath.engine.trials.physics_check import Comparison

Generator = Callable[[Survey], Iterator[Problem]]


@dataclass(frozen=True)
class Check:
    """One check. run: None if it does not run on a knowledge base that could be read."""

    id: str
    run: Generator | None
    explanation: str
    silenceable: bool = True

    @property
    def title(self) -> str:
        """The first sentence of the explanation."""
        return self.explanation.split("\n", 1)[0]


def _check(module: ModuleType, run: Generator | None = None, silenceable: bool = True) -> Check:
    return Check(module.__name__.rsplit(".", 1)[1], run, module.__doc__ or "", silenceable)


CHECKS: Final = (
    _check(unreadable, silenceable=False),
    _check(structure, silenceable=False),
    _check(unknown_id, silenceable=False),
    _check(duplicate_id, silenceable=False),
    _check(condition, silenceable=False),
    _check(limits, limits.check),
    _check(chances, chances.check),
    _check(ranges, ranges.check),
    _check(units, units.check),
    _check(never_applies, never_applies.check),
    _check(needless_condition, needless_condition.check),
    _check(shadowed, shadowed.check),
    _check(redundant, redundant.check),
    _check(conflicting, conflicting.check),
    _check(better_than_healthy, better_than_healthy.check),
    _check(fact_cycle, fact_cycle.check),
    _check(look_alikes, look_alikes.check),
    _check(tells_nothing, tells_nothing.check),
    _check(no_repair, no_repair.check),
    _check(no_proof, no_proof.check),
    _check(no_caution, no_caution.check),
    _check(unsaid_hazard, unsaid_hazard.check),
    _check(repeated_caution, repeated_caution.check),
    _check(no_source, no_source.check),
    _check(limit_source, limit_source.check),
    _check(unused, unused.check),
    _check(share, share.check),
    _check(same_name, same_name.check),
    _check(physics),
    _check(idle_silence, silenceable=False),
)


def check_knowledge(kb: Knowledge, comparisons: Iterable[Comparison] = ()) -> tuple[Problem, ...]:
    """All problems of meaning of a knowledge base, by place, without those it silences.

    Args:
        kb: a knowledge base that could be read.
        comparisons: rules held against solved machines, if that was done.
    """
    survey = Survey(kb)
    found = [_placed(kb, c.id, p) for c in CHECKS if c.run is not None for p in c.run(survey)]
    measured = tuple(comparisons)
    found += [_placed(kb, "physics", p) for p in physics.problems_from_physics(kb, measured)]
    told, used = _sifted(kb, found)
    ran = {c.id for c in CHECKS if c.silenceable and (c.run is not None or measured)}
    known = {c.id for c in CHECKS if c.silenceable}
    silences = [s for s in kb.silence if s.id in ran or s.id not in known]
    told += [
        replace(p, check="idle_silence", folder=_folder_of(silences, p))
        for p in idle_silence.idle(silences, used, known)
    ]
    return tuple(sorted(told, key=_by_place))


def _placed(kb: Knowledge, check: str, problem: Problem) -> Problem:
    folder = kb.layers.get(problem.entry, "")
    return replace(problem, check=check, folder="" if folder == str(shipped_folder()) else folder)


def _sifted(kb: Knowledge, found: Iterable[Problem]) -> tuple[list[Problem], set[tuple[Silence, str]]]:
    """Problems that are not silenced, and the silences that kept one back."""
    told: list[Problem] = []
    used: set[tuple[Silence, str]] = set()
    for problem in found:
        section, _, id_ = problem.entry.partition("/")
        silencing = [
            (silence, name)
            for silence in kb.silence
            if silence.id == problem.check
            for name in silence.entries
            if name in (section, id_, problem.entry)
        ]
        used.update(silencing)
        if not silencing:
            told.append(problem)
    return told, used


def _folder_of(silences: Iterable[Silence], problem: Problem) -> str:
    return next((s.folder for s in silences if s.origin == problem.origin), "")


def _by_place(problem: Problem) -> tuple[str, str, int, int, str]:
    return problem.folder, problem.origin.file, problem.origin.line, problem.origin.column, problem.check
