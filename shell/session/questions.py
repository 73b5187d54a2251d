"""What to ask next: a pure function of the case as it stands."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from crankpath.engine.cases.case import Case
from crankpath.engine.inference.entries import Reading
from crankpath.engine.inference.failure_rate import CrankProof
from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Measurement
from crankpath.shell.outlets.messages.preparations import cautions_for
from crankpath.shell.session.input.guesses import when_facts
from crankpath.shell.session.preparing import steps_left
from crankpath.shell.session.state import CaseState
from crankpath.shell.store.records import Event
from crankpath.shell.store.standing import standing_watch


@dataclass(frozen=True, slots=True)
class AskComplaint:
    """What does the operator say?"""


@dataclass(frozen=True, slots=True)
class AskMachine:
    """Which machine is it, and what is known of it?"""


@dataclass(frozen=True, slots=True)
class AskWhen:
    """When does it happen: hot, cold, wet ...?"""


@dataclass(frozen=True, slots=True)
class AskFailing:
    """Was the machine failing while this was read?"""

    event: Event


@dataclass(frozen=True, slots=True)
class AskSafe:
    """Make this safe and ready first; one piece of work at a time.

    cautions: ids to be seen now. setups: ids of work to be done now; none: it is the reading itself.
    more: cautions of this piece that come after. then: ids of work that comes after. waits: it is for
    meters that stay on until it fails.
    """

    measurement: str
    cautions: tuple[str, ...]
    setups: tuple[str, ...]
    more: int = 0
    then: tuple[str, ...] = ()
    waits: bool = False


@dataclass(frozen=True, slots=True)
class AskCautions:
    """Mind this before the repair, or before a step of it. more: cautions of it that come after.

    step: the number of that step and what it says; none: it goes with the repair as a whole.
    """

    repair: str
    cautions: tuple[str, ...]
    more: int = 0
    step: tuple[int, str] | None = None


@dataclass(frozen=True, slots=True)
class AskReading:
    """Take this reading.

    purpose: next (it tells most), chosen (the person named it), proof (of the repair),
    reason (why the found fault came about), again (a second take decides), watch (it is left
    connected until it fails). together: everything to read with it, itself first.
    """

    measurement: str
    purpose: Literal["next", "chosen", "proof", "reason", "again", "watch"] = "next"
    cautions: tuple[str, ...] = ()
    together: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AskRepair:
    """Make this repair, then say so."""

    repair: str


@dataclass(frozen=True, slots=True)
class AskCured:
    """Is the complaint gone?"""

    repair: str


@dataclass(frozen=True, slots=True)
class AskCranks:
    """Crank on: so many good ones so far, so many needed."""

    repair: str
    good: int
    needed: CrankProof


@dataclass(frozen=True, slots=True)
class AskStop:
    """Nothing may be done now, for the reasons that stand above every question."""


@dataclass(frozen=True, slots=True)
class AskStuck:
    """Nothing listed explains the readings, and no reading is left."""


@dataclass(frozen=True, slots=True)
class AskClose:
    """Cured and nothing left to look for: close the case?"""


@dataclass(frozen=True, slots=True)
class Finished:
    """The case is closed."""


Question = (
    AskComplaint | AskMachine | AskWhen | AskFailing | AskSafe | AskReading | AskCautions | AskRepair
    | AskCured | AskCranks | AskStop | AskStuck | AskClose | Finished
)  # fmt: skip


def question(state: CaseState, chosen: str | None = None, at_once: int = 0) -> Question:
    """What to ask now.

    Args:
        state: the case.
        chosen: a reading that the person named and has not given yet.
        at_once: how many cautions can be read at once on this terminal; 0 for all.
    """
    asked = _question(state, chosen)
    if not isinstance(asked, AskSafe | AskCautions) or not 0 < at_once < len(asked.cautions):
        return asked
    pages = math.ceil(len(asked.cautions) / at_once)
    now = asked.cautions[: math.ceil(len(asked.cautions) / pages)]
    return replace(asked, cautions=now, more=len(asked.cautions) - len(now))


def _question(state: CaseState, chosen: str | None) -> Question:
    if state.closed:
        return Finished()
    if state.untold is not None:
        return AskFailing(state.untold)
    guard = state.case.guard
    if guard.everything:
        return AskStop()
    here = state.case.assessment.model.measurements.get(chosen or "")
    if chosen is not None and here is not None and not guard.reading(here):
        return _reading(state, chosen, "chosen")
    opening = _opening(state)
    if opening is not None:
        return opening
    pending = state.repair_pending
    if pending is not None:
        return _proof(state, pending.repair)
    repairs = state.case.assessment.repairs
    if repairs and repairs[-1].cured:
        return _afterwards(state)
    return _advice(state)


def _opening(state: CaseState) -> Question | None:
    """The next question of taking the case."""
    if state.complaint is None:
        return AskComplaint()
    for kind in (SYMPTOM_KIND, HISTORY_KIND):
        m = _of_kind(state.case, kind)
        if m is not None and not _settled(state, m.id) and not state.case.guard.reading(m):
            return AskReading(m.id)
    if "machine" not in state.asked:
        return AskMachine()
    return None if "when" in state.asked or not when_facts(state.kb) else AskWhen()


def _of_kind(case: Case, kind: str) -> Measurement | None:
    found = case.assessment.model.measurements.values()
    return next((m for m in found if kind in m.kinds), None)


def _settled(state: CaseState, measurement: str) -> bool:
    """Read, not to be had, or put off."""
    read = any(isinstance(e, Reading) and e.measurement == measurement for e in state.case.entries)
    return read or measurement in state.skipped or measurement in state.case.assessment.cannot


def _proof(state: CaseState, repair: str) -> Question:
    """After a repair: the reading that proves it, then whether the complaint is gone."""
    case = state.case
    proof = session_proof(case, repair)
    if proof is not None and not (read_now(case, proof.id) or proof.id in state.skipped):
        out_of_reach = proof.id in case.assessment.cannot or not case.advisor.lacks.isdisjoint(proof.tools)
        if not out_of_reach:
            return _reading(state, proof.id, "proof")
    if case.guard.tries:
        return AskStop()
    needed = case.crank_proof()
    _, good = case.assessment.tries
    if needed is None or case.assessment.failed_again or good >= needed.cranks:
        return AskCured(repair)
    return AskCranks(repair, good, needed)


def read_now(case: Case, measurement: str) -> bool:
    """True if it was read since the last repair."""
    assessment = case.assessment
    return any(
        t.repair_epoch == assessment.repair_epoch and t.measurement.id == measurement
        for t in assessment.taken
    )


def session_proof(case: Case, repair: str) -> Measurement | None:
    """The reading that proves a repair on this machine, if there is one beside the complaint itself."""
    proof = case.advisor.proof_reading(repair)
    return None if proof is None or SYMPTOM_KIND in proof.kinds else proof


def _afterwards(state: CaseState) -> Question:
    """Cured: why did it come to that? Then the case can be closed."""
    afterwards = state.case.advisor.afterwards
    reading, repair = afterwards.reading(state.skipped), afterwards.repair()
    if reading is not None:
        return _reading(state, reading, "reason")
    return AskClose() if repair is None else _repair(state, repair)


def _advice(state: CaseState) -> Question:
    """What the engine says: measure, repair or stuck; what was put off comes last."""
    verdict = state.case.verdict()
    if verdict.action == "repair" and verdict.repair is not None:
        return _repair(state, verdict.repair)
    if verdict.action == "stop":
        return AskStop()
    if verdict.action == "stuck":
        return AskStuck()
    name = verdict.measurement
    if verdict.action == "watch" and state.skipped.isdisjoint(verdict.together):
        return _watch(state, still_on(state) or verdict.together)
    if name in state.skipped:
        telling = [
            s.measurement for s in state.case.suggestions() if s.bits >= state.kb.settings["bits_floor"]
        ]
        name = next((m for m in telling if m not in state.skipped), name)
    if name == verdict.measurement and name is not None:
        together = verdict.together if state.skipped.isdisjoint(verdict.together) else ()
        return _reading(state, name, "again" if verdict.again else "next", together)
    return _reading(state, name, "next") if name else AskStuck()


def _reading(
    state: CaseState,
    measurement: str,
    purpose: Literal["next", "chosen", "proof", "reason", "again"],
    together: tuple[str, ...] = (),
) -> Question:
    """The reading, or first what must be made safe for it when that is more than two things."""
    found = dict.fromkeys(c for name in (measurement, *together) for c in cautions_of(state.case, name))
    cautions = tuple(c for c in found if (measurement, c) not in state.passed)
    if len(cautions) > _INLINE:
        first, *later = steps_left(state, (measurement, *together), tuple(found))
        then = tuple(s for piece in later for s in piece.setups)
        if first.setups or len(first.cautions) > _INLINE:
            return AskSafe(measurement, first.cautions, first.setups, then=then)
    return AskReading(measurement, purpose, cautions, together)


def waits_to_fail(asked: Question) -> bool:
    """True where meters are left connected until it fails, or are made ready for that."""
    return asked.waits if isinstance(asked, AskSafe) else (
        isinstance(asked, AskReading) and asked.purpose == "watch"
    )


def still_on(state: CaseState) -> tuple[str, ...]:
    """What was left connected because it had not failed, as far as it can be read at the next failure."""
    standing = standing_watch(state.events)
    left = state.case.watched(standing.measurements) if standing else None
    return left.measurements if left else ()


def _watch(state: CaseState, together: tuple[str, ...]) -> Question:
    """What to leave connected, or first what must be made safe for it."""
    here = [state.case.assessment.model.measurements[name] for name in together]
    found = state.case.guard.cautions_of_watch(here)
    cautions = tuple(c for c in found if (together[0], c) not in state.passed)
    if len(cautions) > _INLINE:
        setups = [s for m in here for s in m.setups if state.kb.setups[s].stays_on]
        return AskSafe(together[0], cautions, tuple(dict.fromkeys(setups)), waits=True)
    return AskReading(together[0], "watch", cautions, together)


def _repair(state: CaseState, repair: str) -> Question:
    """The repair, or first what must be minded before it and before each of its steps."""
    entry, guard = state.kb.repairs[repair], state.case.guard
    verdict = state.case.verdict()
    faults = verdict.faults[:2] if verdict.action == "repair" and verdict.repair == repair else ()
    steps = guard.steps(entry, faults)
    of_steps = [((number, step.text), step.cautions) for number, step in enumerate(steps, 1)]
    for step, cautions in ((None, guard.cautions_before(entry, faults)), *of_steps):
        unseen = tuple(c for c in cautions if (repair, c) not in state.passed)
        if unseen:
            return AskCautions(repair, unseen, step=step)
    return AskRepair(repair)


_INLINE = 2  # so many new cautions stand with the question itself


def cautions_of(case: Case, measurement: str) -> tuple[str, ...]:
    """Every caution that goes with a reading now, and with the work before it that is not made yet."""
    return cautions_for(case, case.assessment.model.measurements[measurement])
