"""A watch as a message: cautions first, then what stays connected and what to do when it fails."""

from __future__ import annotations

from crankpath.shell.outlets.messages.parts import USUAL_LIMIT, in_parts
from crankpath.shell.outlets.messages.watch_card import WatchCard


def watch_message(card: WatchCard, limit: int = USUAL_LIMIT, said: str = "") -> tuple[str, ...]:
    """The parts, in the order to send them; `said` is what the message says of itself in front.

    Raises:
        CaseError: the limit is too small to send a caution in one piece.
    """
    head = "WAIT for the next failure with meters left on."
    cautions = (f"{'' if n else 'SAFETY: '}{caution}" for n, (caution, _) in enumerate(card.cautions))
    first = (
        *(f"STOP: {reason}" for reason in card.stops),
        f"{said}: {head}" if said else head,
        *cautions,
    )
    return in_parts(first, message_sentences(card), limit)


def message_sentences(card: WatchCard) -> tuple[str, ...]:
    """What is to be done, a sentence each; what the figures will mean stays with the sender."""
    connected = (f"{c.letter}: {c.label} ({c.unit}), {'; '.join(c.places)}" for c in card.connected)
    last = filter(None, (card.call, card.look_again))
    return (*connected, *card.when, f"Reply e.g. {card.answer}.", *last)
