"""The voltages of a case laid on its circuit, and where the battery's voltage went."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from crankpath.engine.advice.legs_report import sound_reading
from crankpath.engine.cases.case import Case
from crankpath.engine.inference.pooled_readings import PooledReading
from crankpath.engine.knowledge.records import Budget, Measurement
from crankpath.engine.physics.budget import voltage_budget
from crankpath.shell.outlets.drawing.picture import Picture, Run, picture
from crankpath.shell.outlets.pages.sheet.data import (
    BudgetPart,
    CircuitFigures,
    CircuitReading,
    Rail,
    Span,
    VoltageBudget,
    VoltagePart,
)
from crankpath.shell.outlets.pages.sheet.judging import mark_of
from crankpath.shell.outlets.reports.readings import value_words


@dataclass(frozen=True, slots=True)
class Pair:
    """One measurement's last usable reading before the last repair, and after it."""

    measurement: Measurement
    before: PooledReading | None
    after: PooledReading | None


def pairs(case: Case) -> dict[str, Pair]:
    """Readings by measurement, before the last repair and after it; without those not to be trusted."""
    assessment = case.assessment
    last = assessment.repair_epoch
    before: dict[str, PooledReading] = {}
    after: dict[str, PooledReading] = {}
    # Away first, so that a reading taken while the fault was there goes before it.
    for taken in sorted(assessment.taken, key=lambda t: (t.symptom, t.repair_epoch)):
        if taken.measurement.id in assessment.context(taken.repair_epoch, taken.symptom).distrusted:
            continue
        side = after if last and taken.repair_epoch == last else before
        side[taken.measurement.id] = taken
    names = dict.fromkeys((*before, *after))
    return {n: Pair(case.kb.measurements[n], before.get(n), after.get(n)) for n in names}


def figure(case: Case, pair: Pair) -> CircuitReading:
    """A pair in words, with the mark of the later one; what was read before a repair says nothing of now."""
    m = pair.measurement
    now = pair.after or pair.before
    due = bool(case.assessment.repairs) and pair.after is None
    mark = "none"
    aside = tuple(value_words(m, take.value) for take in now.set_aside) if now is not None else ()
    if now is not None:
        facts = case.assessment.context(now.repair_epoch, now.symptom).facts
        mark = "none" if due else mark_of(m, now.value, facts)
    said = [value_words(m, taken.value) if taken else "" for taken in (pair.before, pair.after)]
    return CircuitReading(m.label, said[0], said[1], mark, aside, due)


def circuit_figures(case: Case, failing: Sequence[str] = ()) -> CircuitFigures | None:
    """The main circuit with the voltages read on it; None where it cannot be drawn.

    failing: ids of the segments that are at fault, the likeliest first.
    """
    try:
        drawn = picture(case.kb, case.assessment.model.circuit)
    except ValueError:
        return None
    read = pairs(case).values()
    volts = [pair for pair in read if pair.measurement.unit == "V" and pair.measurement.between]
    left = dict.fromkeys(pair.measurement.id for pair in volts)
    there, back = (_rail(case, run, volts, left, failing) for run in (drawn.there, drawn.back))
    battery = tuple(_taking(case, volts, left, _posts(drawn)))
    load = tuple(_taking(case, volts, left, _load_ends(drawn)))
    broken = next((run for f in failing for run in drawn.control if any(p.id == f for p in run.pieces)), None)
    control = _rail(case, broken, volts, left, failing) if broken is not None else None
    elsewhere = tuple(figure(case, pair) for pair in volts if pair.measurement.id in left)
    kb, names = case.kb, (drawn.battery.label, drawn.load.label)
    branch = kb.circuits[kb.segments[broken.pieces[0].id].circuit].label if broken is not None else ""
    return CircuitFigures(
        names[0], battery, names[1], load, there, back, elsewhere, control, branch, drawn.load.sign
    )


def _posts(drawn: Picture) -> tuple[set[str], set[str]]:
    return {drawn.there.stops[0].id}, {drawn.back.stops[-1].id}


def _load_ends(drawn: Picture) -> tuple[set[str], set[str]]:
    """Points in front of and behind the motor, so that only a reading across it fits."""
    return {stop.id for stop in drawn.there.stops}, {stop.id for stop in drawn.back.stops}


def _taking(
    case: Case, volts: Sequence[Pair], left: dict[str, None], ends: tuple[set[str], set[str]]
) -> Iterator[CircuitReading]:
    for pair in volts:
        a, b = pair.measurement.between or ("", "")
        if pair.measurement.id in left and a in ends[0] and b in ends[1]:
            del left[pair.measurement.id]
            yield figure(case, pair)


def _rail(
    case: Case, run: Run, volts: Sequence[Pair], left: dict[str, None], failing: Sequence[str]
) -> Rail:
    places = {stop.id: n for n, stop in enumerate(run.stops)}
    spans = []
    for pair in volts:
        ends = sorted(places[end] for end in pair.measurement.between or () if end in places)
        if len(ends) == 2 and pair.measurement.id in left:
            del left[pair.measurement.id]
            spans.append(Span(ends[0], ends[1], figure(case, pair)))
    spans.sort(key=lambda span: (span.last - span.first, span.first))
    parts = tuple(VoltagePart(piece.label, piece.drawn, piece.id in failing) for piece in run.pieces)
    return Rail(tuple(stop.name for stop in run.stops), parts, tuple(spans))


def budgets(case: Case) -> tuple[VoltageBudget, ...]:
    """Where the voltage went, before and after the last repair, and where it goes on a sound such machine.

    Those that cannot be told are left out; the last too, where nothing was read to hold against it.
    """
    stated, read = case.kb.about.budget, pairs(case)
    if stated is None:
        return ()
    when = ("before the repair", "after the repair") if case.assessment.repair_epoch else ("as read", "")
    before = _budget(stated, when[0], {n: _volts(p.before) for n, p in read.items()})
    after = _budget(stated, when[1], {n: _volts(p.after) for n, p in read.items()})
    told = tuple(budget for budget in (before, after) if budget is not None)
    if not told:
        return ()
    sound = {name: sound_reading(case.assessment, name) for name in _readings(stated).values()}
    as_it_should = _budget(stated, "as it should be", {**sound, stated.load.reading: None})
    return (*told, *([replace(as_it_should, parts=_worked_out(as_it_should))] if as_it_should else []))


def _worked_out(budget: VoltageBudget) -> tuple[BudgetPart, ...]:
    return tuple(replace(part, read=False) for part in budget.parts)


def _volts(taken: PooledReading | None) -> float | None:
    return None if taken is None or isinstance(taken.value, str) else float(taken.value)


def _readings(stated: Budget) -> dict[str, str]:
    """Part of the arithmetic -> the reading of it."""
    parts = {"there": stated.there, "inner": stated.inner, "load": stated.load, "back": stated.back}
    found = {name: part.reading for name, part in parts.items() if part is not None and part.reading}
    return found | {"loaded": stated.loaded} | ({"rested": stated.rested} if stated.rested else {})


def _labels(stated: Budget) -> dict[str, str]:
    inner = stated.inner.label if stated.inner else ""
    return {
        "inside": stated.inside, "there": stated.there.label, "inner": inner, "rest": stated.rest,
        "load": stated.load.label, "back": stated.back.label, "not_read": "not read apart",
    }  # fmt: skip


def _budget(stated: Budget, when: str, volts: Mapping[str, float | None]) -> VoltageBudget | None:
    spent = voltage_budget(**{part: volts.get(name) for part, name in _readings(stated).items()})
    labels = _labels(stated)
    parts = tuple(BudgetPart(s.part, labels[s.part], round(s.volts, 4), s.read) for s in spent)
    return VoltageBudget(when, parts) if parts else None
