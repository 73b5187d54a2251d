"""Two things with the same name.

What: a label, short name or alias of a measurement that another measurement has too (case,
spaces and underscores do not count); two faults, points or repairs with one label.

Why: a reading typed as "pos post .2" must belong to one measurement; and nobody can choose
between two lines that read alike.

Bad::

    positive_post_drop: {aliases: [pos drop], ...}
    positive_leg_drop: {aliases: [pos drop], ...}

Good::

    positive_post_drop: {aliases: [pos post], ...}
    positive_leg_drop: {aliases: [pos drop], ...}
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Origin

_Named = tuple[str, Origin, tuple[str, ...]]


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each pair, at the later entry."""
    kb = survey.kb
    measurements = ((m.id, m.origin, (m.id, m.label, m.short, *m.aliases)) for m in kb.measurements.values())
    yield from _clashes("measurements", measurements)
    yield from _clashes("faults", ((f.id, f.origin, (f.label,)) for f in kb.faults.values()))
    yield from _clashes("repairs", ((r.id, r.origin, (r.label,)) for r in kb.repairs.values()))
    yield from _clashes("points", ((p.id, p.origin, (p.label, p.short)) for p in kb.points.values()))


def _clashes(section: str, entries: Iterable[_Named]) -> Iterator[Problem]:
    owners: dict[str, str] = {}
    for id_, origin, names in entries:
        for place, name in enumerate(names):
            key = " ".join(name.replace("_", " ").casefold().split())
            owner = owners.setdefault(key, id_)
            if owner != id_:
                message = f"{section} {id_} and {owner} are both called '{name}'"
                fields: tuple[str, ...] = ("label", "short")
                if section == "measurements":  # the first of its names is its id
                    fields = ("label", *fields, "aliases")
                field = fields[min(place, len(fields) - 1)]
                yield problem(f"{section}/{id_}", origin, message, "Give one of them another name", field)
                break
