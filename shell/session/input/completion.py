"""What could be meant by the text before the cursor; a pure function."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from crankpath.engine.typed.spelling import plain_name


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """What can be completed at a prompt.

    Attributes:
        commands: words, each with what may follow it: readings, causes, facts, tools, repairs, or nothing.
        answers: what the question itself takes (values of an observation, done, y ...).
        names: kind -> names of things, as they are inserted.
    """

    commands: Mapping[str, str] = field(default_factory=dict)
    answers: tuple[str, ...] = ()
    names: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def suggestions(before: str, vocabulary: Vocabulary) -> list[tuple[str, int]]:
    """(what to insert, how many characters before the cursor it replaces), at most 12.

    >>> suggestions("ne", Vocabulary({"new": ""}, (), {"readings": ("neg leg", "pos leg")}))
    [('new', 2), ('neg leg', 2)]
    """
    line = before.lstrip()
    word, space, rest = line.partition(" ")
    if space and word.lower() in vocabulary.commands:
        kind = vocabulary.commands[word.lower()]
        piece = rest.rpartition(",")[2].lstrip() if kind == "facts" else rest.lstrip()
        return _fitting(piece, vocabulary.names.get(kind, ()))
    piece = line.rpartition(",")[2].lstrip()
    readings = vocabulary.names.get("readings", ())
    if piece != line:
        return _fitting(piece, readings)
    return _fitting(piece, (*vocabulary.answers, *vocabulary.commands, *readings))


def _fitting(piece: str, names: Sequence[str]) -> list[tuple[str, int]]:
    typed = plain_name(piece)
    if not typed:
        return []
    first = [name for name in names if plain_name(name).startswith(typed)]
    found = first or [name for name in names if _begins_words(typed.split(), plain_name(name).split())]
    return [(name, len(piece)) for name in dict.fromkeys(found)][:12]


def _begins_words(typed: Sequence[str], name: Sequence[str]) -> bool:
    """True if the typed words each begin a word of the name, in order."""
    rest = iter(name)
    return all(any(word.startswith(part) for word in rest) for part in typed)
