"""A reply on the table: its pieces, which of them are used up, and what was found so far."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Protocol, TypeVar

from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.typed.reading import Understood
from crankpath.engine.typed.units import fold
from crankpath.shell.replies import words
from crankpath.shell.replies.names import Called, Lexicon
from crankpath.shell.replies.text import Piece, cut

_LONGEST: Final = 20_000  # a message longer than this is no message


class _Placed(Protocol):
    @property
    def at(self) -> int: ...


_P = TypeVar("_P", bound=_Placed)


@dataclass(frozen=True, slots=True)
class Name:
    """A run of words that names something: pieces `first` to `last` (one past), what it may be."""

    first: int
    last: int
    called: Called
    stems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ParsedReading:
    """A reading understood, and the piece it starts at."""

    at: int
    measurement: str
    text: str
    understood: Understood
    symptom: bool | None = None


@dataclass(frozen=True, slots=True)
class Asked:
    """Something to ask about, and the piece it starts at."""

    at: int
    text: str
    message: str
    measurements: tuple[str, ...]
    values: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Fragment:
    """A piece of text that cannot be read there, or was not understood."""

    at: int
    text: str
    measurement: str = ""


class Page:
    """The state of reading one reply; the modules that read it fill the four lists."""

    def __init__(self, text: str, lexicon: Lexicon, facts: Facts, expecting: str | None) -> None:
        self.source = "\n".join(fold(line) for line in text[:_LONGEST].splitlines())
        self.lexicon, self.facts, self.expecting = lexicon, facts, expecting
        self.pieces: Sequence[Piece] = cut(text[:_LONGEST], lexicon.vocabulary)
        self.blocked = [False] * len(self.pieces)  # says whether the symptom was there; no part of a name
        self.used = [p.kind in ("hard", "soft") for p in self.pieces]
        self._stops: dict[tuple[str, ...], list[int]] = {
            kinds: [-1, *(at for at, p in enumerate(self.pieces) if p.kind in kinds), len(self.pieces)]
            for kinds in (("hard",), ("hard", "soft"))
        }
        self.taken: list[ParsedReading] = []
        self.doubts: list[Asked] = []
        self.cannot: list[Fragment] = []
        self.unknown: list[Fragment] = []
        if len(text) > _LONGEST:
            self.unknown.append(Fragment(len(self.pieces), f"{text[_LONGEST:][:60]} ..."))

    @staticmethod
    def in_order(found: Sequence[_P]) -> list[_P]:
        """By place in the text."""
        return sorted(found, key=lambda f: f.at)

    def talk(self) -> tuple[str, ...]:
        """What carries no reading, a sentence or what is left of one each."""
        parts: list[list[str]] = [[]]
        for piece, used in zip(self.pieces, self.used, strict=True):
            if piece.kind == "hard" or (used and piece.kind != "soft"):
                parts.append([])
            elif piece.kind != "soft":
                parts[-1].append(piece.text)
        kept = [
            part for part in parts if any(stem_word not in words.JOIN for stem_word in map(str.lower, part))
        ]
        return tuple(" ".join(part) for part in kept)

    def text(self, first: int, last: int) -> str:
        """The text from piece `first` to the one before `last`, as written."""
        return self.source[self.pieces[first].start : self.pieces[last - 1].end]

    def use(self, first: int, last: int) -> None:
        """Mark pieces as told."""
        for at in range(first, last):
            self.used[at] = True

    def sentence(self, at: int) -> tuple[int, int]:
        """First and one past the last piece between the hard breaks around a piece."""
        return self._until(at, ("hard",))

    def clause(self, at: int) -> tuple[int, int]:
        """The same between any breaks."""
        return self._until(at, ("hard", "soft"))

    def _until(self, at: int, kinds: tuple[str, ...]) -> tuple[int, int]:
        stops = self._stops[kinds]
        next_stop = bisect_left(stops, at)
        return stops[next_stop - 1] + 1, stops[next_stop]

    def canons(self) -> list[str]:
        """The stem of each piece that is a free word; something no saying has for the others."""
        free = [
            p.canon if p.canon and (p.kind == "soft" or not used) else "\0"
            for p, used in zip(self.pieces, self.used, strict=True)
        ]
        zero = {
            at: "nothing"
            for at, p in enumerate(self.pieces)
            if p.kind == "zero" and p.text.lower() == "nothing"
        }
        return [zero.get(at, canon) for at, canon in enumerate(free)]

    def negated(self, canons: list[str], first: int) -> bool:
        """A "not" stands within three words before, in the same clause."""
        begin = self.clause(first)[0]
        return any(c in words.NOT for c in canons[max(begin, first - 3) : first])

    def ask(
        self, first: int, last: int, message: str, ids: Sequence[str], values: Sequence[str] = ()
    ) -> None:
        """Note something to ask about."""
        self.doubts.append(Asked(first, self.text(first, last), message, tuple(ids), tuple(values)))

    def names(self, first: int = 0, last: int | None = None) -> list[Name]:
        """Every name in a stretch, each as long as it can be."""
        end = len(self.pieces) if last is None else last
        names: list[Name] = []
        at = first
        while at < end:
            name = self._name(at, end)
            if name is None:
                at += 1
            else:
                names.append(name)
                at = name.last
        return names

    def _name(self, at: int, end: int) -> Name | None:
        stop = at
        while stop < end and stop - at < 8 and self._nameable(stop):
            stop += 1
        if stop == at or self.pieces[at].canon in words.JOIN:
            return None
        for last in range(stop, at, -1):
            said = tuple(p.canon for p in self.pieces[at:last])
            called = self.lexicon.named(said)
            if called.all and (said[-1] not in words.JOIN or said in self.lexicon.calls):
                return Name(at, last, called, said)
        return None

    def _nameable(self, at: int) -> bool:
        return self.pieces[at].kind == "word" and not self.used[at] and not self.blocked[at]
