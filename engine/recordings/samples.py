"""Text of a recording, in pieces of any size, as blocks of samples.

A block is read column by column with operations on whole lists, so that a week of samples takes a
minute; only where that fails is it read line by line, and each odd line told.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from operator import le, sub
from typing import Final

from crankpath.engine.recordings.clocks import DAY, Seconds, reader_for, wraps
from crankpath.engine.recordings.layout import FileLayout, cells_of
from crankpath.engine.recordings.remarks import Remarks

_STRIDE: Final = 64
"""In a stretch that is even at every so many samples, the times between are taken as even."""
_LONG: Final = 2000
_LONGEST: Final = 1 << 20  # characters of a line
_PLAIN: Final = b"0123456789.-+eE:TZ \t;,\r\n"
"""What a stretch of nothing but numbers and times is written with."""


@dataclass(slots=True)
class Block:
    """Samples in a row: time in s and one list a column; `begins` where no sample before it belongs to it."""

    times: list[float]
    columns: list[list[float]]
    begins: bool = False
    _extremes: dict[int, tuple[float, float]] = field(default_factory=dict)

    def __len__(self) -> int:
        """How many samples."""
        return len(self.times)

    def extremes(self, column: int) -> tuple[float, float]:
        """Lowest and highest value of a column."""
        if column not in self._extremes:
            values = self.columns[column]
            self._extremes[column] = (min(values), max(values))
        return self._extremes[column]

    @property
    def step(self) -> float:
        """Seconds from one sample to the next, on the whole; 0 where there is but one time."""
        return (self.times[-1] - self.times[0]) / (len(self.times) - 1) if len(self.times) > 1 else 0.0

    def whole(self) -> Block:
        """The block itself."""
        return self

    def tail(self, count: int) -> Block:
        """The last samples of it."""
        return Block(self.times[-count:], [column[-count:] for column in self.columns], self.begins)


class EvenBlock:
    """Samples that run evenly, as text: only what is looked at becomes numbers.

    Most of a long recording is a battery at rest, of which lowest and highest are all that counts.
    """

    def __init__(self, times: list[str], columns: list[list[str]], read: CellParser,
                 ends: tuple[float, float], begins: bool) -> None:  # fmt: skip
        self._times, self._columns, self._read, self.ends, self.begins = times, columns, read, ends, begins
        self._extremes = [self._lowest_and_highest(i) for i in range(len(columns))]

    def __len__(self) -> int:
        """How many samples."""
        return len(self._times)

    def _lowest_and_highest(self, column: int) -> tuple[float, float]:
        values = self._read.values(set(self._columns[column]), column)
        if not math.isfinite(sum(values)):
            raise ValueError("no number")
        return min(values), max(values)

    def extremes(self, column: int) -> tuple[float, float]:
        """Lowest and highest value of a column."""
        return self._extremes[column]

    @property
    def step(self) -> float:
        """Seconds from one sample to the next."""
        return (self.ends[1] - self.ends[0]) / (len(self) - 1)

    def tail(self, count: int) -> Block:
        """The last samples of it."""
        cut = slice(max(0, len(self) - count), None)
        columns = [self._read.values(cells[cut], i) for i, cells in enumerate(self._columns)]
        return Block(self._read.times(self._times[cut]), columns, self.begins)

    def whole(self) -> Block:
        """All of it as numbers."""
        return self.tail(len(self))


@dataclass(slots=True)
class CellParser:
    """Turns cells into numbers: seconds from the clock and its offset, values by a factor for each column."""

    seconds: Seconds
    factors: Sequence[float]
    offset: float = 0.0

    def times(self, cells: Sequence[str]) -> list[float]:
        """Times in s."""
        times = self.seconds(cells)
        return [each + self.offset for each in times] if self.offset else times

    def values(self, cells: Iterable[str], column: int) -> list[float]:
        """Values of a column."""
        values, factor = list(map(float, cells)), self.factors[column]
        return values if factor == 1.0 else [factor * value for value in values]


Samples = Block | EvenBlock


class SampleReader:
    """Reads a recording piece by piece.

    Args:
        layout: how its lines are laid out.
        time: number of the time column, from 1; unit: what a plain number there counts.
        columns: numbers of the columns to read, with what each is multiplied by.
        gap: seconds without a sample from which on a new stretch begins.
        remarks: takes what is odd.
    """

    def __init__(self, layout: FileLayout, time: int, unit: str | None, columns: Sequence[tuple[int, float]],
                 gap: float, remarks: Remarks) -> None:  # fmt: skip
        self._layout, self._time, self._columns, self._gap = layout, time - 1, columns, gap
        sample = layout.sample[self._time]
        self._read = CellParser(reader_for(sample, unit), [factor for _, factor in columns])
        self._wraps = wraps(sample)
        self._remarks = remarks
        self._rest, self._line = "", 1
        self._last: float | None = None
        self._usual = 0.0

    def feed(self, text: str) -> Iterator[Samples]:
        """The samples of the next piece; a line cut off at its end waits for the rest."""
        text = self._rest + text
        cut = text.rfind("\n") + 1
        self._rest, text = text[cut:], text[:cut]
        if len(self._rest) > _LONGEST:
            self._remarks.add("Left out: a line without end", [self._line + text.count("\n")])
            self._rest = ""
        if text:
            yield from self._lines(text)

    def end(self) -> Iterator[Samples]:
        """The samples of a last line without an end."""
        text, self._rest = self._rest, ""
        if text:
            yield from self._lines(text + "\n")

    def _lines(self, text: str) -> Iterator[Samples]:
        first, count = self._line, text.count("\n")
        self._line += count
        while first < self._layout.first and text:  # the header
            text = text[text.index("\n") + 1 :]
            first, count = first + 1, count - 1
        if not text:
            return
        found = self._at_once(text, count)
        if found is not None:
            yield found
            return
        numbers, times, columns = self._one_by_one(text, first)
        yield from self._stretches(numbers, times, columns)

    def _at_once(self, text: str, count: int) -> Samples | None:
        """The block if every line is as it should be and times run evenly on from the last; else None."""
        separator, wide = self._layout.separator, len(self._layout.columns)
        if '"' in text or separator == " " or text.count(separator) != count * (wide - 1):
            return None
        if self._layout.decimal == ",":
            text = text.replace(",", ".")
        cells = text.replace("\n", separator).split(separator)
        cells.pop()
        columns = [cells[place - 1 :: wide] for place, _ in self._columns]
        try:
            found = self._block(text, cells[self._time :: wide], columns)
        except ValueError:
            return None
        if found is not None:
            self._last = found.ends[1] if isinstance(found, EvenBlock) else found.times[-1]
        return found

    def _block(self, text: str, times: list[str], columns: list[list[str]]) -> Samples | None:
        begins = self._last is None
        if len(times) >= _LONG and self._layout.separator != " ":
            some = self._read.times([*times[::_STRIDE], times[-1]])
            steps = list(map(sub, some[1:-1], some[:-2]))
            even = max(steps) <= 1.01 * min(steps) + 1e-6 and min(steps) > 0 and some[-1] >= some[-2]
            if even and self._run_on(some, _STRIDE) and not text.encode().translate(None, _PLAIN):
                return EvenBlock(times, columns, self._read, (some[0], some[-1]), begins)
        read = self._read.times(times)
        values = [self._read.values(cells, i) for i, cells in enumerate(columns)]
        if not all(map(math.isfinite, (sum(read), *map(sum, values)))) or not self._run_on(read):
            return None
        return Block(read, values, begins)

    def _run_on(self, times: list[float], stride: int = 1) -> bool:
        before = times[0] if self._last is None else self._last
        if times[0] < before or times[0] - before > self._gap or not all(map(le, times, times[1:])):
            return False
        return len(times) < 2 or max(map(sub, times[1:], times)) <= self._gap * stride

    def _one_by_one(self, text: str, first: int) -> tuple[list[int], list[float], list[list[float]]]:
        layout, remarks = self._layout, self._remarks
        numbers: list[int] = []
        times: list[float] = []
        columns: list[list[float]] = [[] for _ in self._columns]
        for number, line in enumerate(text.split("\n")[:-1], first):
            if not line.strip():
                continue
            cells = cells_of(line, layout.separator)
            if len(cells) != len(layout.columns):
                remarks.add(f"Left out: lines without {len(layout.columns)} columns", [number])
                continue
            try:
                time = self._read.times([cells[self._time].replace(",", ".")])[0]
                row = [_number(cells[place - 1], layout.decimal) * factor for place, factor in self._columns]
            except ValueError:
                remarks.add("Left out: lines where a column is empty or no number", [number])
                continue
            numbers.append(number)
            times.append(time)
            for column, value in zip(columns, row, strict=True):
                column.append(value)
        return numbers, times, columns

    def _stretches(self, numbers: list[int], times: list[float],
                   columns: list[list[float]]) -> Iterator[Samples]:  # fmt: skip
        """The block cut where the clock jumps or samples are lacking."""
        start, begins = 0, self._last is None
        for place, time in enumerate(times):
            before = times[place - 1] if place else self._last
            if before is None or 0 <= time - before <= self._gap:
                continue
            if self._wraps and before - time > DAY / 2:
                self._read.offset += DAY
                times[place:] = [each + DAY for each in times[place:]]
                if times[place] - before <= self._gap:
                    continue
            if place > start:
                yield Block(times[start:place], [c[start:place] for c in columns], begins)
            start, begins = place, True
            self._tell_jump(times[place] - before, numbers[place])
        if times:
            self._last = times[-1]
            yield Block(times[start:], [c[start:] for c in columns], begins)

    def _tell_jump(self, seconds: float, line: int) -> None:
        if seconds < 0:
            said = "The clock goes back; what follows is taken as a recording of its own"
        else:
            said = f"No samples for longer than {self._gap:g} s; a crank in such a gap is not seen"
        self._remarks.add(said, [line])


def _number(cell: str, decimal: str) -> float:
    value = float(cell.replace(",", ".") if decimal == "," else cell)
    if not math.isfinite(value):
        raise ValueError("no number")
    return value
