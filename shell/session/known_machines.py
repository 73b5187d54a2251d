"""Machines of the shop: what was told of one is taken from its latest case, so it is kept nowhere twice."""

from __future__ import annotations

from typing import Any

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.session.input.guesses import when_facts
from crankpath.shell.session.outcome import CaseList
from crankpath.shell.store.order import live_events


def profile(shelf: CaseList, name: str, kb: Knowledge, but_not: str = "") -> dict[str, Any] | None:
    """The facts of a machine by its name, from the case it was last in; None if no case names it.

    Facts about the complaint and the weather are left out.
    """
    left_out = {fact.id for fact in kb.equipment.values() if fact.of_the_day or fact in when_facts(kb)}
    for case in shelf.cases(open_only=False, search=name, machine=name, limit=2):
        if case.id == but_not:
            continue
        facts: dict[str, Any] = {}
        for event in live_events(shelf.events(case.id)):
            if event.kind == "equipment" and isinstance(event.body.get("facts"), dict):
                facts.update(event.body["facts"])
        return {fact: value for fact, value in facts.items() if fact in kb.equipment and fact not in left_out}
    return None
