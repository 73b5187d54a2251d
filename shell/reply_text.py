"""A pasted reply cut into pieces: words, values, breaks, and talk that carries no reading."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

from crankpath.engine.units import NUMBER, fold, unit_called
from crankpath.shell.reply_words import CANON, COMMON

_TALK: Final = re.compile(
    r"""
      (?<![\d.])\d{1,2}:\d{2}(?::\d{2})?\s*(?:am|pm|h)?\b        # a time
    | \b\d{1,2}\s?(?:am|pm|o'?clock)\b
    | \b\d{4}-\d{1,2}-\d{1,2}\b | \b\d{1,2}[./]\d{1,2}[./]\d{2,4}\b   # a date
    | \+?\b\d{1,4}(?:[ -]\d{2,4})?[ -]\d{3}[ -]\d{2,4}(?:[ -]\d{2,4})?\b(?!\s?m?[va])    # a telephone number
    | \b\d{3}-\d{4}\b | \b\d{7,}\b
    | (?:\bp/?n|\bpart(?:\s(?:no|number|num|\#))?|\bserial(?:\sno)?|\border|\bwo|\binvoice|\bticket)\s?[.:\#]?\s?[a-z]*-?\d[\w-]*
    | \b[a-z]{1,5}-?\d{3,}[a-z\d-]*\b | \b\d{2,}[a-z]{2,}\d[\w-]*   # a part number
    | \#\s?\d+
    | \b(?:unit|truck|bus|machine|bay|room|ext|gate|lot|loader|tractor|dozer|site|row|hwy|route)\s?\#?\d+\b
    | \b\d+(?:[.,]\d+)?\s?(?:x|times?|tries|try|attempts?|cranks?|starts?|batter(?:y|ies)|batts?|bats|minutes?|mins?
        |s|secs?|seconds?|hours?|hrs?|h|days?|weeks?|months?|years?|yrs?|miles?|km|ft|feet|inch(?:es)?|in|awg|ga|gauge
        |mm2?|cm|m|pounds|lbs|psi|bucks|guys|people|of\sus|clicks?|bolts?|nuts?|turns?|degrees?|deg|cca|ah
        |gallons?|liters?|litres?|l|bays?|pm|am|nd|rd|st|th)\b(?!\s?[-=:])
    | \b\d+\s(?:out\sof|of|in|/)\s\d+\b(?!\.)
    | \b(?:12|24)\s?-?v(?:olts?)?\s(?:system|truck|machine|tractor|bus|unit|loader|rig|setup|one|excavator)\b
    | \b\d/0\b
    """,
    re.IGNORECASE | re.VERBOSE,
)
_BATTERY_NUMBER: Final = re.compile(r"(?<=bat )[1-6](?=\s*[:=-]?\s*\d)|(?<=batt )[1-6](?=\s*[:=-]?\s*\d)", re.IGNORECASE)
_PREFIX: Final = re.compile(
    r"(?:[~≈<>]|\b(?:about|approx\.?|around|roughly|maybe|under|below|over|above|less than|more than|min|max|lo|hi"
    r"|lowest|highest|minimum|maximum|between))\s*$",
    re.IGNORECASE,
)
_JOIN: Final = re.compile(
    r"\s*(?:-|\.\.+|\bto\b|±|\+/-)\s*(?=[\d.,])|\s*,?\s*(?:\band\b\s*)?(?=(?:min|max|lo|hi|lowest|highest)\b\s*[\d.,])",
    re.IGNORECASE,
)
_MARK: Final = re.compile(r"\s*(?:min|max|lo|hi|lowest|highest|minimum|maximum)\b\.?", re.IGNORECASE)
_UNIT: Final = re.compile(r"\s?(r/min|°\s?[cf]|%|[^\W\d_]+)", re.IGNORECASE)
_LOOSE_UNITS: Final = frozenset("a r m c f l in".split())  # noqa: SIM905  (words too, when apart from the number)
_OVERLOAD: Final = re.compile(r"\b(?:o\.?l\.?|0l|overload|infinite|infinity)(?![\w])", re.IGNORECASE)
_ZERO: Final = re.compile(r"\b(?:nothing|zero|nil|no (?:volts?|voltage|amps|power|drop))\b", re.IGNORECASE)
_WORD: Final = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*")
_SOFT: Final = re.compile(r"[,/&|()+]|-|\b(?:and|then|but|also|plus)\b", re.IGNORECASE)
_SIGNED_NAME: Final = re.compile(r"(?:(?<=\s)|^)([+-])(?:ve)?\s?(?=(?:ve|leg|side|post|cable|clamp|terminal)\b)", re.IGNORECASE)


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
    low = word.lower().replace("'", "")
    low = CANON.get(low, low)
    cut = low
    if low.endswith("ing") and len(low) > 5:
        cut = low[:-3]
    elif low.endswith("ed") and len(low) > 4 and low not in CANON.values():
        cut = low[:-2]
    elif low.endswith("ly") and len(low) > 5:
        cut = low[:-2]
    elif low.endswith("s") and not low.endswith("ss") and len(low) > 3 and low != "sometimes":
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
    if text[at].isspace():
        return None
    for kind, pattern in (("talk", _TALK), ("talk", _BATTERY_NUMBER)):
        if (found := pattern.match(text, at)) and _apart(text, at):
            return Piece(kind, found.group(), "", at, found.end())
    if found := _SIGNED_NAME.match(text, at):
        return Piece("word", found.group(), "positive" if found[1] == "+" else "negative", at, found.end())
    if (end := _value_end(text, at)) is not None:
        return Piece("value", text[at:end].strip(), "", at, end)
    for kind, pattern in (("value", _OVERLOAD), ("zero", _ZERO)):
        if found := pattern.match(text, at):
            return Piece(kind, found.group(), "", at, found.end())
    if text[at] in ".;!?":
        return Piece("hard", text[at], "", at, at + 1)
    if found := _SOFT.match(text, at):
        return Piece("soft", found.group(), "", at, found.end())
    if found := _WORD.match(text, at):
        return Piece("word", found.group(), _spelt(found.group(), words, known), at, found.end())
    return None


def _apart(text: str, at: int) -> bool:
    return at == 0 or not (text[at - 1].isalnum() or text[at - 1] in ".,")


def _value_end(text: str, at: int) -> int | None:
    """Where a value that starts here ends: number, unit, range, low and high marks; None: no value."""
    start = at
    if opened := re.compile(r"(?:[~≈<>]|[a-z]+\.?(?: than)?)\s*", re.IGNORECASE).match(text, at):
        if _PREFIX.fullmatch(opened.group()):
            at = opened.end()
            while again := re.compile(r"(?:about|around|[~≈])\s*", re.IGNORECASE).match(text, at):
                at = again.end()
    if at < len(text) and text[at] in "+-" and (at == 0 or text[at - 1] in " \n:=(~") and at == start:
        at += 1
    number = NUMBER.match(text, at)
    if number is None or (start > 0 and text[start].isdigit() and text[start - 1].isdigit()):
        return None
    end = _with_unit(text, number.end())
    while joined := _JOIN.match(text, end):
        following = NUMBER.match(text, joined.end()) or re.compile(r"[a-z]+\s*", re.IGNORECASE).match(text, joined.end())
        mark = _MARK.match(text, joined.end())
        number = NUMBER.match(text, mark.end() + len(text[mark.end():]) - len(text[mark.end():].lstrip())) if mark else (
            NUMBER.match(text, joined.end()))
        if number is None or following is None:
            break
        end = _with_unit(text, number.end())
    return end


def _with_unit(text: str, at: int) -> int:
    found = _UNIT.match(text, at)
    if found and unit_called(found[1]) and not (found[1] in _LOOSE_UNITS and found.group()[0].isspace()):
        at = found.end()
    marked = _MARK.match(text, at)
    following = marked and NUMBER.match(text[marked.end():].lstrip())
    return marked.end() if marked and not following else at


def _spelt(word: str, words: frozenset[str], known: list[str]) -> str:
    """The canonical form of a word, its spelling mended if it is near one word of the trade."""
    canon = stem(word)
    if canon in words or len(canon) < 5 or word.lower() in COMMON or canon in COMMON:
        return canon
    near = get_close_matches(canon, known, n=1, cutoff=0.82)
    return near[0] if near and near[0][0] == canon[0] else canon
