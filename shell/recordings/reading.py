"""A recording read as a person names it: columns, time and unit from words, and the cranks as they come."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import RecordingError
from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.recordings.columns import FORM, read_columns, recordable
from crankpath.engine.recordings.layout import FileLayout
from crankpath.engine.recordings.recording import FoundCrank, Recording
from crankpath.shell.recordings.crank_selection import CrankSelection, crank_selection, summary
from crankpath.shell.recordings.opening import RecordingText
from crankpath.shell.recordings.plotting import level_bar
from crankpath.shell.settings import SettingsError, keep_recording_columns, recording_columns

_TIME: Final = re.compile(r"\s*time\s*=\s*(\d+)?\s*,?\s*(s|ms|us)?\s*\Z", re.IGNORECASE)
_SHOWN_EVERY: Final = 0.25  # s between two lines of a crank under way
_BAR: Final = 40

Shown = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class ToldColumns:
    """What a person said of the columns: which is which reading, and where the time stands."""

    columns: tuple[str, ...]
    time: int | None = None
    unit: str | None = None


def told_of(parts: Sequence[str]) -> ToldColumns:
    """Words such as ``2=battery crank, V`` and ``time=1,ms`` taken apart."""
    columns, time, unit = [], None, None
    for part in parts:
        if found := _TIME.match(part):
            time, unit = int(found[1]) if found[1] else time, (found[2] or "").lower() or unit
        elif part.strip():
            columns.append(part.strip())
    return ToldColumns(tuple(columns), time, unit)


def as_last_time(layout: FileLayout, told: ToldColumns) -> ToldColumns:
    """What is told, or what was told of the last recording with the same header. Raises SettingsError."""
    if told.columns or not _header(layout):
        return told
    kept = told_of(recording_columns(_header(layout)))
    return replace(kept, time=told.time or kept.time, unit=told.unit or kept.unit)


def _keep(layout: FileLayout, told: ToldColumns) -> None:
    if _header(layout):
        time = [f"time={told.time or ''},{told.unit or ''}"] if told.time or told.unit else []
        with suppress(SettingsError):  # the recording is read all the same
            keep_recording_columns(_header(layout), [*told.columns, *time])


def _header(layout: FileLayout) -> str:
    """The names of all columns in one text; "" where the recording has no header."""
    names = [f"{c.name} {c.unit or ''}".strip() for c in layout.columns]
    return "" if names[0] == "column 1" else " | ".join(names)


def columns_asked(layout: FileLayout, case: Case) -> list[str]:
    """What the recording has, and how its columns are told."""
    have = ", ".join(f"{c.place} {c.name}{f' ({c.unit})' if c.unit else ''}" for c in layout.columns)
    names = ", ".join(m.short for m in recordable(case.assessment.model.measurements).values())
    return [
        f"The recording has these columns: {have}.",
        f"Say which column is which reading, several parted by ;  for example {FORM}",
        f"A column can be: {names}.",
    ]


def read_recording(text: RecordingText, told: ToldColumns, case: Case, facts: Mapping[str, FactValue],
                   shown: Shown | None = None) -> CrankSelection:  # fmt: skip
    """Read a recording to its end.

    Args:
        case: gives the readings of this machine. facts: its system voltage and cylinders.
        shown: takes a line whenever there is news, while a recording comes in.

    Raises:
        RecordingError: columns, time or unit are not told or do not fit.
    """
    known = case.assessment.model.measurements
    told = as_last_time(text.layout, told)
    if not told.columns:
        raise RecordingError("\n".join(columns_asked(text.layout, case)))
    columns = read_columns(told.columns, text.layout, known)
    if told.time is not None and not 1 <= told.time <= len(text.layout.columns):
        raise RecordingError(f"There is no column {told.time}; the recording has {len(text.layout.columns)}.")
    recording = Recording(case.kb, facts, text.layout, columns, told.time, told.unit)
    _keep(text.layout, told)
    taken = [f"Column {c.place} is {known[c.measurement].label}, in {c.said}." for c in columns]
    live = _Live(recording, known[columns[0].measurement].unit or "", shown) if shown else None
    found: list[FoundCrank] = []
    for piece in text.pieces():
        for part in piece.splitlines(keepends=True) if live else (piece,):
            ended = list(recording.feed(part))
            found += ended
            if live and shown:
                live.tell()
                for crank in ended:
                    shown(f"Crank {len(found)}: {summary(crank.values)}")
    found += list(recording.end())
    return crank_selection(case, str(text.file), columns, found, (*taken, *recording.remarks))


class _Live:
    """Shows a crank as it happens: a line a quarter of a second, and its plot once it is over."""

    def __init__(self, recording: Recording, unit: str, shown: Shown) -> None:
        self._recording, self._unit, self._shown = recording, unit, shown
        self._at, self._high = -math.inf, 0.0

    def tell(self) -> None:
        """Show what the samples read last bring."""
        if self._recording.latest is None:
            return
        time, (value, *_) = self._recording.latest
        self._high = max(self._high, value)
        if self._recording.cranking and time - self._at >= _SHOWN_EVERY:
            self._at = time
            self._shown(f"{time:10.2f} s {value:8.2f} {self._unit} {level_bar(value, 0.0, self._high, _BAR)}")


def told_apart(typed: str) -> Iterator[str]:
    """The parts of a line such as ``2=battery crank; 3=crank current, 10 mV/A``."""
    return (part.strip() for part in typed.split(";") if part.strip())
