"""How often it failed, as it is told: "2 of 10", "two or three out of ten", "every third time"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.reader.pieces.language import language_of
from crankpath.shell.reader.pieces.lexicon import Lexicon
from crankpath.shell.reader.pieces.tokens import Token, tokens

_OWN: Final = "of"
"""The word that messages of this program write, whatever words the knowledge base has."""
_BEFORE_ALL: Final = ("among", "article", "both")  # roles of the words between the two numbers
_MOST: Final = 10_000  # tries that anybody counts


@dataclass(frozen=True, slots=True)
class Tally:
    """Of so many tries from `low` to `high` failed; words: as written."""

    low: int
    high: int
    of: int
    words: str

    def __str__(self) -> str:
        """ "2 of 10", "2 to 3 of 10"."""
        most = "" if self.low == self.high else f" to {self.high}"
        return f"{self.low}{most} of {self.of}"

    def body(self) -> dict[str, object]:
        """The entry for the case: the low end counts, and what was told stands with it."""
        body: dict[str, object] = {"failures": self.low, "of": self.of}
        return body if self.low == self.high else {**body, "note": f"told: {self}; the low end counts"}


def tally_in(text: str, knowledge: Knowledge) -> Tally | None:
    """The first tally of tries that a text tells; None if it tells none."""
    lexicon = language_of(text, knowledge)
    found = tokens(text, lexicon)
    for at in range(len(found)):
        tally = _counted(found, at, lexicon) or _every_so_many(found, at, lexicon)
        if tally is not None and 0 <= tally.low <= tally.high <= tally.of <= _MOST and tally.of > 0:
            return tally
    return None


def _counted(found: Sequence[Token], at: int, lexicon: Lexicon) -> Tally | None:
    low, then = _number(found, at, lexicon), at + 1
    if low is None:
        return None
    high = low
    joined = _is(found, then, "or", lexicon) or _is(found, then, "to", lexicon) or _text(found, then) == "-"
    if joined and (second := _number(found, then + 1, lexicon)) is not None:
        high, then = second, then + 2
    then += _is(found, then, "counted", lexicon)  # "two times of ten"
    begun = then
    while _text(found, then) == _OWN or any(_is(found, then, role, lexicon) for role in _BEFORE_ALL):
        then += 1
    slash = _text(found, then) == "/"
    of = _number(found, then + slash, lexicon)
    if of is None or not (slash or then > begun):
        return None
    return _tally(min(low, high), max(low, high), of, found, at, then + slash)


def _every_so_many(found: Sequence[Token], at: int, lexicon: Lexicon) -> Tally | None:
    """ "Every third time": one of three."""
    if not _is(found, at, "both", lexicon) or at + 1 >= len(found):
        return None
    place = lexicon.ordinals.get(found[at + 1].key)
    return _tally(1, 1, place, found, at, at + 1) if place and place > 1 else None


def _tally(low: int, high: int, of: int, found: Sequence[Token], first: int, last: int) -> Tally:
    return Tally(low, high, of, " ".join(token.text for token in found[first : last + 1]))


def _number(found: Sequence[Token], at: int, lexicon: Lexicon) -> int | None:
    if not 0 <= at < len(found):
        return None
    figure = found[at].figure
    if figure is not None:
        return int(figure.text) if figure.whole and figure.unit is None and figure.text.isdecimal() else None
    spoken = lexicon.numbers.get(found[at].key, -1.0)
    return int(spoken) if spoken >= 0 and spoken == int(spoken) else None


def _is(found: Sequence[Token], at: int, role: str, lexicon: Lexicon) -> bool:
    return 0 <= at < len(found) and found[at].kind == "word" and found[at].key in lexicon.single(role)


def _text(found: Sequence[Token], at: int) -> str:
    return found[at].text if 0 <= at < len(found) else ""
