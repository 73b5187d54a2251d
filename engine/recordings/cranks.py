"""The cranks of a recording: where battery voltage dips, or current rises, and stays so for a while."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, median
from typing import Final

from crankpath.engine.recordings.figures import CrankFigures
from crankpath.engine.recordings.remarks import Remarks
from crankpath.engine.recordings.samples import Block, Samples

_BIN: Final = 0.05  # s whose mean is looked at
_BEFORE: Final = 2.0  # s kept of what came before
_FINEST: Final = 2e-4  # s between two samples; a finer recording is averaged to this
_SURE: Final = 6.0  # standard deviations of the noise that a dip must exceed
_KNOWN: Final = 3  # bins that tell the level at rest
_LOST: Final = 2.0  # s without a sample after which nothing before counts
_NOTHING: Final = (
    "Samples in which the battery reads nothing are left out: its lead is off, or it is open inside."
)


@dataclass(frozen=True, slots=True)
class Trigger:
    """A column that tells a crank: its index, and whether it dips (a battery's voltage) or rises (current).

    nominal: V of a full battery at rest; it does not matter for a current.
    """

    column: int
    dips: bool
    nominal: float = 0.0


@dataclass(frozen=True, slots=True)
class RawCrank:
    """The samples of one crank, with some before and after it.

    begin, end: s, where the level is half way. cut: the recording began or broke off within it.
    """

    begin: float
    end: float
    times: tuple[float, ...]
    columns: tuple[tuple[float, ...], ...]
    cut: bool = False


@dataclass(slots=True)
class _Bin:
    """Samples of one twentieth of a second, and how far they are loaded: 1 is a crank's least."""

    block: Block
    load: float = 0.0

    @property
    def begins(self) -> float:
        return self.block.times[0]

    @property
    def ends(self) -> float:
        return self.block.times[-1]


class CrankFinder:
    """Finds cranks in blocks of samples, as they come.

    Args:
        triggers: the columns that tell a crank. figures: what a crank is. remarks: takes what is odd.
    """

    def __init__(self, triggers: Sequence[Trigger], figures: CrankFigures, remarks: Remarks) -> None:
        self._triggers, self._figures, self._remarks = triggers, figures, remarks
        self._before: deque[_Bin] = deque()
        self._crank: list[_Bin] = []
        self._pending: Block | None = None
        self._levels: list[tuple[float, float]] = []  # of each trigger: level at rest, a crank's least change
        self._stale = 0
        self._step = 0.0
        self._began_low: float | None = None

    @property
    def cranking(self) -> bool:
        """Whether a crank is under way."""
        return bool(self._crank)

    def feed(self, block: Samples) -> Iterator[RawCrank]:
        """The cranks that end in this block."""
        if self._quiet(block):
            self._forget(block)
            return
        for part in self._with_battery(block):
            yield from self._feed(part)

    def _with_battery(self, samples: Samples) -> Iterator[Block]:
        """The block without samples in which the battery read nothing, which no battery does."""
        block = thinned(samples.whole())
        lows = {t.column: self._figures.lead_off * t.nominal for t in self._triggers if t.dips}
        if all(block.extremes(column)[0] >= low for column, low in lows.items()):
            yield block
            return
        kept = [i for i in range(len(block)) if all(block.columns[c][i] >= low for c, low in lows.items())]
        self._remarks.add(_NOTHING)
        columns = [[column[i] for i in kept] for column in block.columns]
        left = Block([block.times[i] for i in kept], columns, block.begins)
        start = 0
        for at, (before, time) in enumerate(pairwise(left.times), 1):
            if time - before > self._figures.parting:
                yield _part(left, start, at, left.begins if start == 0 else True)
                start = at
        if kept:
            yield _part(left, start, len(kept), left.begins if start == 0 else True)

    def _feed(self, block: Block) -> Iterator[RawCrank]:
        bins = self._crank or self._before
        last = self._pending.times[-1] if self._pending else bins[-1].ends if bins else block.times[0]
        if block.begins or block.times[0] - last > _LOST:
            yield from self.end()
        whole = _joined(self._pending, block) if self._pending else block
        width = self._width(whole)
        count = len(whole.times) // width * width
        for at in range(0, count, width):
            yield from self._take(_Bin(_part(whole, at, at + width)))
        self._pending = _part(whole, count, len(whole.times)) if count < len(whole.times) else None

    def end(self) -> Iterator[RawCrank]:
        """The crank that the recording breaks off in; then all is forgotten."""
        if self._pending and self._levels:
            yield from self._take(_Bin(self._pending))
        if self._lasts():
            yield self._cut_out(cut=True)
        self._pending, self._crank, self._levels, self._began_low = None, [], [], None
        self._before.clear()

    def _width(self, block: Block) -> int:
        """Samples in a bin; more than there are while nobody knows how fast they come."""
        self._step = block.step or self._step
        return max(1, round(_BIN / self._step)) if self._step else len(block) + 1

    def _quiet(self, block: Samples) -> bool:
        """Whether nothing in a long block can be a crank, so that it need not be looked at closely."""
        if self._crank or not self._levels or self._began_low is not None:
            return False
        if block.begins or len(block) < 1000:
            return False
        return all(
            self._change(which, block.extremes(t.column)[0 if t.dips else 1]) < self._levels[which][1]
            for which, t in enumerate(self._triggers)
        )

    def _forget(self, block: Samples) -> None:
        """Only the last seconds of a quiet block count, as what comes before the next crank."""
        self._pending = None
        self._before.clear()
        last = thinned(block.tail(max(100, round(_BEFORE / block.step) if block.step else 0)))
        width = self._width(last)
        for at in range(len(last) % width, len(last), width):
            self._remember(_Bin(_part(last, at, at + width)))
        self._settle()

    def _take(self, piece: _Bin) -> Iterator[RawCrank]:
        if not self._levels:
            self._learn(piece)
            return
        piece.load = max(
            self._change(which, fmean(piece.block.columns[t.column])) / self._levels[which][1]
            for which, t in enumerate(self._triggers)
        )
        if self._crank:
            yield from self._go_on(piece)
        elif piece.load >= 1:
            self._crank = [piece]
        else:
            self._learn(piece)

    def _go_on(self, piece: _Bin) -> Iterator[RawCrank]:
        if len(self._crank) == 1 and piece.load < 1:  # a stray sample, not a crank
            self._remember(self._crank.pop())
            self._learn(piece)
            return
        self._crank.append(piece)
        loaded = self._loaded()
        if self._crank[loaded].ends - self._crank[0].begins > self._figures.longest:
            self._remarks.add(
                f"The level changed and stayed so for more than {self._figures.longest:g} s; "
                f"that is no crank: from {self._crank[0].begins:.1f} s on."
            )
            self._give_up()
        elif piece.ends - self._crank[loaded].ends >= self._figures.parting:
            if self._lasts():
                yield self._cut_out(cut=False)
            self._give_up()

    def _loaded(self) -> int:
        """The last bin of the crank that is still loaded at least half as much as the middle one."""
        half = median(piece.load for piece in self._crank if piece.load >= 1) / 2
        return max(i for i, piece in enumerate(self._crank) if piece.load >= half)

    def _lasts(self) -> bool:
        if not self._crank:
            return False
        last = self._loaded()
        loaded = sum(piece.load >= 1 for piece in self._crank)
        return loaded >= 2 and self._crank[last].ends - self._crank[0].begins >= self._figures.shortest

    def _give_up(self) -> None:
        bins, self._crank = self._crank, []
        for piece in bins[self._loaded_tail(bins) :]:
            self._remember(piece)
        self._settle()

    @staticmethod
    def _loaded_tail(bins: Sequence[_Bin]) -> int:
        """What stands after the last loaded bin tells the new level; if nothing does, the last second."""
        last = max((i for i, piece in enumerate(bins) if piece.load >= 1), default=-1) + 1
        return last if last < len(bins) else max(0, len(bins) - round(1 / _BIN))

    def _cut_out(self, cut: bool) -> RawCrank:
        last = self._loaded()
        inside = self._crank[: last + 1]
        bins = [*self._before, *self._crank]
        times = [t for piece in bins for t in piece.block.times]
        wide = range(len(bins[0].block.columns))
        columns = [[v for piece in bins for v in piece.block.columns[c]] for c in wide]
        strongest = max(range(len(self._triggers)), key=lambda which: self._strength(which, inside))
        changes = [self._change(strongest, v) for v in columns[self._triggers[strongest].column]]
        half = self._strength(strongest, inside) * self._levels[strongest][1] / 2
        first_bin, last_bin = inside[0].begins - _BIN, inside[-1].ends
        edge = [t for t, change in zip(times, changes, strict=True) if change >= half and first_bin <= t]
        begin = edge[0] if edge else inside[0].begins
        end = max((t for t in edge if t <= last_bin), default=last_bin)
        return RawCrank(begin, end, tuple(times), tuple(map(tuple, columns)), cut)

    def _strength(self, which: int, bins: Sequence[_Bin]) -> float:
        """How many times its least change a trigger shows in the middle of a crank."""
        column = self._triggers[which].column
        changes = [self._change(which, fmean(piece.block.columns[column])) for piece in bins]
        return median(changes) / self._levels[which][1]

    def _change(self, which: int, value: float) -> float:
        """By how much a value lies on a crank's side of the level at rest."""
        trigger, (rest, _) = self._triggers[which], self._levels[which]
        return min(rest, trigger.nominal) - value if trigger.dips else value - rest

    def _learn(self, piece: _Bin) -> None:
        self._remember(piece)
        self._stale += 1
        if len(self._before) >= _KNOWN and (not self._levels or self._stale >= 8):
            first = not self._levels
            self._settle()
            self._tell_start(first)

    def _tell_start(self, first: bool) -> None:
        """Tell of a recording that begins in a dip: without the level before it no crank can be taken."""
        for (rest, least), trigger in zip(self._levels, self._triggers, strict=True):
            if not trigger.dips:
                continue
            if first and rest < (1 - 2 * self._figures.dip) * trigger.nominal:
                self._began_low = rest
            elif self._began_low is not None and rest > self._began_low + least:
                self._remarks.add(
                    f"The recording begins at {self._began_low:.2f} V and rises soon after: a crank was "
                    "under way. Without the level before it that one is not taken."
                )
                self._began_low = None

    def _remember(self, piece: _Bin) -> None:
        self._before.append(piece)
        while self._before[-1].ends - self._before[0].ends > _BEFORE:
            self._before.popleft()

    def _settle(self) -> None:
        """Work out each trigger's level at rest, and the change that is more than its noise."""
        self._stale = 0
        self._levels = [self._level(trigger) for trigger in self._triggers] if self._before else []

    def _level(self, trigger: Trigger) -> tuple[float, float]:
        raw = [value for piece in self._before for value in piece.block.columns[trigger.column]]
        means = [fmean(piece.block.columns[trigger.column]) for piece in self._before]
        rest, width = median(means), max(1, len(raw) // len(means))
        noise = max(robust_deviation(means), robust_deviation(raw[-2000:]) / width**0.5)
        figures = self._figures
        if not trigger.dips:
            return rest, max(figures.least_amperes, _SURE * noise)
        if not trigger.nominal / 2 < rest < trigger.nominal * 2**0.5:  # nearer another system voltage
            self._remarks.add(
                f"The battery's column reads {rest:.3g} V at rest; a full battery of this machine reads "
                f"{trigger.nominal:.1f} V. No cranks are looked for in it: is the column or its unit another?"
            )
            return rest, math.inf
        return rest, max(figures.dip * min(rest, trigger.nominal), _SURE * noise)


def robust_deviation(values: Sequence[float]) -> float:
    """Standard deviation by the median of deviations, which strays do not move (normal noise)."""
    middle = median(values)
    return 1.4826 * median(abs(value - middle) for value in values)


def _joined(first: Block, second: Block) -> Block:
    columns = [a + b for a, b in zip(first.columns, second.columns, strict=True)]
    return Block(first.times + second.times, columns)


def _part(block: Block, start: int, end: int, begins: bool = False) -> Block:
    return Block(block.times[start:end], [column[start:end] for column in block.columns], begins)


def thinned(block: Block) -> Block:
    """A block of no more than 5,000 samples a second: a finer one is averaged."""
    count = int(_FINEST / block.step) if block.step else 1
    if count < 2:
        return block
    starts = range(0, len(block.times), count)
    columns = [[fmean(column[i : i + count]) for i in starts] for column in block.columns]
    return Block([block.times[i] for i in starts], columns, block.begins)
