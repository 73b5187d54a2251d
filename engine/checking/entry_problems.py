"""Small helpers of the checks: a problem of an entry, and facts told in a sentence."""

from __future__ import annotations

from collections.abc import Collection

from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Origin


def problem(entry: str, origin: Origin, message: str, advice: str, *path: str | int) -> Problem:
    """A problem of one entry ("section/id"); the table of checks adds which check, folder and line.

    path: the fields from what stands at `origin` to the value that is wrong.
    """
    return Problem(origin, message, advice, entry=entry, path=path)


def told_facts(facts: Facts, names: Collection[str]) -> str:
    """The facts that matter, as the end of a sentence: " with system_voltage 12"; empty if none.

    >>> told_facts(Facts({"system_voltage": 12}), ["system_voltage"])
    ' with system_voltage 12'
    """
    told = [f"{name} {_told(facts, name)}" for name in sorted(names) if facts.known(name)]
    return f" with {', '.join(told)}" if told else ""


def _told(facts: Facts, name: str) -> str:
    value = facts.bands.get(name, facts.values.get(name))
    return f"{value:g}" if isinstance(value, float) else str(value).lower()
