"""The cranks of a recording before they go into a case: shown, chosen, told apart, taken with one key."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import SYMPTOM_KIND, Measurement
from crankpath.engine.recordings.columns import ReadColumn
from crankpath.engine.recordings.outline import outline_of
from crankpath.engine.recordings.readings import has_failed, readings_of, value_with_error
from crankpath.engine.recordings.recording import FoundCrank
from crankpath.engine.recordings.values import CrankValues
from crankpath.shell.recordings.plotting import plot, plot_columns
from crankpath.shell.recordings.trace import short, trace_of
from crankpath.shell.session.outcome import Write
from crankpath.shell.text.clean import one_line
from crankpath.shell.text.columns import wrapped

MOST: Final = 12
"""More cranks than this are not taken all at once: the last ones or the failed ones tell more."""

_MARKED: Final = re.compile(r"(failed|f|good|g)?((?:[\s,]*\d{1,4})*)")
KEYS: Final = "Enter takes them; 2 3: only these; failed 2: it failed there; good 1: it cranked; n: none."
_SHOWN: Final = ("settled", "first_peak", "lowest", "highest", "ripple")


@dataclass(frozen=True)
class CrankSelection:
    """Cranks of a recording, and what is told of them.

    failed: of each crank whether the complaint showed; None: not known. chosen: places, from 0.
    asks: the machine fails sometimes, so each crank must be told apart.
    """

    file: str
    columns: tuple[ReadColumn, ...]
    cranks: tuple[FoundCrank, ...]
    measurements: Mapping[str, Measurement]
    asks: bool
    failed: tuple[bool | None, ...]
    chosen: frozenset[int]
    remarks: tuple[str, ...] = ()
    next_crank: int = 1

    @property
    def trouble(self) -> str:
        """Why they cannot be taken yet, or ""."""
        unknown = [n + 1 for n in sorted(self.chosen) if self.asks and self.failed[n] is None]
        if unknown:
            return f"Say of crank {_listed(unknown)} whether it failed: failed 2, or good 1."
        if len(self.chosen) > MOST:
            return f"These are {len(self.chosen)} cranks; choose at most {MOST} of them: 3 4 5."
        return ""

    def told(self, line: str) -> CrankSelection | None:
        """As a line tells it: which are chosen, which failed, which were good; None if it says neither."""
        found = _MARKED.fullmatch(line.strip().lower())
        numbers = [int(n) - 1 for n in re.findall(r"\d+", found[2])] if found else []
        if found is None or not numbers or not all(0 <= n < len(self.cranks) for n in numbers):
            return None
        if found[1] is None:
            return replace(self, chosen=frozenset(numbers))
        failed = [found[1][0] == "f" if n in numbers else was for n, was in enumerate(self.failed)]
        return replace(self, failed=tuple(failed))

    def writes(self) -> tuple[Write, ...]:
        """The entries: the readings of each chosen crank, and a note with its outline."""
        numbered = enumerate(sorted(self.chosen), self.next_crank)
        return tuple(write for number, place in numbered for write in self._writes(place, number))

    def _writes(self, place: int, number: int) -> Iterator[Write]:
        crank = self.cranks[place]
        symptom = self.failed[place] is not False
        for reading in readings_of(crank.values, self.columns, self.measurements):
            yield Write("reading", {
                "measurement": reading.measurement, "text": reading.text, "symptom": symptom, "crank": number,
            })  # fmt: skip
        text = f"Crank {number}, recorded in {self.file}: {summary(crank.values)}"
        yield Write("note", {"text": text, "crank": number, "trace": trace_of(crank, self.columns)})

    @property
    def taken_words(self) -> str:
        """What is said once they are taken."""
        count = sum(write.kind == "reading" for write in self.writes())
        cranks = f"{len(self.chosen)} crank{'s' * (len(self.chosen) != 1)}"
        return f"-- {count} reading{'s' * (count != 1)} of {cranks} taken."

    def heads(self, width: int) -> list[str]:
        """Every crank in a line."""
        return [line for n in range(len(self.cranks)) for line in self._head(n, width)]

    def _head(self, place: int, width: int) -> list[str]:
        state = {True: "failed", False: "good", None: "failed or good?"}[self.failed[place]]
        said = f"Crank {place + 1}, {summary(self.cranks[place].values)}{f' - {state}' if self.asks else ''}"
        return wrapped(said if place in self.chosen else f"{said} (left out)", width, ">> ", "   ")

    def lines(self, width: int) -> list[str]:
        """Every crank with its plot and values, then what was odd."""
        said = [line for n in range(len(self.cranks)) for line in self.crank_lines(n, width)]
        return said + [line for text in self.remarks for line in wrapped(text, width, "! ", "  ")]

    def crank_lines(self, place: int, width: int) -> Iterator[str]:
        """One crank: its plot, its values, what cannot be told of it."""
        crank = self.cranks[place]
        yield from self._head(place, width)
        outline = outline_of(crank.raw, plot_columns(width))
        yield from plot(outline, 0, self.measurements[self.columns[0].measurement].unit or "")
        taken = {r.measurement: r.text for r in readings_of(crank.values, self.columns, self.measurements)}
        for column, values in zip(self.columns, crank.values.columns, strict=True):
            m = self.measurements[column.measurement]
            told = {name.replace("_", " "): values.named(name) for name in _SHOWN}
            words = [f"{name} {value_with_error(v, m.unit or '')}" for name, v in told.items() if v]
            said = f"{m.label}: {', '.join(words) or 'nothing can be told'}"
            yield from wrapped(said, width, "   ", "     ")
        if taken:
            which = ", ".join(f"{self.measurements[name].label} {text}" for name, text in taken.items())
            yield from wrapped(f"Reads: {which}", width, "   ", "     ")
        for remark in crank.values.remarks:
            yield from wrapped(remark, width, " ! ", "   ")


def crank_selection(case: Case, file: str, columns: Sequence[ReadColumn], cranks: Sequence[FoundCrank],
           remarks: Sequence[str]) -> CrankSelection:  # fmt: skip
    """The cranks of a recording, told apart as far as they tell it themselves."""
    assessment = case.assessment
    behaviours = {
        str(taken.value) for taken in assessment.taken
        if SYMPTOM_KIND in taken.measurement.kinds and taken.symptom
    }  # fmt: skip
    asks, moves = assessment.intermittent, case.kb.about.moves_though
    failed = tuple(has_failed(c.values, behaviours, moves) if asks else True for c in cranks)
    measurements = assessment.model.measurements
    return CrankSelection(one_line(file, 40), tuple(columns), tuple(cranks), measurements, asks, failed,
                  frozenset(range(len(cranks))), tuple(remarks), case.next_crank)  # fmt: skip


def summary(values: CrankValues) -> str:
    """When and how long, whether it turned and how fast."""
    turned = {True: "the engine turned", False: "the engine did not turn", None: ""}[values.turned]
    speed = value_with_error(values.speed, "rpm") if values.speed else ""
    if not speed and values.compressions:
        speed = f"{value_with_error(values.compressions, '')}compressions a second"
    parts = [f"at {values.begin:.2f} s", f"{values.seconds:.2f} s long", turned, speed]
    return ", ".join(part for part in parts if part)


def as_json(found: CrankSelection) -> list[dict[str, Any]]:
    """Every crank with all its values, as plain data."""
    texts = [readings_of(c.values, found.columns, found.measurements) for c in found.cranks]
    return [
        {
            "crank": n + 1, "begin": c.values.begin, "seconds": c.values.seconds, "turned": c.values.turned,
            "failed": found.failed[n] if found.asks else None,
            "compressions": _pair(c.values.compressions), "speed": _pair(c.values.speed), "cut": c.values.cut,
            "columns": {
                column.measurement: {name: _pair(v.named(name)) for name in type(v).__slots__}
                for column, v in zip(found.columns, c.values.columns, strict=True)
            },
            "readings": {reading.measurement: reading.text for reading in texts[n]},
            "remarks": list(c.values.remarks),
        }
        for n, c in enumerate(found.cranks)
    ]  # fmt: skip


def _pair(measured: Any) -> dict[str, float] | None:
    return None if measured is None else {"value": short(measured.value), "error": short(measured.error)}


def _listed(numbers: Sequence[int]) -> str:
    return ", ".join(map(str, numbers))
