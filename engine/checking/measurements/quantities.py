"""A quantity out of any sense: a decimal point moved, another unit, a day for a minute.

What: minutes of a reading outside 0.1 to 240, of a repair outside 1 to 1440, of a set-up above 480; parts
dearer than 5000 minutes of shop time; a meter's error above a quarter of what it reads, none at all, or above
a middle limit in its unit; a sound reading that is doubted when it is typed; a limit five times what the set
that it replaced, another set of the reading or the other readings of its kind have, by itself or by its step
from the one before; a highest limit ten times what a sound circuit reads with no other near it; limits by
which a sound circuit reads in the worst band.

Why: nothing looks wrong in the file, and every verdict that rests on it is.

Bad::

    limits: [{at: [0.5, 1.0, 2.5, 9.6], ...}]       # 0.05 and 0.1 V were meant

Good::

    limits: [{at: [0.05, 0.1, 2.5, 9.6], ...}]
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import log
from statistics import median
from typing import Any, Final, NamedTuple

from crankpath.engine.checking.entry_problems import problem, told_facts
from crankpath.engine.checking.survey import Survey, formula_names
from crankpath.engine.errors import CaseError
from crankpath.engine.inference.bands import healthy_in_force, limit_set_in_force, limits_in_force
from crankpath.engine.inference.ranges import ends, number
from crankpath.engine.knowledge.condition import Facts, FactValue
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import HealthyReading, LimitSet, Measurement, Origin, Range

_MINUTES: Final = {"measurements": (0.1, 240.0), "repairs": (1.0, 1440.0), "setups": (0.0, 480.0)}
_DEAREST: Final = 5000.0
_LARGEST_ERROR: Final = 0.25
_TIMES: Final = 5.0


def check(survey: Survey) -> Iterator[Problem]:
    """Minutes and costs, then meter errors, then limits."""
    yield from _work(survey)
    for measurement in survey.kb.measurements.values():
        if measurement.numeric:
            yield from _error(survey, measurement)
            yield from _bounds(survey, measurement)
    yield from _limits(survey)


def _work(survey: Survey) -> Iterator[Problem]:
    kb = survey.kb
    sections: Mapping[str, Mapping[str, Any]] = {
        "measurements": kb.measurements, "repairs": kb.repairs, "setups": kb.setups
    }  # fmt: skip
    for section, entries in sections.items():
        least, most = _MINUTES[section]
        for entry in entries.values():
            if not least <= entry.minutes <= most or entry.minutes == 1440.0:
                message = f"{section} {entry.id}: {entry.minutes:g} minutes are out of any sense"
                meant = (
                    f"type {_tenth(entry.minutes, most):g}"
                    if entry.minutes > most
                    else "write the minutes that it takes"
                )
                yield problem(
                    f"{section}/{entry.id}",
                    entry.origin,
                    message,
                    f"From {least:g} to {most:g}; {meant}",
                    "minutes",
                )
    for repair in kb.repairs.values():
        if repair.parts_cost > _DEAREST:
            message = f"repairs {repair.id}: parts_cost is {repair.parts_cost:g} minutes of shop time"
            advice = "Write what the parts cost in minutes of shop time, not in money"
            yield problem(f"repairs/{repair.id}", repair.origin, message, advice, "parts_cost")


def _tenth(value: float, most: float) -> float:
    while value > most:
        value /= 10.0
    return value


def _error(survey: Survey, m: Measurement) -> Iterator[Problem]:
    error = m.error
    at = [
        abs(n)
        for limits in m.limits[-1:]
        for q in limits.at
        if (n := number(q, survey.with_defaults(Facts({}, {})))) is not None
    ]
    middle = at[len(at) // 2] if at else 0.0
    message = field = ""
    if error.relative > _LARGEST_ERROR:
        message, field = (
            f"a relative error of {error.relative:g} is more than a quarter of the reading",
            "relative",
        )
        advice = f"It is a fraction of the reading: type {error.relative / 100:g} for {error.relative:g} %"
    elif error.relative == error.absolute == 0.0:
        message, advice = (
            "a meter without any error does not exist",
            "Write error: {relative: 0.02, absolute: 0.05}, as its meter has it",
        )
    elif middle and error.absolute > middle:
        message, field = (
            f"an error of {error.absolute:g} {m.unit} hides its own limit of {middle:g} {m.unit}",
            "absolute",
        )
        advice = f"In {m.unit}: type {error.absolute / 1000:g} for {error.absolute:g} thousandths"
    if message:
        yield problem(
            f"measurements/{m.id}",
            m.origin,
            f"{m.id} error: {message}",
            advice,
            "error",
            *([field] if field else []),
        )


def _bounds(survey: Survey, m: Measurement) -> Iterator[Problem]:
    """A sound circuit's reading that is doubted wherever it is typed without its unit."""
    facts = survey.with_defaults(Facts({}, {}))
    doubted = None if m.doubtful_above is None else number(m.doubtful_above, facts)
    reads = m.healthy[-1].reads
    sound = ends(reads, m, facts) if isinstance(reads, Range) and reads.low is not None else None
    if doubted is not None and sound is not None and doubted < sound[1]:
        message = f"{m.id}: above {doubted:g} {m.unit} it is doubted, and a sound circuit reads {sound[1]:g}"
        advice = "Raise 'doubtful_above' beyond what faults make it read, or correct 'healthy'"
        yield problem(f"measurements/{m.id}", m.origin, message, advice, "doubtful_above")


class _Set(NamedTuple):
    """A set of limits as it comes out on one machine; sound: the two ends of what a sound circuit reads."""

    measurement: Measurement
    limits: LimitSet
    at: tuple[float, ...]
    scale: float
    sound: tuple[float, float] | None
    where: str

    @property
    def plain(self) -> tuple[float, ...]:
        """The limits as on a machine whose readings are not multiplied."""
        return tuple(limit / self.scale for limit in self.at)


def _limits(survey: Survey) -> Iterator[Problem]:
    """One problem for each set of limits."""
    told: set[Origin] = set()
    sets = [one for m in survey.kb.measurements.values() if m.numeric for one in _sets(survey, m)]
    by_reading: dict[str, list[_Set]] = {}
    for one in sets:
        by_reading.setdefault(one.measurement.id, []).append(one)
    for readings in by_reading.values():
        worst = [slip for one in readings if (slip := _of_sound(one)) is not None]
        if len({one.limits.origin for one in readings}) > 1 and len(worst) == len(readings):
            m = readings[0].measurement
            told.update(one.limits.origin for one in readings)
            most = number(m.most, survey.with_defaults(Facts({}, {})))
            if most is None or readings[0].sound is None or readings[0].sound[0] <= most:  # else it is told
                message, advice = worst[0][0], f"Write 'healthy' in {m.unit}, or correct all its limits"
                way = ("healthy", len(m.healthy) - 1, "reads", "between")
                yield problem(f"measurements/{m.id}", m.origin, f"{m.id}: {message}", advice, *way)
    for one in sets:
        wrong: tuple[str | int, ...] | None = (
            _of_replaced(survey, one) or _of_sound(one) or _of_others(survey, one, by_reading)
            or _far_from_sound(one)
        )
        if wrong is not None and one.limits.origin not in told:
            told.add(one.limits.origin)
            entry = f"measurements/{one.measurement.id}"
            said = f"{one.measurement.id} limits: {wrong[0]}"
            yield problem(entry, one.limits.origin, said, str(wrong[1]), "at", *wrong[2:])


def _sets(survey: Survey, m: Measurement) -> Iterator[_Set]:
    """Every set in force on some machine, without readings and with those of a sound circuit."""
    parts: tuple[LimitSet | HealthyReading, ...] = (*m.limits, *m.healthy)
    conditions = [part.given for part in parts if part.given is not None]
    quantities = [q for limits in m.limits for q in limits.at if isinstance(q, Formula)]
    names = {n for c in conditions for n in c.names()} | {n for q in quantities for n in q.names()}
    names |= formula_names(m, *(h.reads for h in m.healthy if isinstance(h.reads, Range)))
    readings = {n: v for n in names if n in survey.kb.measurements and (v := _middle(survey, n)) is not None}
    seen: set[tuple[Origin, tuple[float, ...]]] = set()
    for facts in survey.domain.grid(names & set(survey.kb.equipment)) or ():
        for known in ({}, readings) if readings else ({},):
            given = survey.with_defaults(Facts({**facts.values, **known}, {}))
            given = Facts({**given.values, **known}, {})
            try:
                limits, at = limit_set_in_force(m, given), limits_in_force(m, given)
            except CaseError:
                continue
            if (limits.origin, at) in seen:
                continue
            seen.add((limits.origin, at))
            reads = healthy_in_force(m, given).reads
            sound = ends(reads, m, given) if isinstance(reads, Range) and reads.low is not None else None
            yield _Set(m, limits, at, number(m.scale, given) or 1.0, sound, told_facts(facts, names))


def _middle(survey: Survey, measurement: str) -> FactValue | None:
    """What the middle of a sound circuit's reading is on the machine of which nothing was told."""
    m, facts = survey.kb.measurements[measurement], survey.with_defaults(Facts({}, {}))
    reads = m.healthy[-1].reads if m.numeric else None
    for healthy in m.healthy:
        if healthy.given is None or healthy.given.holds(facts) is True:
            reads = healthy.reads
            break
    found = ends(reads, m, facts) if isinstance(reads, Range) and reads.low is not None else None
    return sum(found) / 2.0 if found else None


def _leaps(one: _Set, other: _Set) -> int | None:
    """The first step between two limits that is several times the same step of the other set."""
    if len(one.at) != len(other.at) or min(one.at[0], other.at[0]) <= 0.0:
        return None
    steps = [[after / before for before, after in pairwise(limits)] for limits in (one.at, other.at)]
    return next((i + 1 for i, (a, b) in enumerate(zip(*steps, strict=True)) if a >= _TIMES * b), None)


def _far_from_sound(one: _Set) -> tuple[str, str, int] | None:
    """A highest limit many times what a sound circuit reads, with none near that."""
    if one.sound is None or len(one.at) < 2 or one.at[-2] <= 0.0 or one.sound[1] <= 0.0:
        return None
    top = one.sound[1]
    if one.at[-2] >= top / _TIMES or one.at[-1] < 2.0 * _TIMES * top:
        return None
    return _said(one, one.at, len(one.at) - 1, top, "a sound circuit reads at most")


def _of_sound(one: _Set) -> tuple[str, str] | None:
    if one.sound is None or len(one.at) < 2:
        return None
    middle = sum(one.sound) / 2.0
    m, low, high = one.measurement, *one.sound
    if m.worsens == "down" and low >= _TIMES * one.at[-1] > 0.0:
        message = f"a sound circuit reads {low:.3g} {m.unit} or more{one.where}, and no limit is above"
        advice = f"Type {_tenfold(one.at[-1], low):g} for the highest, or correct 'healthy'"
        return f"{message} {one.at[-1]:g}", advice
    above, below = middle > one.at[-1] or high >= 2.0 * one.at[-1] > 0.0, middle <= one.at[0]
    wrong = above if m.worsens == "up" else below if m.worsens == "down" else above or below
    if not wrong:
        return None
    band = m.bands[-1] if above else m.bands[0]
    message = (
        f"a sound circuit reads {low:.3g} to {high:.3g} {m.unit}{one.where}, which is '{band}' by "
        "these limits"
    )
    return message, f"Write them in {m.unit}, as on that machine, or correct 'healthy'"


def _tenfold(value: float, at_least: float) -> float:
    while value * _TIMES <= at_least:
        value *= 10.0
    return value


def _apart(one: Sequence[float], other: Sequence[float]) -> int | None:
    """The first place at which one of two lists of limits is several times the other."""
    if len(one) != len(other):
        return None
    return next(
        (
            i
            for i, (a, b) in enumerate(zip(one, other, strict=True))
            if a > 0 and b > 0 and max(a, b) >= _TIMES * min(a, b)
        ),
        None,
    )


def _of_replaced(survey: Survey, one: _Set) -> tuple[str, str, int] | None:
    """A limit that is several times the one that it replaced, where both are plain numbers."""
    key = f"measurements/{one.measurement.id}"
    below = survey.kb.replaced.get(key)
    before = below.data.get("limits") if below is not None and isinstance(below.data, dict) else None
    now = _written(survey.kb.written[key].data.get("limits"), survey.kb.written[key].place, one.limits.origin)
    if not isinstance(before, list) or now is None:
        return None
    alike: list[tuple[float, tuple[str, str, int]]] = []
    for old in before:
        at = old.get("at") if isinstance(old, dict) else None
        if not isinstance(at, list) or not all(isinstance(q, (int, float)) for q in (*at, *now)):
            continue
        index = _apart(now, at)
        if index is None:
            return None
        far = sum(abs(log(max(a, 1e-9) / max(b, 1e-9))) for a, b in zip(now, at, strict=True))
        alike.append((far, _said(one, now, index, at[index], "the set that it replaces has")))
    return min(alike)[1] if alike else None


def _written(limits: Any, place: Any, origin: Origin) -> list[Any] | None:
    """The limits of the set at that place, as written."""
    if not isinstance(limits, list):
        return None
    entry = place.below.get("limits") if isinstance(place.below, Mapping) else None
    items = entry[2].below if entry is not None else None
    for index, said in enumerate(limits):
        if (
            isinstance(items, Sequence)
            and index < len(items)
            and items[index][:2] == (origin.line, origin.column)
            and isinstance(said, dict)
        ):
            at = said.get("at")
            return at if isinstance(at, list) else None
    return None


def _said(one: _Set, at: Sequence[float], index: int, other: float, who: str) -> tuple[str, str, int]:
    meant = at[index]
    while meant >= _TIMES * other:
        meant /= 10.0
    while meant * _TIMES <= other:
        meant *= 10.0
    return (
        f"{at[index]:g} is out of line: {who} {other:g}",
        f"Type {meant:.3g}, or say in the file why it is so",
        index,
    )


def _of_others(
    survey: Survey, one: _Set, by_reading: Mapping[str, list[_Set]]
) -> tuple[str, str, int] | None:
    """A limit that is several times what other sets of the reading, or other readings of its kind, have."""
    m = one.measurement
    for other in by_reading[m.id]:
        index = _apart(one.plain, other.plain) if other.limits is not one.limits else None
        if index is not None and one.sound is not None:
            top = max(one.sound[1] / one.scale, 1e-9)
            if abs(log(one.plain[index] / top)) > abs(log(other.plain[index] / top)):
                return _said(one, one.plain, index, other.plain[index], "another set of it has")
        leap = _leaps(one, other) if other.limits is not one.limits else None
        if leap is not None:
            expected = one.at[leap - 1] * other.at[leap] / other.at[leap - 1]
            return _said(one, one.at, leap, expected, "by the steps of another set of it one expects")
    alike = [s for sets in by_reading.values() for s in sets
             if s.measurement.id != m.id and s.measurement.bands == m.bands
             and s.measurement.unit == m.unit and set(s.measurement.kinds) == set(m.kinds)]  # fmt: skip
    if len({s.measurement.id for s in alike}) < 2:
        return None
    columns = [[s.plain[i] for s in alike] for i in range(len(one.at))]
    if any(min(column) <= 0 or max(column) > 2 * min(column) for column in columns):
        return None  # they do not agree among themselves
    usual = [median(column) for column in columns]
    index = _apart(one.plain, usual)
    who = f"other readings of the kind '{m.kinds[-1]}' have"
    return None if index is None else _said(one, one.plain, index, usual[index], who)
