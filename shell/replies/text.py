"""A pasted reply cut into pieces: words, values, breaks, and talk that carries no reading."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from crankpath.engine.likeness import SAME, nearest
from crankpath.engine.typed.units import NUMBER, fold, unit_called
from crankpath.shell.replies.words import CANON, COMMON

_TALK: Final = re.compile(
    r"""(?:
      \d{1,2}:\d{2}(?::\d{2})?[ ]?(?:am|pm|h)?\b  # a time
    | \d{1,2}[ ]?(?:am|pm|o'?clock)\b
    | \d{4}-\d{1,2}-\d{1,2}\b | \d{1,2}[./]\d{1,2}[./](?:\d{2}|\d{4})\b  # a date
    | \+\d[\d -]{7,}\d | 0\d{2,4}[ -]\d{3}[ -]?\d{3,4}  # a telephone number
    | (?:\d{3}-)?\d{3}-\d{4}\b | \d{7,}\b
    | (?:p/?n|part(?:[ ](?:no|number|num|\#))?|serial(?:[ ]no)?|order|wo|invoice|ticket)
        [ ]?[.:\#]?[ ]?[a-z]*-?\d[\w-]*
    | [a-z]{1,5}-?\d{3,}[a-z\d-]*\b | \d{2,}[a-z]{2,}\d[\w-]*  # a part number
    | \#[ ]?\d+
    | (?:unit|truck|bus|machine|bay|room|ext|gate|lot|loader|tractor|dozer|site|row|hwy|route|group)
        [ ]?\#?\d+\b
    | \d+[ ]?(?:x|times|tries|attempts?|cranks|starts|batter(?:y|ies)|batts?|bats|miles?|awg|ga|gauge|guys
        |people|of[ ]us|clicks|bolts?|nuts?|cca|ah|bays?|group|amp[ ]?hours?)\b
    | \d+(?:[.,]\d+)?[ ]?(?:minutes?|mins?|secs?|seconds?|hours?|hrs?|days?|weeks?|months?|years?|yrs?|km
        |ft|feet|inch(?:es)?|mm2?|cm|pounds|lbs|psi|bucks|degrees?|deg|gallons?|liters?|litres?)\b
    | \d+(?:s|h|d|m|l|nd|rd|st|th)\b
    | \d+[ ](?:out[ ]of|of)[ ]\d+\b
    | (?:12|24)[ ]?-?v(?:olts?)?[ ](?:system|truck|machine|tractor|bus|unit|loader|rig)\b
    | \d/0\b
    )(?![.,]?\d)""",
    re.IGNORECASE | re.VERBOSE,
)
_BATTERY_NUMBER: Final = re.compile(
    r"(?:(?<=bat )|(?<=batt )|(?<=battery ))[1-6](?![\d.,])(?=\s*[:=-]?\s*\d)", re.IGNORECASE
)
_PREFIX: Final = re.compile(
    r"(?:[~≈<>]|\b(?:about|approx\.?|around|roughly|maybe|under|below|over|above|less than|more than|min|max"
    r"|lo|hi|lowest|highest|minimum|maximum|between))\s*$",
    re.IGNORECASE,
)
_JOIN: Final = re.compile(
    r"[ \t]*(?:-|\.\.+|\bto\b|±|\+/-)[ \t]*(?=[\d.,])"
    r"|[ \t]*,?[ \t]*(?:\band\b[ \t]*)?(?=(?:min|max|lo|hi|lowest|highest)\b[ \t]*[\d.,])",
    re.IGNORECASE,
)
_MARK: Final = re.compile(r"\s*(?:min|max|lo|hi|lowest|highest|minimum|maximum)\b\.?", re.IGNORECASE)
_OPENING: Final = re.compile(r"(?:[~≈<>]|[a-z]+\.?(?: than)?)\s*", re.IGNORECASE)
_ABOUT: Final = re.compile(r"(?:about|around|[~≈])\s*", re.IGNORECASE)
_UNIT: Final = re.compile(r"[ \t]?(r/min|°\s?[cf]|%|[^\W\d_]+)", re.IGNORECASE)
_LOOSE_UNITS: Final = frozenset(("a", "r", "m", "c", "f", "l", "in"))  # apart from a number, words
_OVERLOAD: Final = re.compile(r"\b(?:o\.?l\.?|0l|overload|infinite|infinity)(?![\w])", re.IGNORECASE)
_ZERO: Final = re.compile(r"\b(?:nothing|zero|nil|no (?:volts?|voltage|power|drop))\b", re.IGNORECASE)
_WORD: Final = re.compile(r"\bn/a\b|[^\W\d_]+(?:'[^\W\d_]+)*", re.IGNORECASE)
_SOFT: Final = re.compile(r"[,/&|()+]|-|:(?!\s*[-+.,]?\d)|\b(?:and|then|but|also|plus)\b", re.IGNORECASE)
_SIGNED_NAME: Final = re.compile(
    r"(?:(?<=\s)|^)(?:([+-])(?:ve)?|(plus|minus))[ ]?(?=(?:ve|leg|side|post|cable|clamp|terminal)\b)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a reply.

    kind: word | value | zero (a word for no voltage, if a name goes with it) | soft | hard |
    talk. canon: the word in the one form used for matching.
    """

    kind: str
    text: str
    canon: str
    start: int
    end: int


def stem(word: str) -> str:
    """The word without its ending, so that clicks, clicking and clicked are one.

    >>> [stem(w) for w in ("clicking", "Clicked", "posts", "spinning", "slowly", "pos")]
    ['click', 'click', 'post', 'spin', 'slow', 'positive']
    """
    low = word.lower().replace("'", "").replace("/", "")
    if low in CANON:
        return CANON[low]
    cut = low
    if low.endswith("ing") and len(low) > 5:
        cut = low[:-3]
    elif (low.endswith("ed") and len(low) > 4) or (low.endswith("ly") and len(low) > 5):
        cut = low[:-2]
    elif low.endswith("s") and not low.endswith("ss") and len(low) > 3:
        cut = low[:-1]
    if cut != low and len(cut) > 3 and cut[-1] == cut[-2] and cut[-1] not in "lsze":
        cut = cut[:-1]
    return CANON.get(cut, cut)


def stems(text: str) -> tuple[str, ...]:
    """Every word of a text, stemmed: the form in which names and sayings are compared."""
    return tuple(stem(w) for w in _WORD.findall(text.lower().replace("_", " ").replace("-", " ")))


def cut(text: str, vocabulary: Iterable[str]) -> tuple[Piece, ...]:
    """The reply in pieces, in order; nothing but white space and stray marks is left out."""
    plain = "\n".join(fold(line) for line in text.splitlines())
    words = frozenset(vocabulary)
    known = sorted(w for w in words if len(w) > 4)
    found: list[Piece] = []
    at = 0
    while at < len(plain):
        piece = _piece(plain, at, words, known)
        if piece is None:
            at += 1
            continue
        found.append(piece)
        at = piece.end
    return tuple(found)


def _piece(text: str, at: int, words: frozenset[str], known: list[str]) -> Piece | None:
    if text[at] == "\n":
        return Piece("hard", "\n", "", at, at + 1)
    if text[at].isspace() or _hyphen(text, at):
        return None
    for kind, pattern in (("talk", _TALK), ("talk", _BATTERY_NUMBER)):
        found = pattern.match(text, at)
        # "neg310" is a name with its number, not a part number
        if found and _apart(text, at) and _leading(found.group()) not in words:
            return Piece(kind, found.group(), "", at, found.end())
    if found := _SIGNED_NAME.match(text, at):
        return Piece(
            "word",
            found.group().strip(),
            "positive" if (found[1] or found[2]).lower() in ("+", "plus") else "negative",
            at,
            found.end(),
        )
    if (end := _value_end(text, at)) is not None:
        return Piece("value", text[at:end].strip(), "", at, end)
    for kind, pattern in (("value", _OVERLOAD), ("zero", _ZERO)):
        if found := pattern.match(text, at):
            return Piece(kind, found.group(), "", at, found.end())
    if text[at] in ".;!?":
        return Piece("hard", text[at], "", at, at + 1)
    if (found := _SOFT.match(text, at)) and not text[at : at + 3].lower().startswith("n/a"):
        joining = found.group().lower() if found.group().isalpha() else ""
        return Piece("soft", found.group(), joining, at, found.end())
    if found := _WORD.match(text, at):
        return Piece("word", found.group(), _spelt(found.group(), words, known), at, found.end())
    return None


def _hyphen(text: str, at: int) -> bool:
    """A hyphen inside a word ("pull-in") parts nothing."""
    return text[at] == "-" and text[at - 1 : at].isalpha() and text[at + 1 : at + 2].isalpha()


def _leading(text: str) -> str:
    letters = re.match(r"[a-z]+(?=\d)", text, re.IGNORECASE)
    return stem(letters.group()) if letters else ""


def _apart(text: str, at: int) -> bool:
    return at == 0 or not (text[at - 1].isalnum() or text[at - 1] in ".,")


def _value_end(text: str, start: int) -> int | None:
    """Where a value that starts here ends: number, unit, range, low and high marks; None: no value."""
    at = start
    opened = _OPENING.match(text, at)
    if opened and _PREFIX.fullmatch(opened.group()):
        at = opened.end()
        while again := _ABOUT.match(text, at):
            at = again.end()
    elif text[at] in "+-" and (at == 0 or text[at - 1] in " \n:=(~"):
        at += 1
    number = NUMBER.match(text, at)
    if number is None:
        return None
    end = _with_unit(text, number.end())
    while joined := _JOIN.match(text, end):
        mark = _MARK.match(text, joined.end())
        number = NUMBER.match(text, _skip(text, mark.end()) if mark else joined.end())
        if number is None:
            break
        end = _with_unit(text, number.end())
    return end


def _skip(text: str, at: int) -> int:
    """The place of the next character that is no white space."""
    return at + len(text[at:]) - len(text[at:].lstrip())


def _with_unit(text: str, at: int) -> int:
    found = _UNIT.match(text, at)
    if found and unit_called(found[1]) and not (found[1] in _LOOSE_UNITS and found.group()[0].isspace()):
        at = found.end()
    marked = _MARK.match(text, at)
    following = marked and NUMBER.match(text[marked.end() :].lstrip())
    return marked.end() if marked and not following else at


def _spelt(word: str, words: frozenset[str], known: list[str]) -> str:
    """The canonical form of a word, its spelling mended if it is near one word of the trade."""
    canon = stem(word)
    if canon in words or len(canon) < 5 or word.lower() in COMMON or canon in COMMON:
        return canon
    near = nearest(canon, known, SAME)
    return near[0] if near and near[0][0] == canon[0] else canon
