"""One slip in a file somebody wrote, said as a sentence with its place; and near spellings."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from typing import Final

from crankpath.engine.knowledge.entries.values import Origin
from crankpath.engine.knowledge.slips.values import latin, odd_letter
from crankpath.engine.likeness import nearest

_MOST_NAMED: Final = 3  # names of which a word is a part
_MOST_COMPARED: Final = 1000  # comparing spellings is slow


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong, where, and what to do about it.

    origin: one without a file speaks of a whole folder. folder: the knowledge-base folder
    as it was given; empty for the shipped one and for a text that stands alone. check: id of
    the check that found it (see `crankpath.engine.checking`). entry: "section/id" that it
    speaks of, if it is one entry. path: from what stands at `origin`, the fields to the value itself.
    """

    origin: Origin
    message: str
    advice: str = ""
    folder: str = ""
    check: str = ""
    entry: str = ""
    path: tuple[str | int, ...] = ()

    def __str__(self) -> str:
        where = "/".join(part for part in (self.folder, str(self.origin) if self.origin.file else "") if part)
        where = where or "knowledge base"
        return f"{where}: {_sentence(self.message)} {_sentence(self.advice)}".rstrip()


MOST_SLIPS: Final = 300
"""After so many nobody reads on, and a file made to annoy would cost minutes."""


class TooManySlips(Exception):
    """Raised to stop reading; the problems found so far are kept."""


@dataclass(slots=True)
class ProblemCollector:
    """Collects problems, so that all of them can be told at once."""

    found: list[Problem] = field(default_factory=list)

    def add(
        self, origin: Origin, message: str, advice: str = "", folder: str = "", *, check: str = ""
    ) -> None:
        """Note one problem.

        Raises:
            TooManySlips: it is the last one that is taken.
        """
        self.found.append(Problem(origin, message, advice, folder, check))
        if len(self.found) >= MOST_SLIPS:
            raise TooManySlips

    def __iter__(self) -> Iterator[Problem]:
        return iter(self.found)

    def __bool__(self) -> bool:
        return bool(self.found)


def near(word: str, known: Iterable[str], at_most: int = 8) -> str:
    """Advice for a word that is not known: its near spellings, or the choices if they are few.

    >>> near("positve_cable", ["positive_cable", "negative_cable"])
    'Did you mean positive_cable?'
    >>> near("voltage", ["system_voltage", "duty"])
    'Did you mean system_voltage?'
    >>> near("xyz", ["up", "down"])
    'Known here: up, down.'
    """
    choices = [str(choice) for choice in islice(known, _MOST_COMPARED)]
    plain = "_".join(latin(word).lower().replace("-", " ").split())
    if plain in choices and plain != word:
        odd = odd_letter(word)
        return f"{odd} only looks like a Latin letter: type {plain}." if odd else f"Type {plain}."
    parts = re.split(r"[\s;/]+", word.strip())
    if len(parts) > 1 and all(part in choices for part in parts):
        return f"Put a comma between them: {', '.join(parts)}."
    close = nearest(word, choices, most=2)
    if close:
        return f"Did you mean {' or '.join(close)}?"
    part_of = [choice for choice in choices if plain in choice.split("_")]
    if 0 < len(part_of) <= _MOST_NAMED and len(plain) > 2:
        return f"Did you mean {' or '.join(part_of)}?"
    if 0 < len(choices) <= at_most:
        return f"Known here: {', '.join(choices)}."
    return ""


def quoted(value: object, longest: int = 60) -> str:
    """The value as written, cut to a length that fits a line and without control characters."""
    text = "".join(c if c.isprintable() else " " for c in str(value)[: longest + 1])
    return f"'{text}'" if len(text) <= longest else f"'{text[:longest]}...'"


def _sentence(text: str) -> str:
    return text if not text or text[-1] in ".?!" else text + "."
