"""A rule, limit set, share or part that can never come into play.

What: a condition that no value of its names can fulfil; a rule whose ``given`` excludes the
very machines that have its fault or its measurement, or whose ``unless`` always stops it; a
``where`` that is true on no machine; a set of limits, a healthy reading or a share behind one
that always holds first.

Why: somebody meant something by it, and it says nothing.

Bad::

    disconnect_on_a_machine_without:
      faults: [disconnect_contacts]          # only: {disconnect_switch: [positive, negative]}
      given: {disconnect_switch: none}

Good::

    disconnect_in_the_ground_run:
      faults: [disconnect_contacts]
      given: {disconnect_switch: negative}
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.placed_conditions import PlacedCondition, atoms, placed_conditions
from crankpath.engine.checking.survey import Slot, Survey
from crankpath.engine.knowledge.condition import Compares, Condition, Is, Known
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import EvidenceRule, HealthyReading, Knowledge, Share

_WHERE = {
    "across": "no measurement it names has the fault's place between its leads",
    "clear_of": "every measurement it names has the fault's place between its leads",
    "any": "the faults and measurements it names do not exist together",
}


def check(survey: Survey) -> Iterator[Problem]:
    """Impossible conditions, then rules, then what stands behind something that always holds."""
    told: set[str] = set()
    for placed in placed_conditions(survey.kb):
        if not survey.concerns(*placed.entry.split("/", 1)):
            continue
        for message in _impossible(survey, placed):
            told.add(placed.entry)
            said, name = message if isinstance(message, tuple) else (message, "")
            way = _path(placed, name)
            meant = _truth_meant(said) if set(survey.kb.equipment) | _truths(survey.kb) >= {name} else ""
            advice = f"Type {meant}" if meant else "Correct the value, or take the condition out"
            yield problem(placed.entry, placed.origin, f"{_name(placed)}: {said}", advice, *way)
    yield from _rules(survey, told)
    yield from _facts(survey, told)
    for fault in survey.kb.faults.values():
        yield from _behind(survey, f"faults/{fault.id}", "share", fault.shares)
    for measurement in survey.kb.measurements.values():
        yield from _behind(survey, f"measurements/{measurement.id}", "healthy", measurement.healthy)


def _truth_meant(said: str) -> str:
    """true or false, where another word for it was typed; empty if not."""
    word = said.rpartition(" ")[2]
    return "true" if word in ("yes", "on") else "false" if word in ("no", "off") else ""


def _truths(kb: Knowledge) -> set[str]:
    """The derived facts that are true or false."""
    return {n for rule in kb.facts.values() for n, value in rule.then.items() if isinstance(value, bool)}


def _path(placed: PlacedCondition, name: str) -> tuple[str, ...]:
    """The way from where it stands to its line in the condition."""
    field = placed.field.rpartition(" ")[2]
    return (field, name) if name else (field,)


def _name(placed: PlacedCondition) -> str:
    return f"{placed.entry.split('/', 1)[1]} {placed.field}"


def _impossible(survey: Survey, placed: PlacedCondition) -> Iterator[str | tuple[str, str]]:
    """What can never hold, with the name it is said of where there is one."""
    parts = list(atoms(placed.condition))
    dead = [told for atom in parts for told in _dead(survey, atom)]
    yield from dead
    if not dead and len(parts) > 1 and not _possible(survey, (placed.condition,), ()):
        names = sorted({name for part in parts for name in part.names()})
        yield f"its lines exclude each other ({', '.join(names)})"


def _dead(survey: Survey, atom: Condition) -> Iterator[tuple[str, str]]:
    """Values that the atom asks for and its name can never have."""
    single: tuple[Condition, ...] = (atom,)
    if isinstance(atom, Is):
        single = tuple(Is(atom.name, (value,)) for value in atom.expected)
    for part in single:
        if not _possible(survey, (part,), ()):
            match part:
                case Is(name=name, expected=(value,)):
                    yield f"{name} can never be {str(value).lower()}", name
                case Compares(name=name, relation=relation, bound=bound):
                    yield f"{name} can never be {relation.replace('_', ' ')} {bound:g}", name
                case Known(name=name, wanted=wanted):
                    yield f"{name} is {'never' if wanted else 'always'} known", name


def _possible(survey: Survey, given: Sequence[Condition | None], unless: Sequence[Condition | None]) -> bool:
    """Can all of `given` hold, and none of `unless` with them? True if it cannot be tried out."""
    wanted = [c for c in given if c is not None]
    stopping = [c for c in unless if c is not None]
    grid = survey.domain.told_apart((*wanted, *stopping))
    if grid is None:
        return True
    return any(
        all(c.holds(facts) is True for c in wanted) and not any(c.holds(facts) is True for c in stopping)
        for facts in grid
    )


def _rules(survey: Survey, told: set[str]) -> Iterator[Problem]:
    spoken = {rule.id for slot in survey.slots for rule in slot.rules}
    alive: set[str] = set()
    for slot in survey.slots:
        active = survey.active(slot)
        found = slot.rules if active is None else (rule for _, rules in active for rule in rules)
        alive.update(rule.id for rule in found)
    for rule in survey.kb.rules.values():
        if f"rules/{rule.id}" in told or rule.id in alive or not survey.concerns("rules", rule.id):
            continue
        if rule.id not in spoken:
            message = f"it applies nowhere: {_WHERE[rule.where]} on any machine"
            advice, field = f"Check faults, measurements and 'where: {rule.where}'", "faults"
        else:
            yield _never_holds(survey, rule)
            continue
        yield problem(f"rules/{rule.id}", rule.origin, f"rule {rule.id}: {message}", advice, field)


def _never_holds(survey: Survey, rule: EvidenceRule) -> Problem:
    """Why the conditions of a rule never hold, at the line that excludes its machines where one does."""
    entry, said = f"rules/{rule.id}", f"rule {rule.id}: "
    if not _possible(survey, (rule.given,), (rule.unless,)):
        message = f"{said}whenever its 'given' holds, its 'unless' stops it"
        return problem(entry, rule.origin, message, "Correct 'given' or 'unless'", "unless")
    for line in atoms(rule.given) if rule.given is not None else ():
        for name in line.names():
            if not any(_stands(survey, slot, line) for slot in survey.slots if rule in slot.rules):
                message = f"{said}its line on {name} holds on no machine that has both fault and measurement"
                return problem(entry, rule.origin, message, f"Correct {name}, or take it out", "given", name)
    message = f"{said}its 'given' holds on no machine that has both its fault and its measurement"
    return problem(entry, rule.origin, message, "Correct 'given' or 'unless'",
                   "given" if rule.given is not None else "unless")  # fmt: skip


def _stands(survey: Survey, slot: Slot, line: Condition) -> bool:
    """True if the line can hold where the slot's fault and measurement are there."""
    places = [survey.kb.segments[place].only for place in slot.fault.places] or [None]
    only = (slot.fault.only, slot.measurement.only)
    return any(_possible(survey, (line, *only, place), ()) for place in places)


def _facts(survey: Survey, told: set[str]) -> Iterator[Problem]:
    for rule in survey.kb.facts.values():
        if f"facts/{rule.id}" in told or not survey.concerns("facts", rule.id):
            continue
        if not _possible(survey, (rule.when,), (rule.unless,)):
            message = f"fact rule {rule.id}: whenever its 'when' holds, its 'unless' stops it"
            yield problem(f"facts/{rule.id}", rule.origin, message, "Correct 'when' or 'unless'")


def _behind(
    survey: Survey, entry: str, field: str, parts: Sequence[Share | HealthyReading]
) -> Iterator[Problem]:
    """Parts that are never the first whose condition holds."""
    for index, part in enumerate(parts):
        earlier = [p.given for p in parts[:index]]
        if index and not _possible(survey, (part.given,), earlier):
            message = f"{entry.split('/')[1]} {field}: whenever this one holds, one before it does"
            yield problem(entry, part.origin, message, "Put the narrower one first, or take this one out")
