"""Why a text cannot be read as YAML, at the line where it was mistyped, and what to type there.

A parser stumbles where it can no longer go on, often lines below the slip. Knowledge and case files are
written in one plain style (a key a line, a text in quotes), so the line that leaves the style is the slip.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

_KEY: Final = re.compile(r"( *)((?:- +)*)(\"[^\"]*\"|[^\W\d][\w ./'-]*?):(?: +(.*)|)$")
_BLOCK: Final = re.compile(r"[|>][-+0-9]*(?: +#.*)?$")
_MARKER: Final = re.compile(r"(<{7}|={7}|>{7}|\|{7})(?: .*)?$")
_NO_SPACE: Final = re.compile(r"( *)(\w+):(?=[^\s:])(.*)$")
_NO_COLON: Final = re.compile(r"( *)([^\W\d]\w*)(?: +(?=[\w\"'\[{.-])(.*))?$")
_OTHER_SIGN: Final = re.compile(r"( *)([^\W\d]\w*) *[;=] *(.*)$")
_ODD_SPACE: Final = re.compile("[\u00a0\u1680\u2000-\u200f\u2028\u2029\u202f\u205f\u2060\u3000\ufeff]")
_LARGEST: Final = 200_000
_LONGEST: Final = 4_000
CURLY: Final = "“”„‟«»‘’‚"
_OPENERS: Final = {"[": "]", "{": "}"}


@dataclass(frozen=True, slots=True)
class TextSlip:
    """One slip in a text. line, column: from 1."""

    line: int
    column: int
    message: str
    advice: str


def slip_in_text(text: str, stumbled: int) -> TextSlip | None:
    """What was mistyped in a text that is no YAML; None if the style of every line is as usual.

    Args:
        text: the whole text.
        stumbled: the line, from 1, at which the parser could not go on.
    """
    lines = text.split("\n")
    if len(text) > _LARGEST or max(map(len, lines)) > _LONGEST:
        return None  # nobody typed it
    found = list(_slips(lines))
    certain = [slip for slip in found if "merge marker" in slip.message]
    before = [slip for slip in found if slip.line <= stumbled]
    clear = [slip for slip in before if "indentation" not in slip.message]
    return next(iter(certain or clear[-1:] or before[-1:] or found), None)


def _slips(lines: list[str]) -> Iterator[TextSlip]:
    """Every line that leaves the style, from the top."""
    levels: list[int] = [0]
    block: int | None = None  # indentation of the key whose text stands in the lines below it
    whole = True  # the last key has its value on its own line
    skip = 0  # lines that belong to brackets or quotes opened above
    for index, line in enumerate(lines):
        if skip or not line.strip() or line.lstrip().startswith("#"):
            skip = max(skip - 1, 0)
            continue
        indent = len(line) - len(line.lstrip(" "))
        if block is not None and indent > block:
            continue
        block = None
        slip, skip = _of_line(lines, index)
        if slip is not None:
            yield slip
            skip = 0
        key = _KEY.match(line)
        if key is None:
            continue
        indent += len(key[2])
        if slip is None and (found := _indented(index, indent, key, levels, whole)):
            yield found
        while levels and levels[-1] > indent:
            levels.pop()
        if not levels or levels[-1] < indent:
            levels.append(indent)
        value = key[4] or ""
        whole = bool(value) and not value.startswith("#")
        if _BLOCK.match(value):
            block = indent


def _indented(index: int, indent: int, key: re.Match[str], levels: list[int], whole: bool) -> TextSlip | None:
    """A line that begins neither beside nor below the one it belongs to."""
    beside = ", ".join(str(level) for level in levels)
    if indent > levels[-1] and whole and len(levels) > 1:
        return TextSlip(index + 1, indent + 1, f"the indentation is off: '{key[3]}' is indented by "
                                            f"{indent} spaces, "
                     f"below a line that has its value "
                         "already", f"Indent it by {levels[-1]} spaces")  # fmt: skip
    if indent < levels[-1] and indent not in levels:
        nearest = min(levels, key=lambda level: (abs(level - indent), -level))
        return TextSlip(index + 1, indent + 1, f"the indentation is off: '{key[3]}' is indented by "
                                            f"{indent} spaces, "
                     f"the lines above by {beside}", f"Indent it by {nearest} spaces")  # fmt: skip
    return None


def _of_line(lines: list[str], index: int) -> tuple[TextSlip | None, int]:
    """What is wrong within one line, and how many lines below belong to it."""
    line, number = lines[index], index + 1
    if marker := _MARKER.match(line):
        return TextSlip(number, 1, f"a merge marker was left in the file: '{marker[1]}'",
                     "Keep one of the two versions, and delete the lines with <<<<<<<, ======= and "
                         ">>>>>>>"), 0  # fmt: skip
    if tab := re.match(r" *\t", line):
        return TextSlip(number, len(tab[0]), "a tab indents this line", "Indent with spaces"), 0
    key = _KEY.match(line)
    if odd := _ODD_SPACE.search(_unquoted(line)):
        return TextSlip(number, odd.start() + 1, f"an odd space stands here (U+{ord(odd[0]):04X}), which "
                                              "is no space to a program",
                     "Delete it and type a plain space"), 0  # fmt: skip
    if key is None:
        return _keyless(lines, index), 0
    value, at = key[4] or "", key.start(4) + 1 if key[4] else len(line)
    if value[:1] and value[0] in CURLY:
        return TextSlip(number, at, f"the text begins with the typographic quote {value[0]}",
                     'Put it in plain quotes: "..."'), 0  # fmt: skip
    if value[:1] in ('"', "'", *_OPENERS):
        return _enclosed(lines, index, key)
    plain = re.split(r" #", value)[0]
    if not _BLOCK.match(value) and (": " in plain or plain.endswith(":")):
        where = plain.find(":")
        return TextSlip(number, at + where, "a colon stands inside a text that has no quotes",
                     f'Put the text in quotes: {key[3]}: "{_cut(value)}"'), 0  # fmt: skip
    return None, 0


def _cut(value: str) -> str:
    return value if len(value) <= 40 else value[:40] + "..."


def _unquoted(line: str) -> str:
    """The line with the texts in quotes and the comment blanked."""
    line = re.sub(r"\"(?:[^\"\\]|\\.)*\"?|(?<=[ :\[{,])'[^']*'?", lambda m: "x" * len(m[0]), line)
    return re.split(r"(?:^| )#", line)[0]


def _keyless(lines: list[str], index: int) -> TextSlip | None:
    line, number = lines[index], index + 1
    missing = _NO_SPACE.match(line)
    if missing and "//" not in line:
        return TextSlip(number, missing.end(2) + 1, "no space follows the colon",
                     f"Type '{missing[2]}: {_cut(missing[3])}'")  # fmt: skip
    if other := _OTHER_SIGN.match(line):
        advice = f"Type '{other[2]}: {_cut(other[3])}'"
        return TextSlip(number, other.start(2) + 1, f"a colon is missing after '{other[2]}'", advice)
    words = _NO_COLON.match(line)
    if words and len(words[2]) > 1:
        rest = _cut(words[3] or "")
        return TextSlip(number, words.start(2) + 1, f"a colon is missing after '{words[2]}'",
                     f"Type '{words[2]}: {rest}'".replace(": '", ":'"))  # fmt: skip
    return None


def _enclosed(lines: list[str], index: int, key: re.Match[str]) -> tuple[TextSlip | None, int]:
    """A value in quotes or brackets: where it ends, or what it lacks."""
    reading = _Enclosed(index + 1)
    start = key.start(4)
    for below, line in enumerate(lines[index:]):
        again = _KEY.match(line) if below else None
        if again is not None and len(again[1]) <= len(key[1]):
            break
        slip = reading.through(line, start, index + 1 + below)
        if slip is not None or reading.done:
            return slip, below
        start = 0
    return reading.unclosed(), 0


class _Enclosed:
    """Reads a value in quotes or brackets, sign by sign."""

    def __init__(self, line: int) -> None:
        self._opened: list[tuple[str, int, int]] = []  # the sign that closes it, and where it opened
        self._quote = ""
        self._quote_at = (line, 1)

    @property
    def done(self) -> bool:
        """True if all that was opened is closed."""
        return not self._quote and not self._opened

    def through(self, line: str, start: int, number: int) -> TextSlip | None:
        """Read on in one line; what is wrong in it, if anything is."""
        column = start
        while column < len(line):
            before = line[column - 1] if column else " "
            if line[column] == "#" and before == " " and not self._quote:
                return None
            if self._quote and (line[column] == "\\" or line[column : column + 2] == "''" == self._quote * 2):
                column += 2
                continue
            read = self._in_quotes if self._quote else self._in_brackets
            slip = read(line, column, number)
            if slip is not None:
                return slip
            column += 1
        return None

    def _in_quotes(self, line: str, column: int, number: int) -> TextSlip | None:
        if line[column] != self._quote:
            return None
        self._quote = ""
        rest = line[column + 1 :].lstrip()
        if not rest or rest[0] in (",]}:#" if self._opened else "#"):
            return None
        message = "a quote stands inside a text in quotes"
        return TextSlip(number, column + 1, message, "Use ' inside the text, or leave the quote out")

    def _in_brackets(self, line: str, column: int, number: int) -> TextSlip | None:
        sign, before = line[column], line[column - 1] if column else " "
        if sign in "\"'" and before in " [{,:":
            self._quote, self._quote_at = sign, (number, column + 1)
        elif sign in _OPENERS:
            self._opened.append((_OPENERS[sign], number, column + 1))
        elif sign in "]}":
            return self._closed(line, column, number)
        elif sign == ":" and self._opened and self._opened[-1][0] == "}":
            word, rest = (
                re.search(r"(\w+)$", line[:column]),
                re.match(r"[^\s\"'\[{,}\]][^,}\]]*", line[column + 1 :]),
            )
            if word and rest:
                advice = f"Type '{word[1]}: {rest[0]}'"
                return TextSlip(number, column + 2, "no space follows the colon", advice)
        return None

    def _closed(self, line: str, column: int, number: int) -> TextSlip | None:
        sign = line[column]
        if not self._opened or self._opened[-1][0] != sign:
            wanted = f"'{self._opened[-1][0]}' is wanted" if self._opened else "nothing is open"
            advice = f"Type '{self._opened[-1][0]}'" if self._opened else f"Take the '{sign}' out"
            return TextSlip(number, column + 1, f"'{sign}' closes here, where {wanted}", advice)
        self._opened.pop()
        rest = line[column + 1 :].strip()
        if self._opened or not rest or rest.startswith("#"):
            return None
        message = f"{_cut(rest)!r} stands after the closing '{sign}'"
        return TextSlip(number, column + 2, message, "Put it inside, or on a line of its own")

    def unclosed(self) -> TextSlip:
        """What is open at the end."""
        if self._quote:
            message = f"the quote that opens here is not closed: {self._quote}"
            return TextSlip(*self._quote_at, message, f"Type {self._quote} at the end of the text")
        closing, line, column = self._opened[-1]
        opening = next(sign for sign, close in _OPENERS.items() if close == closing)
        return TextSlip(
            line, column, f"the '{opening}' that opens here is not closed", f"Type '{closing}' at its end"
        )
