"""An entry that nothing uses.

What: a reference that is cited nowhere; a set-up, caution, tool, state, point or repair that no
other entry names; a segment that is neither the place of a fault nor between any two leads; words of a
language that nothing reads texts in; a degree that is nearly called as one that rules and other faults name.

Why: it was meant for something, and that something is missing.

Bad::

    tools: {borescope: {label: borescope}}      # and no measurement needs it

Good::

    tools: {borescope: {label: borescope}}
    measurements: {ring_gear_inspection: {tools: [borescope], ...}}
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import (
    Caution,
    Hazard,
    Knowledge,
    Point,
    Reference,
    Repair,
    Segment,
    Setup,
    State,
    Tool,
)
from crankpath.engine.likeness import nearest
from crankpath.engine.machine.safety import classes_of

_Entries = Mapping[str, Hazard | Reference | Setup | Caution | Tool | State | Point | Repair | Segment]


def check(survey: Survey) -> Iterator[Problem]:
    """Entries whose id stands nowhere else."""
    kb = survey.kb
    measurements = kb.measurements.values()
    sections: dict[str, tuple[_Entries, set[str]]] = {
        "references": (kb.references, _cited(kb)),
        "setups": (kb.setups, _made_ready(kb)),
        "cautions": (kb.cautions, _warned(kb)),
        "hazards": (kb.hazards, _done(kb)),
        "tools": (kb.tools, _ids(m.tools for m in measurements)),
        "states": (kb.states, {m.state for m in measurements}),
        "points": (kb.points, _touched(kb)),
        "repairs": (kb.repairs, {fault.repair for fault in kb.faults.values()}),
        "segments": (kb.segments, _blamed(survey)),
    }
    for section, (entries, used) in sections.items():
        for entry in entries.values():
            if entry.id not in used:
                message = f"{section} {entry.id} is used nowhere"
                yield problem(f"{section}/{entry.id}", entry.origin, message, "Use it, or take it out")
    yield from _languages(kb)
    yield from _degrees(kb)


def _languages(kb: Knowledge) -> Iterator[Problem]:
    """Words for texts in a language of which no entry has the phrases that make sentences of them."""
    read = sorted({words.language for words in kb.words.values() if words.phrases})
    for words in kb.words.values():
        if words.language not in read:
            message = f"words {words.id}: no texts are read in a language '{words.language}'"
            advice = f"Type {' or '.join(read)}, or write its 'phrases'"
            yield problem(f"words/{words.id}", words.origin, message, advice, "language")


def _degrees(kb: Knowledge) -> Iterator[Problem]:
    named = {d for rule in kb.rules.values() for d in rule.degrees or ()}
    for fault in kb.faults.values():
        others = {d for f in kb.faults.values() if f is not fault for d in f.degrees}
        for degree in fault.degrees:
            if degree not in named | others and (meant := nearest(degree, sorted(named | others))):
                message = f"faults {fault.id}: no rule and no other fault names a degree '{degree}'"
                advice = f"Did you mean {meant[0]}?"
                yield problem(f"faults/{fault.id}", fault.origin, message, advice, "degrees", degree)


def _ids(lists: Iterable[Iterable[str]]) -> set[str]:
    return {id_ for ids in lists for id_ in ids}


def _made_ready(kb: Knowledge) -> set[str]:
    return _ids(m.setups for m in kb.measurements.values()) | _ids(s.setups for s in kb.states.values())


def _cited(kb: Knowledge) -> set[str]:
    spoken = (kb.faults, kb.repairs, kb.rules, kb.facts, kb.balances)
    sections = (kb.cautions, kb.setups, kb.measurements, *spoken)
    cited = {id_ for section in sections for entry in section.values() for id_ in entry.sources}
    limits = (limits.sources for m in kb.measurements.values() for limits in m.limits)
    shares = (share.sources for fault in kb.faults.values() for share in fault.shares)
    return cited | _ids(limits) | _ids(shares)


def _warned(kb: Knowledge) -> set[str]:
    sections = (kb.setups, kb.states, kb.measurements, kb.faults, kb.repairs)
    warned = {id_ for section in sections for entry in section.values() for id_ in entry.cautions}
    done = _done(kb)
    warned |= {c for hazard in kb.hazards.values() if hazard.id in done for c in hazard.cautions}
    return warned | _ids(rule.caution for rule in kb.facts.values())


def _done(kb: Knowledge) -> set[str]:
    """The classes that some act belongs to."""
    sections = (kb.setups, kb.states, kb.measurements, kb.repairs)
    does = _ids(act.does for section in sections for act in section.values())
    ways = _ids(way.does for setup in kb.setups.values() for way in setup.ways)
    steps = _ids(step.does for repair in kb.repairs.values() for step in repair.steps)
    return set(classes_of(kb, does | ways | steps))


def _touched(kb: Knowledge) -> set[str]:
    spans = [span for m in kb.measurements.values() for span in (*m.spans, m.between or ())]
    return _ids(segment.ends for segment in kb.segments.values()) | _ids(spans)


def _blamed(survey: Survey) -> set[str]:
    spanned = {
        segment
        for model in survey.machines
        for measurement in model.measurements.values()
        for segment in model.circuit.span(measurement)
    }
    return spanned | _ids(fault.places for fault in survey.kb.faults.values())
