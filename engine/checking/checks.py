"""The table of checks, and what runs them all over a knowledge base.

Every check is a module of this folder with the check's id as its name: its docstring is the
explanation, its ``check`` takes a `Survey` and yields the problems it finds. Checks without
one are found while the files are read (`crankpath.engine.knowledge.loading`) or need more than the
knowledge base (`physics`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Final

from crankpath.engine.checking.acts import lost_safety, repeated_caution, unsaid_hazard
from crankpath.engine.checking.circuit import circuit_shape, sums
from crankpath.engine.checking.entries import (
    cases,
    idle_silence,
    no_caution,
    no_proof,
    no_repair,
    no_source,
    same_name,
    settings,
    share,
    unused,
)
from crankpath.engine.checking.facts import derived, fact_cycle
from crankpath.engine.checking.measurements import limit_source, limits, quantities, tells_nothing, units
from crankpath.engine.checking.reading import (
    condition,
    duplicate_id,
    structure,
    text,
    unknown_id,
    unreadable,
)
from crankpath.engine.checking.rules import (
    better_than_healthy,
    chances,
    conflicting,
    lone_mask,
    look_alikes,
    needless_condition,
    never_applies,
    own_reading,
    physics,
    ranges,
    redundant,
    shadowed,
)
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.documents import located
from crankpath.engine.knowledge.folders import shipped_folder
from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge, Silence

if TYPE_CHECKING:  # it brings the solved machine, which no check of the knowledge base alone needs
    from crankpath.engine.trials.physics_check import Comparison

Generator = Callable[[Survey], Iterator[Problem]]


@dataclass(frozen=True)
class Check:
    """One check.

    run: None if it does not run on a knowledge base that could be read. follows: what it finds may be there
    only because of what a check of a lower number finds, so it runs once those find nothing.
    """

    id: str
    run: Generator | None
    explanation: str
    silenceable: bool = True
    follows: int = 0

    @property
    def title(self) -> str:
        """The first sentence of the explanation."""
        return self.explanation.split("\n", 1)[0]


def _check(
    module: ModuleType, run: Generator | None = None, silenceable: bool = True, follows: int = 0
) -> Check:
    return Check(module.__name__.rsplit(".", 1)[1], run, module.__doc__ or "", silenceable, follows)


CHECKS: Final = (
    _check(unreadable, silenceable=False),
    _check(structure, silenceable=False),
    _check(unknown_id, silenceable=False),
    _check(duplicate_id, silenceable=False),
    _check(condition, silenceable=False),
    _check(text, lambda survey: iter(survey.kb.doubts)),
    _check(cases, cases.check, silenceable=False, follows=2),
    _check(settings, settings.check),
    _check(quantities, quantities.check),
    _check(circuit_shape, circuit_shape.check),
    _check(sums, sums.check, follows=1),
    _check(derived, derived.check),
    _check(fact_cycle, fact_cycle.check),
    _check(own_reading, own_reading.check),
    _check(lone_mask, lone_mask.check),
    _check(lost_safety, lost_safety.check),
    _check(limits, limits.check),
    _check(chances, chances.check),
    _check(ranges, ranges.check),
    _check(units, units.check),
    _check(never_applies, never_applies.check),
    _check(unsaid_hazard, unsaid_hazard.check),
    _check(repeated_caution, repeated_caution.check),
    _check(no_caution, no_caution.check),
    _check(no_repair, no_repair.check),
    _check(no_source, no_source.check),
    _check(limit_source, limit_source.check),
    _check(same_name, same_name.check),
    _check(better_than_healthy, better_than_healthy.check, follows=1),
    _check(conflicting, conflicting.check),
    _check(needless_condition, needless_condition.check, follows=2),
    _check(shadowed, shadowed.check, follows=2),
    _check(redundant, redundant.check, follows=2),
    _check(look_alikes, look_alikes.check, follows=2),
    _check(tells_nothing, tells_nothing.check, follows=2),
    _check(no_proof, no_proof.check, follows=2),
    _check(unused, unused.check, follows=2),
    _check(share, share.check),
    _check(physics),
    _check(idle_silence, silenceable=False),
)


def check_folders(*folders: str | Path, shipped: bool = True) -> tuple[Knowledge | None, tuple[Problem, ...]]:
    """The knowledge base, and every slip of it: of meaning if it could be read, else of form."""
    kb, problems = read_knowledge(*folders, shipped=shipped)
    return kb, check_knowledge(kb) if kb is not None else problems


def check_knowledge(
    kb: Knowledge, comparisons: Iterable[Comparison] = (), file: str = ""
) -> tuple[Problem, ...]:
    """All problems of meaning of a knowledge base, by place, without those it silences.

    Args:
        kb: a knowledge base that could be read.
        comparisons: rules held against solved machines, if that was done.
        file: tell only what is wrong in this file of the latest folder.
    """
    survey, measured = Survey(kb, file), tuple(comparisons)
    found: list[Problem] = []
    told: list[Problem] = []
    used: set[tuple[Silence, str]] = set()
    ran: set[str] = set()
    for follows in (0, 1, 2):
        if told:
            break
        now = [c for c in CHECKS if c.run is not None and c.follows == follows]
        ran.update(c.id for c in now)
        found = [_placed(kb, c.id, p) for c in now if c.run is not None for p in c.run(survey)]
        if follows == 2:
            found = [p for p in found if p.entry in survey.own or not p.entry]
            found += [_placed(kb, "physics", p) for p in physics.problems_from_physics(kb, measured)]
            ran.update({"physics"} if measured else ())
        told, silencing = _sifted(kb, found)
        used |= silencing
    told = list({(p.folder, p.entry, p.origin): p for p in reversed(told)}.values())  # one for each place
    known = {c.id for c in CHECKS if c.silenceable}
    below = [s for s in kb.silence if len(kb.folders) > 1 and s.folder not in kb.folders[1:]]
    silences = [s for s in kb.silence if (s.id in ran or s.id not in known) and s not in below]
    told += [
        replace(p, check="idle_silence", folder=_folder_of(silences, p))
        for p in idle_silence.idle(silences, used, known)
    ]
    there = [p for p in told if not file or (p.origin.file == file and p.folder in ("", kb.folders[-1]))]
    return tuple(sorted(there, key=lambda p: _by_place(kb, p)))


def _placed(kb: Knowledge, check: str, problem: Problem) -> Problem:
    """The problem with its check, its folder, and the line of the very value that it speaks of."""
    folder = kb.layers.get(problem.entry, problem.folder)
    raw = kb.written.get(problem.entry)
    origin = problem.origin
    if raw is not None and problem.path and origin.file == raw.key.file:
        origin = located(raw, origin, problem.path)
    elif problem.entry in kb.retired:
        folder = kb.retired[problem.entry][2]
    folder = "" if folder == str(shipped_folder()) else folder
    return replace(problem, origin=origin, check=check, folder=folder)


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


def _by_place(kb: Knowledge, problem: Problem) -> tuple[bool, str, str, int, int, str]:
    """The order in which problems are told: the latest folder first, then by place."""
    at = problem.origin
    return problem.folder != kb.folders[-1], problem.folder, at.file, at.line, at.column, problem.check
