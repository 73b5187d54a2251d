"""Sentences packed into as few messages as their length allows; nothing is left out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from crankpath.engine.errors import CaseError
from crankpath.shell.outlets.messages.basic_letters import in_basic_letters

USUAL_LIMIT: Final = 160
"""Characters of one short message in the basic alphabet (3GPP TS 23.038: 140 octets of 7 bits)."""

LEAST_LIMIT: Final = 70
"""Below that not even a caution fits into one part; also the room of one message in other alphabets."""


def in_parts(first: Sequence[str], then: Sequence[str], limit: int = USUAL_LIMIT) -> tuple[str, ...]:
    """The sentences in order, in parts of at most `limit` characters.

    A sentence stays in one piece where it fits in a part; a longer one is broken between
    words. Several parts are numbered "2/3", and what is to be done begins with the question
    whether all of them arrived.

    Args:
        first: what must be known before anything is done.
        then: what is to be done.
        limit: characters of a part, `LEAST_LIMIT` or more.

    Raises:
        CaseError: the limit is too small to send a caution in one piece.
    """
    if limit < LEAST_LIMIT:
        raise CaseError(f"{limit} characters are too few for the cautions; use {LEAST_LIMIT} or more.")
    before, after = _said(first), _said(then)
    whole = " ".join((*before, *after))
    if len(whole) <= limit:
        return (whole,) if whole else ()
    parts = _numbered(before, after, limit)
    return tuple(f"{number}/{len(parts)} {part}" for number, part in enumerate(parts, 1))


def _numbered(before: Sequence[str], after: Sequence[str], limit: int) -> list[str]:
    """The parts without their numbers, which have room; each says how many there are in all."""
    digits = 0
    while True:
        digits += 1
        room = limit - len("/ ") - 2 * digits
        total, parts = 10**digits, _packed(before, after, 10**digits - 1, room)
        while len(parts) < total:  # a shorter total can only make for fewer parts
            total, parts = len(parts), _packed(before, after, len(parts), room)
            if len(parts) == total:
                return parts


def _said(sentences: Iterable[str]) -> list[str]:
    return [text for text in map(in_basic_letters, sentences) if text]


def _packed(before: Sequence[str], after: Sequence[str], total: int, room: int) -> list[str]:
    check = [f"Got all {total} messages? Then:"] if before and after else []
    parts: list[str] = []
    for sentence in (*before, *check, *after):
        if parts and len(parts[-1]) + 1 + len(sentence) <= room:
            parts[-1] += f" {sentence}"
        elif len(sentence) <= room:
            parts.append(sentence)
        else:
            _broken(parts, sentence, room)
    return parts


def _broken(parts: list[str], sentence: str, room: int) -> None:
    """Add a sentence that is longer than a part, word by word; a word longer than a part by letters."""
    for word in sentence.split():
        pieces = [word[start : start + room] for start in range(0, len(word), room)]
        for piece in pieces:
            if parts and len(parts[-1]) + 1 + len(piece) <= room:
                parts[-1] += f" {piece}"
            else:
                parts.append(piece)
