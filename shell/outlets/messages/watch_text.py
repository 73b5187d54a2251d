"""The card for the cab as plain text and as data."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import asdict
from typing import Any, Final

from crankpath.shell.outlets.messages.watch_card import WatchCard
from crankpath.shell.text.columns import wrapped


def watch_text(card: WatchCard, width: int = 80) -> list[str]:
    """Lines of the card, stops and cautions first."""
    blocks = [list(block(card, width)) for block in (_head, _connected, _when, _bring_on, _means)]
    return [line for lines in blocks if lines for line in (*lines, "")][:-1]


def _connected_and_when(card: WatchCard, width: int) -> list[str]:
    return [*_connected(card, width), "", *_when(card, width)]


def watch_data(card: WatchCard) -> dict[str, Any]:
    """The card as plain data, for JSON."""
    return asdict(card)


def _head(card: WatchCard, width: int) -> Iterator[str]:
    for reason in card.stops:
        yield from wrapped(f"STOP: {reason}", width, "! ", "  ")
    title = "meters left on to catch the next failure"
    yield from wrapped(f"{card.name}: {title}" if card.name else title, width)
    for caution, _ in card.cautions:
        yield from wrapped(caution, width, "! ", "  ")


def _connected(card: WatchCard, width: int) -> Iterator[str]:
    yield "Connected"
    for one in card.connected:
        yield from wrapped(f"{one.label} ({one.unit})", width, f"  {one.letter}  ", "     ")
        for place in one.places:
            yield from wrapped(place, width, "     ", "       ")


def _when(card: WatchCard, width: int) -> Iterator[str]:
    yield "When it fails"
    for number, step in enumerate(card.when, 1):
        yield from wrapped(step, width, f"  {number}. ", "     ")
    yield from wrapped(f"Send, for example: {card.answer}", width, "  ", "    ")
    for said in filter(None, (card.call, card.look_again)):
        yield from wrapped(said, width, "  ", "    ")


def _bring_on(card: WatchCard, width: int) -> Iterator[str]:
    if card.bring_on:
        yield "To bring it on, the safest first"
        for number, way in enumerate(card.bring_on, 1):
            alone = "" if way.from_the_seat else " Not for the operator alone."
            said = f"{way.how}. Moves: {way.moves} ({way.chance} of what it may be).{alone}"
            yield from wrapped(said, width, f"  {number}. ", "     ")
            if way.mind:
                yield from wrapped(way.mind, width, "     ! ", "       ")
        yield from wrapped(card.stays_away, width, "  ", "    ")


def _means(card: WatchCard, width: int) -> Iterator[str]:
    yield "What it will point to"
    for meaning in card.meanings:
        yield from wrapped(f"{meaning.shows}: {meaning.repair} ({meaning.probability})", width, "  ", "    ")
    yield from wrapped(card.otherwise, width, "  ", "    ")


PARTS: Final[Mapping[str, Callable[[WatchCard, int], Iterable[str]]]] = {
    "head": _head, "work": _connected_and_when, "means": _means, "bring on": _bring_on,
}  # fmt: skip
"""Parts of the card that are shown by themselves, where it is longer than a screen."""
