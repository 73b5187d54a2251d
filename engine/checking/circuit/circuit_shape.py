"""A circuit that does not hang together.

What: a segment between a point and itself; two segments of the loop between the same points; a
point that only one segment reaches, so that a segment meant for it passes it by; a segment that is
the place of no fault; a fault whose ``only`` excludes every machine that has its place; a reading whose
leads have no way between them on any machine.

Why: a wrong end puts a fault outside the leads that see it, or inside those that do not, and the
readings then speak for the wrong part.

Bad::

    positive_cable: {ends: [positive_clamp, splice_in], ...}
    splice: {ends: [splice_in, splice_out], ...}
    cable_behind: {ends: [positive_clamp, positive_lug], ...}     # nothing else reaches splice_out

Good::

    cable_behind: {ends: [splice_out, positive_lug], ...}
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator
from itertools import combinations

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.entries.machine import LOOP, SOURCE
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Segment


def check(survey: Survey) -> Iterator[Problem]:
    """Segments, then points, then faults and readings."""
    kb = survey.kb
    told: set[str] = set()
    doubled = tuple(_doubled(survey))
    looped = {s.id for s in kb.segments.values() if s.ends[0] == s.ends[1]}
    for found in (*doubled, *(() if looped else _hanging(survey))):  # what follows from a loop is not told
        if found.entry not in told and not (told and found.entry.startswith("points/")):
            told.add(found.entry)
            yield found
    places = {place for fault in kb.faults.values() for place in fault.places}
    for segment in kb.segments.values():
        if segment.id not in places and f"segments/{segment.id}" not in told:
            message = f"segment {segment.id} is the place of no fault"
            advice = f"Name it in 'places' of a fault, or write the fault of {segment.label}"
            yield problem(f"segments/{segment.id}", segment.origin, message, advice)
    yield from _nowhere(survey)


def _doubled(survey: Survey) -> Iterator[Problem]:
    """Segments that begin where they end, and two of the loop beside each other on some machine."""
    for segment in survey.kb.segments.values():
        if segment.ends[0] == segment.ends[1]:
            message = f"segment {segment.id} begins and ends at {segment.ends[0]}"
            yield problem(f"segments/{segment.id}", segment.origin, message, "Write its two ends", "ends")
    for model in survey.machines:
        for one, other in combinations(model.circuit.segments(), 2):
            beside = _in_ring(survey, one) and _in_ring(survey, other) and one.circuit == other.circuit
            if set(one.ends) == set(other.ends) and beside and not _is_load(survey, one):
                later = max(one, other, key=lambda s: _rank(survey, s))
                kept = one if later is other else other
                message = f"segment {later.id} lies between the same points as {kept.id}"
                advice = f"Correct one end, or give each an 'only' of its own{_unreached(survey)}"
                yield problem(f"segments/{later.id}", later.origin, message, advice, "ends")


def _rank(survey: Survey, segment: Segment) -> tuple[bool, bool, int]:
    """What was written later: in a later folder, then further down."""
    folders = survey.kb.folders
    return (survey.kb.layers.get(f"segments/{segment.id}") == folders[-1] if folders else False,
            f"segments/{segment.id}" in survey.kb.replaced, segment.origin.line)  # fmt: skip


def _is_load(survey: Survey, segment: Segment) -> bool:
    return survey.kb.segment_kinds[segment.kind].load


def _in_ring(survey: Survey, segment: Segment) -> bool:
    """True for a segment of the loop or of the source that closes it."""
    return survey.kb.circuits[segment.circuit].part in (LOOP, SOURCE)


def _ends(survey: Survey, ring: bool) -> dict[str, set[str]]:
    """Point -> the segments that reach it on some machine; the most that stand there together decide."""
    most: dict[str, set[str]] = defaultdict(set)
    for model in survey.machines:
        for point, names in _ends_here(survey, model, ring).items():
            most[point] = max(most[point], names, key=len)
    return most


def _ends_here(survey: Survey, model: Model, ring: bool) -> dict[str, set[str]]:
    """Point -> the segments that reach it on one machine."""
    here: dict[str, set[str]] = defaultdict(set)
    for segment in model.circuit.segments():
        for end in segment.ends:
            if not ring or _in_ring(survey, segment):
                here[end].add(segment.id)
    return here


def _dead_ends(survey: Survey, ring: bool) -> Iterator[tuple[str, str, Collection[str]]]:
    """Points that one segment reaches, that segment, and the segments among which is the one that should.

    Of the ring also those of one kind of machine only, where it is closed on every other.
    """
    kb = survey.kb
    alone = {point: names for point, names in _ends(survey, ring).items() if len(names) == 1}
    for point, (name,) in alone.items():
        yield point, name, kb.segments
    if not ring or alone or len(kb.folders) > 1:  # a shop writes for the machines that it has
        return
    for model in survey.machines:
        here = _ends_here(survey, model, ring)
        for point, names in here.items():
            if len(names) == 1:
                yield point, next(iter(names)), {name for of in here.values() for name in of}
                return


def _unreached(survey: Survey) -> str:
    alone = [point for point, names in _ends(survey, False).items() if len(names) == 1]
    return f"; {alone[0]} is reached by nothing else" if alone else ""


def _hanging(survey: Survey) -> Iterator[Problem]:
    """Points with a dead end: of the ring from battery to battery, then of the whole circuit."""
    kb = survey.kb
    closed = any(kb.circuits[segment.circuit].part == SOURCE for segment in kb.segments.values())
    for ring in (True, False):
        if not (closed if ring else len(kb.folders) > 1):
            continue  # a part of a circuit has open ends; of a base, only what a shop adds is looked at
        for point, only, around in _dead_ends(survey, ring):
            if survey.own.isdisjoint(
                {f"points/{point}", *(f"segments/{s.id}" for s in kb.segments.values())}
            ):
                continue
            if ring and (strange := _strange(survey, point)) is not None:
                message = (
                    f"segment {strange.id} is in the circuit '{strange.circuit}', and the loop is open "
                    "there without it"
                )
                loop = next(c.id for c in kb.circuits.values() if c.part == LOOP)
                advice = f"Type circuit: {loop}"
                yield problem(f"segments/{strange.id}", strange.origin, message, advice, "circuit")
                continue
            (behind,) = (end for end in kb.segments[only].ends if end != point)
            passing = [s for s in map(kb.segments.__getitem__, around) if behind in s.ends and s.id != only
                       and (not ring or (_in_ring(survey, s) and survey.kb.circuits[s.circuit].part == LOOP))]
            wrong = max(passing, default=None, key=lambda s: (*_rank(survey, s)[:2],
                        _reads(survey, s, behind, point), -s.origin.line))  # fmt: skip
            if not ring and f"points/{point}" not in survey.own:
                yield from _left_behind(survey, point)
                continue
            if wrong is None or (not ring and not any(_rank(survey, s)[0] for s in passing)):
                message = f"point {point} is reached by one segment only, {only}: a dead end"
                yield problem(
                    f"points/{point}",
                    kb.points[point].origin,
                    message,
                    "Let another segment end there, or take it out",
                )
            else:
                message = (
                    f"segment {wrong.id} ends at {behind} and passes {point} by, which only {only} reaches"
                )
                yield problem(
                    f"segments/{wrong.id}",
                    wrong.origin,
                    message,
                    f"Type {point} in place of {behind}, or let another segment end there",
                    "ends",
                )


def _left_behind(survey: Survey, point: str) -> Iterator[Problem]:
    """A point of the base below that a shop's folder moved a segment away from, with nothing in its place."""
    kb = survey.kb
    before = {key.removeprefix("segments/"): raw.data for key, raw in kb.replaced.items()}
    moved = [s for s in kb.segments.values() if point not in s.ends and isinstance(before.get(s.id), dict)
             and point in before[s.id].get("ends", ())]  # fmt: skip
    for segment in moved[:1]:
        added = [s for s in kb.segments.values() if f"segments/{s.id}" in survey.own and s not in moved
                 and set(s.ends) & set(segment.ends)]  # fmt: skip
        odd = added[0] if added else segment
        message = f"segment {odd.id} ends at {' and '.join(odd.ends)}, and nothing goes on from {point}"
        advice = f"Let one of its ends be {point}"
        yield problem(f"segments/{odd.id}", odd.origin, message, advice, "ends")


def _strange(survey: Survey, point: str) -> Segment | None:
    """A segment of another circuit that would close the ring at this dead end."""
    ends = _ends(survey, True)
    for segment in survey.kb.segments.values():
        closes = point in segment.ends and all(len(ends.get(end, ())) == 1 for end in segment.ends)
        if closes and not _in_ring(survey, segment):
            return segment
    return None


def _reads(survey: Survey, segment: Segment, wrong: str, right: str) -> bool:
    """True if a reading would lie right across the segment, were this end put right."""
    ends = {right if end == wrong else end for end in segment.ends}
    return any(m.between is not None and set(m.between) == ends for m in survey.kb.measurements.values())


def _nowhere(survey: Survey) -> Iterator[Problem]:
    kb = survey.kb
    for fault in kb.faults.values():
        places = [kb.segments[place].only for place in fault.places]
        if fault.only is None or not places or None in places:
            continue
        if not any(survey.together(fault.only, only) for only in places if only is not None):
            message = (
                f"fault {fault.id}: no machine that its 'only' names has its place "
                f"({', '.join(fault.places)})"
            )
            names = ", ".join(
                sorted({n for only in places if only is not None for n in only.names() & fault.only.names()})
            )
            yield problem(f"faults/{fault.id}", fault.origin, message,
                          f"Correct {names or 'it'}: 'only' must hold where the segment's "
                              "does", "only")  # fmt: skip
    for measurement in kb.measurements.values():
        if measurement.between and not any(
            model.circuit.path(*measurement.between)
            for model in survey.machines
            if measurement.id in model.measurements
        ):
            a, b = measurement.between
            message = f"measurement {measurement.id}: no way leads from {a} to {b} on any machine that has it"
            yield problem(
                f"measurements/{measurement.id}",
                measurement.origin,
                message,
                "Correct 'between', or the ends of a segment",
                "between",
            )
