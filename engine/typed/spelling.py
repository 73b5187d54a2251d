"""Finding a name from what a person typed.

In this order: written out, a unique beginning, words that each begin a word of the name,
near spelling with one clear winner.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from crankpath.engine.likeness import CLEARLY, LIKELY, LONGEST, POSSIBLE, alike


@dataclass(frozen=True, slots=True)
class Match:
    """The answer to "which one was meant?".

    Attributes:
        sure: the one that was meant, or None.
        exact: it was written out, but for case, spaces, hyphens and underscores.
        near: ids that it may have been, best first, when none is sure.
    """

    sure: str | None
    exact: bool = False
    near: tuple[str, ...] = ()


def plain_name(text: str) -> str:
    """Lower case, one space between words, no hyphens, underscores or other marks.

    >>> plain_name(" Clean_and-Tight ")
    'clean and tight'
    """
    return " ".join(re.findall(r"[^\W_]+", text.lower()))


def match_name(typed: str, names: Mapping[str, Iterable[str]]) -> Match:
    """Which id is meant, of a mapping from id to everything it is called (the id included)."""
    text = plain_name(typed)
    called = {name: {plain_name(c) for c in calls if c} - {""} for name, calls in names.items()}
    if not text:
        return Match(None)
    exact = [name for name, calls in called.items() if text in calls]
    if exact:
        return _one(exact, exact=True)
    begun = [name for name, calls in called.items() if any(c.startswith(text) for c in calls)]
    if begun:
        return _one(begun)
    worded = [name for name, calls in called.items() if any(_begins_words(text, c) for c in calls)]
    if worded:
        return _one(worded)
    return _nearest(text, called)


def _begins_words(text: str, call: str) -> bool:
    """Each word typed (two letters or more) begins another word of the name, in any order."""
    words = call.split()
    for typed in sorted(text.split(), key=len, reverse=True):
        fits = [w for w in words if len(typed) > 1 and w.startswith(typed)]
        if not fits:
            return False
        words.remove(fits[0])
    return True


def _one(found: list[str], exact: bool = False) -> Match:
    return Match(found[0], exact) if len(found) == 1 else Match(None, near=tuple(found))


def _nearest(text: str, called: Mapping[str, set[str]]) -> Match:
    if len(text) > LONGEST:
        return Match(None)
    likeness = {name: max((alike(text, c) for c in calls), default=0.0) for name, calls in called.items()}
    ranked = sorted(likeness, key=lambda name: -likeness[name])
    near = [name for name in ranked if likeness[name] >= LIKELY]
    if not near:
        return Match(None)
    if len(ranked) == 1 or likeness[ranked[0]] - likeness[ranked[1]] >= CLEARLY:
        return Match(near[0])
    return Match(None, near=tuple(near[:5]))


def closest(typed: str, names: Mapping[str, Iterable[str]], most: int = 3) -> tuple[str, ...]:
    """The ids whose spelling is nearest, best first; for a hint, not for a decision."""
    text = plain_name(typed)[:LONGEST]
    likeness = {
        name: max((alike(text, plain_name(c)) for c in calls), default=0.0) for name, calls in names.items()
    }
    return tuple(sorted((n for n in likeness if likeness[n] >= POSSIBLE), key=lambda n: -likeness[n])[:most])
