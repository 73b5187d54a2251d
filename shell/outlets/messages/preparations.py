"""What must be safe and ready before a reading or a repair, and how its answer is written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.inference.bands import limits_in_force
from crankpath.engine.inference.ranges import sound_band
from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Measurement, Setup
from crankpath.shell.outlets.reports.readings import amount
from crankpath.shell.reader.reader import read_text

FAILING: Final = "failed"
"""Word of an answer that tells that the fault was there; `went_well` of the base tells that it was not."""


def cautions_for(
    case: Case, m: Measurement, told: frozenset[str] = frozenset(), every: bool = False
) -> tuple[str, ...]:
    """Ids of the cautions that go with a reading now, the nearest to the hand first.

    The reading's own, those of what the machine does meanwhile and those that the readings so far call
    for come every time; those of the work before it come with that work, until they were `told` or an
    earlier reading needed it too, unless `every` one is wanted.
    """
    wanted = {setup.id for setup in setups_for(case, m, every)}
    made = frozenset(setup.id for setup in case.guard.setups(m) if setup.id not in wanted)
    return case.guard.cautions_of_reading(m, told, made)


def setups_for(case: Case, m: Measurement, every: bool = False) -> tuple[Setup, ...]:
    """The work a reading needs; unless `every` is wanted, without what an earlier reading needed too.

    A repair undoes what was made ready before it: covers go back, the engine can start again. What the
    operator told needed no work.
    """
    made: set[str] = set()
    for taken in () if every else case.assessment.taken:
        told = {SYMPTOM_KIND, HISTORY_KIND} & set(taken.measurement.kinds)
        if taken.repair_epoch == case.assessment.repair_epoch and not told:
            made.update(setup.id for setup in case.guard.setups(taken.measurement))
    return tuple(setup for setup in case.guard.setups(m) if setup.id not in made)


@dataclass(frozen=True, slots=True)
class PreparationStep:
    """Work that is done at once: ids of set-ups, and of the cautions to be seen before it.

    Without set-ups it is the reading itself.
    """

    setups: tuple[str, ...]
    cautions: tuple[str, ...]


def preparation_steps(
    case: Case, setups: Sequence[str], cautions: Sequence[str]
) -> tuple[PreparationStep, ...]:
    """Work before readings in order, last the readings themselves.

    Args:
        case: the case.
        setups: ids of the work that is not made yet.
        cautions: every caution that goes with it and the readings. Each stands once, before the first work
            that it belongs to; those that facts of the machine call for come first of all.
    """
    guard = case.guard
    free = list(cautions)
    found: list[tuple[list[str], list[str]]] = []
    for name in dict.fromkeys(setups):
        own = guard.cautions_of_setup(case.kb.setups[name])
        told = [c for c in free if c in own or (not found and c in guard.cautions_of_facts)]
        free = [c for c in free if c not in told]
        if found and (not told or not found[-1][1]):
            found[-1][0].append(name)
            found[-1][1].extend(told)
        else:
            found.append(([name], told))
    if found and not found[-1][1]:
        found[-1][1].extend(free)
    else:
        found.append(([], free))
    return tuple(PreparationStep(tuple(work), tuple(told)) for work, told in found)


def in_order(case: Case, measurements: Sequence[str]) -> tuple[str, ...]:
    """Readings in the order in which they are taken: those at which nothing is done to the machine first."""
    kb = case.kb

    def works(name: str) -> bool:
        return bool(kb.states[kb.measurements[name].state].does)

    return tuple(sorted(measurements, key=works))


def asks_whether_it_failed(case: Case, m: Measurement) -> bool:
    """True if an answer must tell whether the fault was there while it was read."""
    itself = SYMPTOM_KIND in m.kinds or any(s.finer_as == m.id for s in case.assessment.model.symptoms)
    return case.assessment.intermittent and case.assessment.shows(m) and not itself


def answer_example(case: Case, m: Measurement) -> tuple[str, str]:
    """The name a reading has in an answer, and an answer with it, both as a reply understands them.

    A number lies inside the limit but close to it, so that it cannot be taken for the
    figure that is hoped for.
    """
    text = example_value(case, m)
    facts = case.assessment.now.facts

    def understood(name: str) -> bool:
        read = read_text(f"{name} {text}", case.kb, facts)
        cannot = read_text(f"{name} n/a", case.kb, facts)
        return [p.measurement for p in read.taken] == [c for c, _ in cannot.cannot] == [m.id]

    name = next(filter(understood, (m.short, *m.aliases, m.label)), m.short)
    return name, f"{name} {text}"


def example_value(case: Case, m: Measurement) -> str:
    """A value of a reading as it can be sent."""
    if not m.numeric:
        return sent_words(m.choices[min(1, len(m.choices) - 1)])
    value = _example_figure(case, m)
    return (amount(value, m.unit or "") if value is not None else m.unit or "").strip()


def _example_figure(case: Case, m: Measurement) -> float | None:
    facts = case.assessment.now.facts
    try:
        limits = limits_in_force(m, facts)
        at = m.bands.index("near" if "near" in m.bands else sound_band(m, facts))
    except CaseError:
        return None
    low = limits[at - 1] if at > 0 else 0.0
    high = limits[at] if at < len(limits) else low * 1.1
    return float(f"{(low + high) / 2:.2g}")


def choices(m: Measurement) -> str:
    """The values of an observation, numbered, as they can be sent back by word or number."""
    return ", ".join(f"{number} {sent_words(band)}" for number, band in enumerate(m.choices, 1))


def sent_words(band: str) -> str:
    """A value of an observation as it can be sent back."""
    return band.replace("_", " ")
