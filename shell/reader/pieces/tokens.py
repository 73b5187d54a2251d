"""A text cut into tokens: words, figures with their units, breaks, and figures that are no reading."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from crankpath.engine.typed.units import NUMBER, UNITS, Unit, fold, number_in, unit_called
from crankpath.shell.reader.pieces.lexicon import Lexicon, _joined, polarity
from crankpath.shell.reader.pieces.stemming import WORD

LONGEST: Final = 20_000
"""Characters of a text that are read; the reader says when there are more."""
MOST: Final = 8_000
"""Words, figures and signs that are read of it: nobody's text has more, but one of signs alone could."""

_ASIDE: Final = re.compile(
    r"""(?:
      \d{1,2}:\d{2}(?::\d{2})?[ ]?(?:am|pm|h|uhr)?\b            # a time
    | \d{1,2}[ ]?(?:am|pm|o'?clock|uhr)\b
    | \d{4}-\d{1,2}-\d{1,2}\b | \d{1,2}[./]\d{1,2}[./](?:\d{2}|\d{4})\b   # a date
    | \+\d[\d -]{7,20}\d | 0\d{2,4}[ /-]\d{3,8}(?:[ -]\d{3,4})?\b          # a telephone number
    | (?:\d{3}[ -])?\d{3}-\d{4}\b | \d{3}[ ]\d{3}[ ]\d{4}\b | \d{5,}(?![.,]?\d)\b
    | (?:p/?n|part(?:[ ](?:no|number|num|\#))?|serial(?:[ ]no)?|ticket)[ ]?[.:\#]?[ ]?[a-z]{0,6}-?\d[\w-]*
    | [a-z]{1,6}-?\d{2,}[a-z\d-]*\b | \d+[a-z]{1,3}-\d[\w-]*\b | \d{2,}[a-z]{2,}\d[\w-]*  # a part number
    | \#[ ]?\d+
    | \d/0\b                                                    # a gauge of many noughts
    | \d+[ ]?[x×*][ ]?\d+(?:[.,]\d+)?[ ]?(?:v|volts?|mm\d?)?\b       # so many of a size
    | \d+(?:[.,]\d+)?[ ]?(?:t|tons?|tonnes?|cyl|cylinders?|kg)\b
    | \d+(?:[.,]\d+)?[ ]?(?:mm\d?|sq\.?[ ]?mm|qmm|dm|km/h|kwh?|kva|nm|psi|mph|hp|ps|wh|k?hz|awg)\b
    | \d+[ ]?h\b | (?!0l)\d+(?:d|l|nd|rd|st|th|ers?)\b
    )(?![.,]?\d)""",
    re.IGNORECASE | re.VERBOSE,
)
_LISTED: Final = re.compile(
    r"(?<![^\n])[ \t]*(?:\d{1,2}[).](?=\s+\S)|[-*•](?=\s))"
)  # "1) ", "- " at a line's start
_UNIT: Final = re.compile(r"[ \t]?(r/min|u/min|1/min|°\s?[cf]|%|[^\W\d_]+)(?![^\W_])", re.IGNORECASE)
_SHARP_UNIT: Final = re.compile(r"(mv|v)(?=\d)", re.IGNORECASE)
_SPLIT_VOLTS: Final = re.compile(r"(\d{1,2})[vV](\d{1,2})(?![\d.,]|\w)")  # 12V6, as on circuit diagrams
_LOOSE_UNITS: Final = frozenset(("a", "r", "c", "f", "l", "in"))  # apart from a figure, words
_FRACTION: Final = re.compile(
    r"(?:(\d{1,2})[ ])?([1-9])[/⁄]([2348]|10)(?![\d/])(?=[ ]?(?:(?:of[ ])?an?[ ])?([^\W\d_]+))"
)
_LABEL: Final = re.compile(r"[ ]?[=:][ ]?[.\d]")
_VULGAR: Final = str.maketrans({"¼": " 1/4", "½": " 1/2", "¾": " 3/4"})
_THOUSANDS: Final = re.compile(r"[ ]?k(?![^\W_])", re.IGNORECASE)
_ROUGH: Final = re.compile(r"[ -]?ish\b", re.IGNORECASE)
_OVERLOAD: Final = re.compile(r"(?<![\w.])(?:o\.?l\.?|0l|overload|infinite|infinity)(?![\w])", re.IGNORECASE)
_SOFT: Final = re.compile(r"[,/&|()+:=@]|->|=>|-")
_SPECIAL: Final = re.compile(r"n/a\b", re.IGNORECASE)
_ERROR: Final = re.compile(r"\+/?-|±")


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure as the grammar of one reading takes it.

    text: number and unit, or a range. unit: as typed. whole: digits alone. rough: said to be
    about. others: alternatives to it.
    """

    text: str
    unit: Unit | None = None
    whole: bool = False
    rough: bool = False
    others: tuple[str, ...] = ()
    unit_word: str = ""  # the unit where it is written out: it can name the reading, as "amps" does
    bound: bool = False  # "less than": not the figure itself
    part_of: float | None = None  # "380 of 900": the 900


@dataclass(frozen=True, slots=True)
class Token:
    """kind: word | figure | zero | soft | hard | aside; key: the form of a word for matching."""

    kind: str
    text: str
    key: str
    start: int
    end: int
    figure: Figure | None = None


def tokens(text: str, lexicon: Lexicon) -> list[Token]:
    """The text in tokens, in order, `MOST` at most; white space and stray marks are left out."""
    plain = folded(text)
    found: list[Token] = []
    at = 0
    while at < len(plain) and len(found) < MOST:
        token = None if plain[at] in " \t" else _token(plain, at, lexicon)
        if token is None:
            at += 1
        else:
            found.append(token)
            at = token.end
    return found


def folded(text: str) -> str:
    """The text with all signs made plain, its lines kept."""
    return "\n".join(fold(line.translate(_VULGAR)) for line in text[:LONGEST].splitlines())


def _token(text: str, at: int, lexicon: Lexicon) -> Token | None:
    sign = text[at]
    if sign in "\n;!?":
        return Token("hard", sign, "", at, at + 1)
    if sign in "/&|" or (sign in "(),=@" and not text[at + 1 : at + 2].isdecimal()):
        return Token("soft", sign, "", at, at + 1)
    if found := _LISTED.match(text, at):
        return Token("aside", found.group(), "", at, found.end())
    if lexicon.literals and _begins(text, at) and (found := lexicon.literals.match(text, at)):
        return Token("word", found.group(), _joined(found.group()), at, found.end())
    if _begins(text, at) and (found := _ASIDE.match(text, at)) and not _named(found.group(), lexicon):
        return Token("aside", found.group(), "", at, found.end())
    if lexicon.signed and (found := lexicon.signed.match(text, at)):
        return Token("word", found.group().strip(), lexicon.stemmer.stem(polarity(found)), at, found.end())
    if found := _OVERLOAD.match(text, at):
        return Token("figure", found.group(), "", at, found.end(), Figure("OL"))
    if figure := _figure(text, at, lexicon):
        return figure
    return _sign_or_word(text, at, lexicon)


def _sign_or_word(text: str, at: int, lexicon: Lexicon) -> Token | None:
    if text[at] in ".;!?":
        return Token("hard", text[at], "", at, at + 1)
    if found := _ERROR.match(text, at):
        return Token("word", found.group(), "±", at, found.end())
    if found := _SPECIAL.match(text, at):
        return Token("word", found.group(), lexicon.key("na"), at, found.end())
    if found := WORD.match(text, at):
        return Token("word", found.group(), lexicon.key(found.group()), at, found.end())
    if text[at] == "-" and text[at - 1 : at].isalpha() and text[at + 1 : at + 2].isalpha():
        return None  # a hyphen inside a word parts nothing
    if found := _SOFT.match(text, at):
        return Token("soft", found.group(), "", at, found.end())
    return None


def _begins(text: str, at: int) -> bool:
    return at == 0 or not (text[at - 1].isalnum() or text[at - 1] in ".,")


def _named(said: str, lexicon: Lexicon) -> bool:
    """ "neg310" is a name with its figure, and "k12V" a figure with its unit; neither is a part number."""
    letters = re.match(r"[a-z]+(?=\d)", said, re.IGNORECASE)
    return bool(letters and lexicon.stemmer.stem(letters.group()) in lexicon.vocabulary)


def _figure(text: str, at: int, lexicon: Lexicon) -> Token | None:
    """A number with what is stuck to it: sign, k, -ish, unit."""
    start = at
    mark = ""
    if text[at] in "<>~≈":
        mark, at = text[at], _skip(text, at + 1)
    if text[at : at + 1] in ("+", "-") and (at == 0 or text[at - 1] in " \n:=(~") and start == at:
        mark, at = text[at].strip("+"), at + 1
    if split := _SPLIT_VOLTS.match(text, at):
        volts = Figure(f"{split[1]}.{split[2]} V", UNITS["V"])
        return Token("figure", text[start : split.end()], "", start, split.end(), volts)
    part = _FRACTION.match(text, at)
    if part and unit_called(part[4]):
        return _parts_of_a_unit(part)
    number = NUMBER.match(text, at)
    if number is None:
        return None
    digits, at = number.group(), number.end()
    if not number_in(digits):
        listed = re.fullmatch(r"\d*\.\d+(?:,\d*\.\d+)+|\d+,\d{1,2}(?:,\d+,\d{1,2})+", digits)
        if not listed:
            return Token("aside", text[start:at], "", start, at)
        digits = re.match(r"\d*\.\d+|\d+,\d{1,2}", digits).group()  # type: ignore[union-attr]
        at = number.start() + len(digits)
    elif "," in digits and "." in digits and re.fullmatch(r"\.\d+,\.?\d+", digits):
        digits = digits.split(",")[0]
        at = number.start() + len(digits)
    digits, at, rough = _scaled(digits, text, at, lexicon)
    end = at
    unit, at = unit_behind(text, at)
    rough = rough or (mark != "" and mark in "~≈")
    if again := _ROUGH.match(text, at):
        rough, at = True, again.end()
    bound = mark != "" and mark in "<>"
    mark = "-" if mark == "-" else ""
    shown = f"{mark}{digits}{f' {unit.name}' if unit else ''}"
    spelt = text[end:at].strip() if unit else ""
    word = lexicon.key(spelt) if len(spelt) > 2 and spelt.isalpha() else ""
    figure = Figure(shown, unit, digits.isdecimal(), rough, unit_word=word, bound=bound)
    return Token("figure", text[start:at], "", start, at, figure)


def _parts_of_a_unit(found: re.Match[str]) -> Token:
    """ "9 1/2 V", "1/4 of a volt"."""
    unit = unit_called(found[4])
    value = float(found[1] or 0) + int(found[2]) / int(found[3])
    figure = Figure(f"{value:g} {unit.name if unit else ''}", unit)
    first, end = found.start(), found.end(4)
    return Token("figure", found.string[first:end], "", first, end, figure)


def _scaled(digits: str, text: str, at: int, lexicon: Lexicon) -> tuple[str, int, bool]:
    """The number with a k behind it worked out, and with -ish taken off."""
    rough = False
    if found := _ROUGH.match(text, at):
        rough, at = True, found.end()
    found = _THOUSANDS.match(text, at)
    if found and not re.match(r"[ ]?k(?:ohm|Ω|v\b)", text[at : at + 6], re.IGNORECASE):
        return f"{number_in(digits)[0] * 1000:g}", found.end(), rough
    return digits, at, rough


def unit_behind(text: str, at: int) -> tuple[Unit | None, int]:
    """The unit written behind a figure that ends at a place, and where it ends."""
    found = _UNIT.match(text, at) or _SHARP_UNIT.match(text, at)
    if found is None:
        return None, at
    unit = unit_called(found[1])
    if _LABEL.match(text, found.end()):
        return None, at  # "455 rpm=210": it names the next
    loose = found[1] in _LOOSE_UNITS and found.group()[0].isspace()
    return (unit, found.end()) if unit and not loose else (None, at)


def _skip(text: str, at: int) -> int:
    while at < len(text) and text[at] in " \t":
        at += 1
    return at


def rewritten(token: Token, kind: str, figure: Figure | None = None) -> Token:
    """The token with another kind."""
    return replace(token, kind=kind, figure=figure)


def spans(found: Sequence[Token], kinds: tuple[str, ...]) -> Iterator[tuple[int, int]]:
    """The stretches between tokens of these kinds: (first, one past the last), none of them empty."""
    first = 0
    for at, token in enumerate(found):
        if token.kind in kinds:
            if at > first:
                yield first, at
            first = at + 1
    if first < len(found):
        yield first, len(found)
