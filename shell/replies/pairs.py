"""Which number of a message belongs to which name.

Names and values come in any order ("pos .35", "310 on neg", "9.8 cranking"). Each way of
pairing them has a cost (words and breaks between, name before or behind), and the cheapest
way for the whole message is taken, by dynamic programming over its pieces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

# Costs are relative: only their order matters, set by trying messages.
_BEHIND: Final = 0.7  # a name right behind its number, no word between
_BEHIND_JOINED: Final = 0.1  # with "on", "at", "across" between
_WORD: Final = 0.3
_SOFT: Final = 0.8
_HARD: Final = 2.5
_REPEAT: Final = 0.5  # a number that repeats the one before
_LEFT_NAME: Final = 0.6
_LEFT_VALUE: Final = 5.0


@dataclass(frozen=True, slots=True)
class Item:
    """A name or a value, with what stands between it and the item before.

    words, soft, hard: plain words, soft and hard breaks since the item before.
    joined: a preposition stands right before it. weak: needs a name to be a value at all.
    """

    kind: str  # name | value
    index: int
    words: int = 0
    soft: int = 0
    hard: int = 0
    joined: bool = False
    weak: bool = False

    @property
    def gap(self) -> float:
        """The cost of reaching over what stands before this item."""
        return self.words * _WORD + self.soft * _SOFT + self.hard * _HARD


@dataclass(frozen=True, slots=True)
class _State:
    free: int | None = None  # the last name, if it has no value yet
    last: int | None = None  # the name that the last value went to, if nothing came after


Links = tuple[tuple[int, int], ...]


def pair(items: Sequence[Item]) -> Links:
    """(value index, name index) of every value that has a name, cheapest as a whole."""
    ways: dict[tuple[int, _State], tuple[float, Links]] = {(0, _State()): (0.0, ())}
    for at in range(len(items)):
        here = [(state, way) for (i, state), way in ways.items() if i == at]
        for state, (cost, links) in here:
            for step, after, more, link in _moves(items, at, state):
                key, total = (at + step, after), cost + more
                if key not in ways or total < ways[key][0]:
                    ways[key] = (total, links + link)
        for state, _ in here:
            del ways[at, state]
    ends = [
        (cost + (_LEFT_NAME if state.free is not None else 0.0), links)
        for (_, state), (cost, links) in ways.items()
    ]
    return min(ends)[1]


def _moves(items: Sequence[Item], at: int, state: _State) -> list[tuple[int, _State, float, Links]]:
    item = items[at]
    left = _LEFT_NAME if state.free is not None else 0.0
    if item.kind == "name":
        return [(1, _State(free=item.index), left, ())]
    moves: list[tuple[int, _State, float, Links]] = [
        (1, _State(), left + (0.4 if item.weak else _LEFT_VALUE), ())
    ]
    if state.free is not None:
        moves.append((1, _State(last=state.free), item.gap, ((item.index, state.free),)))
    if state.last is not None and not (item.weak or item.hard or item.words or item.soft > 1):
        moves.append((1, _State(last=state.last), _REPEAT + item.gap, ((item.index, state.last),)))
    following = items[at + 1] if at + 1 < len(items) else None
    if following and following.kind == "name":
        cost = left + following.gap + (_BEHIND_JOINED if following.joined else _BEHIND)
        moves.append((2, _State(last=following.index), cost, ((item.index, following.index),)))
    return moves


def listed(items: Sequence[Item]) -> Links:
    """Pairs of the "pos/neg .35/.24" kind: as many values in a row as names in a row before them."""
    links: list[tuple[int, int]] = []
    at = 0
    while at < len(items):
        names = _row(items, at, "name")
        values = _row(items, at + len(names), "value") if len(names) > 1 else []
        if len(names) == len(values) > 1 and not values[0].hard:
            links += [(v.index, n.index) for n, v in zip(names, values, strict=True)]
        at += max(len(names) + len(values), 1)
    return tuple(links)


def _row(items: Sequence[Item], at: int, kind: str) -> list[Item]:
    row: list[Item] = []
    for item in items[at:]:
        if item.kind != kind or (row and (item.words or item.hard or item.joined)):
            break
        row.append(item)
    return row
