"""What a change of the knowledge base does: entries changed, and cases that now come out differently.

Pure: two knowledge bases in, data out. A case is put under both; a drawn machine is worked
through under both with the same meter errors, drawn by the shares of the first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, is_dataclass
from random import Random
from typing import Any, Final

from crankpath.engine.advice.advisor import Verdict
from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import NOT_LISTED, CaseFile
from crankpath.engine.cases.replay import replay
from crankpath.engine.errors import CrankpathError
from crankpath.engine.knowledge.entry_data import stated
from crankpath.engine.knowledge.folders import SECTIONS
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.engine.trials.case_check import check_case
from crankpath.engine.trials.evaluation import SORTS, machine_of
from crankpath.engine.trials.policies import Advice
from crankpath.engine.trials.trial import TrialOutcome, TrialStep, run_trial

SAME: Final = 0.01
"""A ranking that shifts by less than this much chance in all is the same."""
_NOWHERE: Final = Origin("", 1, 1)
_DEEP: Final = 6  # causes that a ranking is compared by


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One field of an entry, as plain data; None: it is not stated."""

    field: str
    before: Any
    after: Any


@dataclass(frozen=True, slots=True)
class EntryChange:
    """One entry that is not as it was.

    sort: added, changed or retired. fields: what changed (every field of an added or retired
    entry). before, after: (folder, place) of the entry, None where it is not there.
    """

    key: str
    sort: str
    fields: tuple[FieldChange, ...]
    before: tuple[str, Origin] | None
    after: tuple[str, Origin] | None


def entry_changes(before: Knowledge, after: Knowledge) -> tuple[EntryChange, ...]:
    """Every entry that differs, in the order of sections and as written; places do not count."""
    found = []
    for section in SECTIONS:
        old, new = _entries(before, section), _entries(after, section)
        for id_ in dict.fromkeys([*old, *new]):
            changed = _changed(old.get(id_), new.get(id_))
            if changed:
                sort = "added" if id_ not in old else "retired" if id_ not in new else "changed"
                key = f"{section}/{id_}"
                found.append(EntryChange(key, sort, changed, _place(before, key), _place(after, key)))
    return tuple(found)


def _entries(kb: Knowledge, section: str) -> Mapping[str, object]:
    if section == "silence":
        return {silence.id: silence for silence in kb.silence}
    if section == "settings":
        return kb.settings.values
    entries: Mapping[str, object] = getattr(kb, section)
    return entries


def _changed(old: object, new: object) -> tuple[FieldChange, ...]:
    a = {} if old is None else stated(old)
    b = {} if new is None else stated(new)
    return tuple(
        FieldChange(name, a.get(name), b.get(name))
        for name in dict.fromkeys([*a, *b])
        if a.get(name) != b.get(name)
    )


def _place(kb: Knowledge, key: str) -> tuple[str, Origin] | None:
    section, _, id_ = key.partition("/")
    entry = _entries(kb, section).get(id_)
    if entry is None:
        return None
    if section == "settings":
        return kb.layers.get(key, ""), kb.settings.origins[id_]
    origin = getattr(entry, "origin", _NOWHERE) if is_dataclass(entry) else _NOWHERE
    return kb.layers.get(key, getattr(entry, "folder", "")), origin


@dataclass(frozen=True, slots=True)
class Conclusion:
    """What a knowledge base concludes from a case as it stands.

    trouble: why the case cannot be put under it; then the rest is empty. ranking: fault or
    `NOT_LISTED` and its chance, likeliest first. next: the reading it would have next.
    """

    verdict: Verdict | None = None
    ranking: tuple[tuple[str, float], ...] = ()
    next: str | None = None
    trouble: str = ""


def conclusion_of(case: Case) -> Conclusion:
    """The conclusion of a case."""
    verdict = case.verdict()
    suggested = next((s.measurement for s in case.suggestions()), None)
    ranking = tuple((cause.fault or NOT_LISTED, cause.probability) for cause in case.causes())
    return Conclusion(verdict, ranking, verdict.measurement or suggested)


@dataclass(frozen=True, slots=True)
class ConclusionChange:
    """Two conclusions from the same case.

    what: of trouble, verdict, ranking and next those that differ. moved: half the sum of the
    changes of all chances.
    """

    before: Conclusion
    after: Conclusion
    what: tuple[str, ...]
    moved: float


def shift(before: Conclusion, after: Conclusion) -> ConclusionChange:
    """What differs between two conclusions."""
    old, new = dict(before.ranking), dict(after.ranking)
    moved = sum(abs(old.get(f, 0.0) - new.get(f, 0.0)) for f in {*old, *new}) / 2
    order = [name for name, _ in before.ranking[:_DEEP]] != [name for name, _ in after.ranking[:_DEEP]]
    what = []
    if before.trouble != after.trouble:
        what.append("trouble")
    if _decided(before) != _decided(after):
        what.append("verdict")
    if moved >= SAME and (order or moved >= 5 * SAME):
        what.append("ranking")
    if before.next != after.next:
        what.append("next")
    return ConclusionChange(before, after, tuple(what), moved)


def _decided(one: Conclusion) -> tuple[str, str | None] | None:
    if one.verdict is None:
        return None
    # which reading comes next is told by itself
    repair = one.verdict.repair if one.verdict.action == "repair" else None
    return one.verdict.action, repair


@dataclass(frozen=True, slots=True)
class CaseChange:
    """A case under both.

    held: it came out as it must, before and after; None where it is not said what must, or where
    no chance moved at all.
    """

    name: str
    about: str
    shift: ConclusionChange
    held: tuple[bool | None, bool | None]


def case_change(before: Knowledge, after: Knowledge, name: str, case: CaseFile) -> CaseChange:
    """One case under both; `shift.what` is empty if nothing changed."""
    found = shift(_replayed(before, case), _replayed(after, case))
    held: tuple[bool | None, bool | None] = (None, None)
    if case.expect is not None and (found.what or found.moved > 0.0):
        held = (check_case(before, case, name).passed, check_case(after, case, name).passed)
    return CaseChange(name, case.about or "", found, held)


def _replayed(kb: Knowledge, written: CaseFile) -> Conclusion:
    replayed = replay(kb, written)
    if replayed.problems or replayed.case is None:
        return Conclusion(trouble="; ".join(problem.message for problem in replayed.problems))
    return conclusion_of(replayed.case)


def worst_cases(changes: Iterable[CaseChange]) -> list[CaseChange]:
    """Those that changed: what no longer comes out as it must first, then by how much moved."""
    changed = [c for c in changes if c.shift.what or c.held[0] != c.held[1]]

    def rank(c: CaseChange) -> tuple[int, int, float, str]:
        lost = {(True, False): 0, (False, True): 2}.get((bool(c.held[0]), bool(c.held[1])), 1)
        kinds = min((_GRAVITY.index(what) for what in c.shift.what), default=len(_GRAVITY))
        return lost, kinds, -c.shift.moved, c.name

    return sorted(changed, key=rank)


_GRAVITY: Final = ("trouble", "verdict", "next", "ranking")


@dataclass(frozen=True, slots=True)
class MachineChange:
    """One drawn machine worked through under both.

    before, after: how it went, None where that knowledge base cannot describe the machine
    (``trouble`` says why). first: conclusions after the complaint. last: those before the first
    repair.
    """

    number: int
    sort: str
    truth: tuple[str, ...]
    before: TrialOutcome | None
    after: TrialOutcome | None
    first: ConclusionChange
    last: ConclusionChange
    trouble: str = ""

    @property
    def what(self) -> tuple[str, ...]:
        """Of verdict, ranking and next those that differ anywhere on the way."""
        seen = {*self.first.what, *self.last.what}
        if _steps(self.before) != _steps(self.after):
            seen.add("next")
        if _repairs(self.before) != _repairs(self.after):
            seen.add("verdict")
        return tuple(what for what in _GRAVITY if what in seen)

    @property
    def lost(self) -> float:
        """Minutes to the cure that the change costs; negative if it saves them."""
        if self.before is None or self.after is None:
            return 0.0
        return self.after.minutes_before - self.before.minutes_before


def _steps(outcome: TrialOutcome | None) -> tuple[str, ...]:
    return () if outcome is None else tuple(name for name, _ in outcome.readings)


def _repairs(outcome: TrialOutcome | None) -> tuple[str | None, tuple[str, ...]]:
    return (None, ()) if outcome is None else (outcome.first_repair, outcome.wrong)


@dataclass
class _Watched:
    """The advice, with what it concluded first and last before its first repair."""

    advice: Advice = field(default_factory=Advice)
    first: Conclusion = Conclusion()
    last: Conclusion = Conclusion()
    repaired: bool = False

    def next(self, case: Case) -> TrialStep:
        """The advice's step."""
        if not self.repaired:
            self.last = conclusion_of(case)
            if self.first.verdict is None:
                self.first = self.last
        step = self.advice.next(case)
        self.repaired = self.repaired or step.action == "repair"
        return step

    def afterwards(self, case: Case) -> TrialStep:
        """The advice's own."""
        return self.advice.afterwards(case)


def machine_changes(
    before: Knowledge, after: Knowledge, machines: int, seed: int, parameters: str = "first"
) -> Iterator[MachineChange]:
    """Each machine under both, one by one, for a progress bar to follow; sorts of faults take turns.

    Args:
        before: it also draws the machines, by its shares.
        after: what it is compared with.
        machines: how many.
        seed: the same seed draws the same machines.
        parameters: parameter set of the solved machine.
    """
    for number in range(machines):
        yield _machine(before, after, number, seed, SORTS[number % len(SORTS)], parameters)


def _machine(
    before: Knowledge, after: Knowledge, number: int, seed: int, sort: str, parameters: str
) -> MachineChange:
    machine = machine_of(before, seed, number, sort, parameters)
    went: list[tuple[TrialOutcome | None, _Watched]] = []
    trouble = ""
    for kb in (before, after):
        watched = _Watched()
        outcome = None
        missing = sorted(machine.faults - set(kb.faults))
        if missing:
            trouble = f"it no longer lists {', '.join(missing)}"
        else:
            try:
                rng = Random(f"{seed}/{sort}/{parameters}/{number}/readings")
                outcome = run_trial(kb, machine, watched, rng)
            except CrankpathError as slip:
                trouble = str(slip)
        went.append((outcome, watched))
    (a, one), (b, two) = went
    first, last = shift(one.first, two.first), shift(one.last, two.last)
    return MachineChange(number, sort, tuple(sorted(machine.faults)), a, b, first, last, trouble)


def worst_machines(changes: Iterable[MachineChange]) -> list[MachineChange]:
    """Those that changed: first repairs that are no longer right first, then by minutes lost."""

    def rank(c: MachineChange) -> tuple[float, float, float, int]:
        right = [o is not None and o.first_right for o in (c.before, c.after)]
        return right[1] - right[0], -c.lost, -max(c.first.moved, c.last.moved), c.number

    return sorted((c for c in changes if c.what or c.trouble), key=rank)
