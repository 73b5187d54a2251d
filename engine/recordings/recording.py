"""A recording read from beginning to end: text in pieces goes in, the cranks with their values come out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from crankpath.engine.errors import RecordingError
from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.knowledge.records import Budget, Knowledge
from crankpath.engine.recordings.clocks import is_clock, time_unit
from crankpath.engine.recordings.columns import ReadColumn
from crankpath.engine.recordings.cranks import CrankFinder, RawCrank, Trigger
from crankpath.engine.recordings.figures import figures_from
from crankpath.engine.recordings.layout import FileLayout
from crankpath.engine.recordings.remarks import Remarks
from crankpath.engine.recordings.samples import SampleReader
from crankpath.engine.recordings.values import CrankValues, crank_values

GAP = 2.0
"""Seconds without a sample from which on a recording is in two stretches."""


@dataclass(frozen=True, slots=True)
class FoundCrank:
    """One crank of a recording: its samples, and what they amount to."""

    raw: RawCrank
    values: CrankValues


class Recording:
    """A recording as it is read.

    Args:
        kb: the knowledge base, for the figures of a crank. facts: of the machine.
        layout: how the recording is laid out. columns: which column is which reading.
        time: number of the time column, where its header does not say; unit: s, ms or us, likewise.

    Attributes:
        latest: time and values of the last sample read, for a recording that is still being made.

    Raises:
        RecordingError: it is not told where the time stands or what it counts, or no column tells a crank.
    """

    def __init__(self, kb: Knowledge, facts: Mapping[str, FactValue], layout: FileLayout,
                 columns: Sequence[ReadColumn], time: int | None = None,
                 unit: str | None = None) -> None:  # fmt: skip
        self.layout, self.columns = layout, tuple(columns)
        self._figures = figures_from(kb.settings)
        about = kb.about
        told = facts.get(about.cylinders or "")
        self._cylinders = int(told) if isinstance(told, (int, float)) and told else None
        full_volts = self._figures.full_volts * float(str(facts.get(about.system or "", 12))) / 12
        self._triggers = _triggers(about.budget, self.columns, full_volts)
        self.latest: tuple[float, tuple[float, ...]] | None = None
        self._remarks = Remarks()
        place, unit = time_column(layout, time, unit)
        read = [(column.place, column.factor) for column in self.columns]
        self._reader = SampleReader(layout, place, unit, read, GAP, self._remarks)
        self._finder = CrankFinder(self._triggers, self._figures, self._remarks)

    @property
    def remarks(self) -> tuple[str, ...]:
        """What was odd so far, a sentence each."""
        return self._remarks.sentences()

    @property
    def cranking(self) -> bool:
        """Whether a crank is under way."""
        return self._finder.cranking

    def feed(self, text: str) -> Iterator[FoundCrank]:
        """The cranks that end in the next piece of the recording's text."""
        for block in self._reader.feed(text):
            last = block.tail(1)
            self.latest = last.times[0], tuple(column[0] for column in last.columns)
            yield from map(self._found, self._finder.feed(block))

    def end(self) -> Iterator[FoundCrank]:
        """The cranks that were not over when the recording ended."""
        for block in self._reader.end():
            yield from map(self._found, self._finder.feed(block))
        yield from map(self._found, self._finder.end())

    def all(self, pieces: Iterable[str]) -> Iterator[FoundCrank]:
        """Every crank of a whole recording, given as lines or pieces of any size."""
        for piece in pieces:
            yield from self.feed(piece)
        yield from self.end()

    def _found(self, raw: RawCrank) -> FoundCrank:
        return FoundCrank(raw, crank_values(raw, self._triggers, self._figures, self._cylinders))


def time_column(layout: FileLayout, time: int | None, unit: str | None) -> tuple[int, str | None]:
    """Number of the time column and the unit of a plain number there (None for a clock).

    Raises:
        RecordingError: it is not known.
    """
    column = layout.time if time is None else layout.columns[time - 1]
    if column is None:
        have = ", ".join(f"{c.place} {c.name}" for c in layout.columns)
        raise RecordingError(f"No header says which column is the time; tell its number. There are: {have}.")
    if is_clock(layout.sample[column.place - 1]):
        return column.place, None
    known = time_unit(unit or column.unit or "")
    if known is None:
        raise RecordingError(
            f"Column {column.place} ({column.name}) does not say what its time counts; tell s, ms or us."
        )
    return column.place, known


def _triggers(budget: Budget | None, columns: Sequence[ReadColumn], full_volts: float) -> tuple[Trigger, ...]:
    if budget is None:
        raise RecordingError("The knowledge base has no 'budget' under 'base:'; no recording can be read.")
    found = [
        Trigger(index, column.measurement == budget.loaded, full_volts)
        for index, column in enumerate(columns)
        if column.measurement in (budget.loaded, budget.current)
    ]
    if not found:
        raise RecordingError(
            f"Cranks are found by voltage or current: name a column {budget.loaded} or {budget.current}."
        )
    return tuple(found)
