"""Finding a measurement, fault or repair by what a person typed."""

from __future__ import annotations

from collections.abc import Mapping

from crankpath.engine.errors import UnknownName
from crankpath.engine.knowledge.records import Fault, Measurement, Repair
from crankpath.engine.typed import spelling
from crankpath.engine.typed.spelling import Match

Named = Measurement | Fault | Repair


def calls(thing: Named) -> tuple[str, ...]:
    """Everything a thing is called: its id and label, a measurement's short name and aliases."""
    if isinstance(thing, Measurement):
        return (thing.id, thing.label, thing.short, *thing.aliases)
    return (thing.id, thing.label)


def find(typed: str, things: Mapping[str, Measurement] | Mapping[str, Fault] | Mapping[str, Repair]) -> Match:
    """The thing that was meant, or the ids it may have been.

    Case, spaces, hyphens and underscores do not matter; then a unique beginning counts,
    then words that each begin a word of one name ("neg leg"), then near spelling with one
    clear winner. ``sure`` is None and ``near`` has the candidates, best first, otherwise.
    """
    return spelling.match_name(typed, {name: calls(thing) for name, thing in things.items()})


def sure(typed: str, things: Mapping[str, Measurement] | Mapping[str, Fault] | Mapping[str, Repair]) -> str:
    """The id that was meant.

    Raises:
        UnknownName: none, or more than one; the sentence lists the candidates.
    """
    found = find(typed, things)
    if found.sure is not None:
        return found.sure
    if found.near:
        raise UnknownName(f"'{typed}' may be {', '.join(found.near)}; write which.")
    close = spelling.closest(typed, {name: calls(thing) for name, thing in things.items()})
    hint = f"; near it: {', '.join(close)}" if close else ""
    raise UnknownName(f"Nothing here is called '{typed[:60]}'{hint}.")
