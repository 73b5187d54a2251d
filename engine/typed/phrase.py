"""The grammar of one numeric reading as typed: numbers, units, ranges, repeats, "OL".

`parse` turns text into a `Phrase` and knows nothing of measurements; what the numbers
may be is decided in `crankpath.engine.typed.reading`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from crankpath.engine.errors import ReadingError
from crankpath.engine.typed.units import NUMBER, Unit, number_in, tokens_of, unit_called

_LONGEST: Final = 120
_OVERLOAD: Final = re.compile(
    r"(?:\.?[o0]\.?l\.?|over[ -]?load(?:ed)?|over[ -]?range|over|out of range|infinity|infinite|inf|∞"
    r"|open(?: circuit)?)(?:\s*(?P<unit>[^\d\s]+))?",
    re.IGNORECASE,
)
_ZERO: Final = re.compile(
    r"(?:zero|nil|none|nothing|zip|no (?:volts?|voltage|current|amps|power|drop))(?:\s*(?P<unit>[^\d\s]+))?",
    re.IGNORECASE,
)
_WORD: Final = re.compile(
    r"r/min|rev/min|u/min|min-1|°\s?[cf]|%|[^\W\d_]+|\+/-|±|\.\.+|[-+~<>≈≤≥=:;,./&|'()?]", re.IGNORECASE
)


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_ABOUT: Final = _words("about approx approximately around roughly circa ca maybe ~ ≈ ?")
_FILLER: Final = _ABOUT | _words(
    "say reads reading read got get gets getting shows showing showed is was it its at the of meter says a"
    " steady steadily now just only exactly = : ( ) . '"
)
_RANGE: Final = _words("- to .. ... til till")
_APART: Final = _words(", ; / & | and then again")
_LOW: Final = _words("min minimum low lowest lo")
_HIGH: Final = _words("max maximum high highest hi peak")
_BOUND: Final = _words("< > ≤ ≥ under below above over less more least most")


@dataclass(frozen=True, slots=True)
class TypedNumber:
    """A number with its sign: what it can mean (`number_in`), the unit typed, its mark.

    mark: "low", "high", "error" (what follows plus-minus) or "".
    """

    meanings: tuple[float, ...]
    unit: Unit | None
    token: str
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Phrase:
    """A reading's text taken apart.

    shape: one | repeats | range | plus_minus | overload | zero. about: said to be rough.
    """

    shape: str
    numbers: tuple[TypedNumber, ...]
    about: bool = False
    unit: Unit | None = None  # typed with OL or zero


def parse(text: str) -> Phrase:
    """Take the folded text apart, or raise `ReadingError` naming the part not understood."""
    if not text:
        raise ReadingError("Nothing was typed; give the figure on the meter, such as 0.35 V.")
    if len(text) > _LONGEST:
        raise ReadingError(f"'{text[:20]}...' is no reading: {len(text)} characters; give one figure.")
    for shape, pattern in (("overload", _OVERLOAD), ("zero", _ZERO)):
        found = pattern.fullmatch(text)
        if found and (found["unit"] is None or unit_called(found["unit"])):
            return Phrase(shape, (), unit=unit_called(found["unit"]) if found["unit"] else None)
    return _Walk(text).phrase()


class _Walk:
    """One pass over the text from left to right, collecting numbers and how they are joined."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.numbers: list[TypedNumber] = []
        self.joins: set[str] = set()
        self.about = False
        self.mark = ""
        self.sign = ""

    def phrase(self) -> Phrase:
        while self.at < len(self.text):
            if self.text[self.at].isspace():
                self.at += 1
            elif found := NUMBER.match(self.text, self.at):
                self._number(found)
            else:
                self._word()
        if not self.numbers:
            raise ReadingError(f"There is no number in '{self.text}'; give the figure, such as 0.35 V.")
        return Phrase(self._shape(), tuple(_share_unit(self.numbers)), self.about)

    def _number(self, found: re.Match[str]) -> None:
        self.at = found.end()
        unit = self._unit()
        for token in tokens_of(found.group()):
            meanings = number_in(token)
            if not meanings:
                raise ReadingError(f"'{token}' is not one number; write one decimal point, as in 0.35.")
            factor = -1.0 if self.sign == "-" else 1.0
            signed = tuple(m * factor for m in meanings)
            self.numbers.append(TypedNumber(signed, unit, token, self.mark))
        self.mark = self.sign = ""

    def _unit(self) -> Unit | None:
        """The unit right behind a number, if there is one; moves past it."""
        start = self.at + len(self.text[self.at :]) - len(self.text[self.at :].lstrip())
        prefixed = re.compile(r"([mkM])\s+(ohms?|Ω)\b").match(self.text, start)
        found = prefixed or _WORD.match(self.text, start)
        unit = found and unit_called(re.sub(r"\s", "", found.group()))
        if found and unit:
            self.at = found.end()
        return unit or None

    def _word(self) -> None:
        found = _WORD.match(self.text, self.at)
        if found is None:
            raise self._lost(self.text[self.at])
        word = found.group().lower()
        before, self.at = self.at, found.end()
        if word in "+-" and self._is_sign(before):
            self.sign = word
        elif word in ("+/-", "±"):
            self.mark = "error"
        elif word in _LOW or word in _HIGH:
            self._marked("low" if word in _LOW else "high")
        elif word in _BOUND:
            raise ReadingError(f"'{self.text}' is only a bound; give the figure the meter showed.")
        elif word in _RANGE or word == "between":
            self.joins.add("range")
        elif word in _FILLER:
            self.about = self.about or word in _ABOUT
        elif word not in _APART:
            raise self._lost(found.group())

    def _lost(self, part: str) -> ReadingError:
        where = "" if part == self.text else f" in '{self.text}'"
        return ReadingError(f"'{part}'{where} is not understood; give the figure and its unit.")

    def _is_sign(self, at: int) -> bool:
        """A minus is a sign at the start, or when it stands free of what is before but not after."""
        stuck = self.at < len(self.text) and NUMBER.match(self.text, self.at) is not None
        free = at == 0 or self.text[at - 1] in " ,;/=:(~"
        return (not self.numbers) or (stuck and free and "range" not in self.joins)

    def _marked(self, mark: str) -> None:
        """Give a mark its number: "min 9.4" marks the number to come, "9.4 min" the one before."""
        last = self.numbers[-1] if self.numbers else None
        ahead = re.match(r"[\s:=]*[-+]?[\d.,]", self.text[self.at :])
        if last and not last.mark and (not ahead or len(self.numbers) == 1):
            self.numbers[-1] = TypedNumber(last.meanings, last.unit, last.token, mark)
        else:
            self.mark = mark

    def _shape(self) -> str:
        marks = sorted(n.mark for n in self.numbers)
        if len(self.numbers) == 1:
            return "one"
        if marks == ["", "error"]:
            return "plus_minus"
        if len(self.numbers) == 2 and ("range" in self.joins or marks == ["high", "low"]):
            return "range"
        if "range" in self.joins or any(marks):
            raise ReadingError(f"'{self.text}' has too many figures; give one, or lowest and highest.")
        return "repeats"


def _share_unit(numbers: list[TypedNumber]) -> list[TypedNumber]:
    """Figures without a unit take the one unit that was typed: "350-400 mV"."""
    units = {n.unit.name: n.unit for n in numbers if n.unit}
    if len(units) != 1:
        if units and any(n.unit is None for n in numbers):
            raise ReadingError("Figures with different units and one without; write the unit with each.")
        return numbers
    (unit,) = units.values()
    return [TypedNumber(n.meanings, unit, n.token, n.mark) for n in numbers]
