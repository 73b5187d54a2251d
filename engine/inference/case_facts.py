"""The latest take of every reading, and the facts that stand on them over a whole case."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from crankpath.engine.inference.entries import Entry, Reading, Repaired
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.machine.facts import Deduction
from crankpath.engine.machine.lasting_facts import lasting_facts


def case_facts(model: Model, entries: Sequence[Entry], present: Callable[[Reading], bool]) -> Deduction:
    """The facts that stand; a reading with the complaint there is not outdated by one with it away.

    Args:
        present: whether the complaint was there when a reading was taken.
    """
    latest: dict[str, tuple[bool, int, FactValue]] = {}
    for place, entry in enumerate(entries):
        if isinstance(entry, Reading):
            take = (present(entry), place, entry.value)
            earlier = latest.get(entry.measurement, take)
            latest[entry.measurement] = max(take, earlier, key=lambda t: t[:2])
    repaired = [(place, entry) for place, entry in enumerate(entries) if isinstance(entry, Repaired)]
    return lasting_facts(
        model.kb,
        {**model.equipment, **{name: value for name, (_, _, value) in latest.items()}},
        {name: place for name, (_, place, _) in latest.items()},
        {entry.repair: place for place, entry in repaired},
        max((place for place, entry in repaired if entry.cured), default=-1),
        model.deduce,
    )
