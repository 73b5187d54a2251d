"""How alike two spellings are: one measure and one set of cutoffs for every text that a person writes."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher, get_close_matches
from typing import Final

SAME: Final = 0.8
"""From here on a word is taken for the other without asking."""
LIKELY: Final = 0.75
"""From here on the other is named ("did you mean"), or taken where it stands out from all others."""
POSSIBLE: Final = 0.65
"""From here on the other may have been meant: a hint, or a reason to ask."""
CLEARLY: Final = 0.08
"""The best must be this much more alike than the next to stand out."""
LONGEST: Final = 80
"""Characters that are compared; no name is longer, and junk must not cost time."""


def alike(a: str, b: str) -> float:
    """How alike two spellings are, 0 to 1; spaces do not count, so "single click" is "singleclick".

    The ratio of matching characters by Ratcliff and Obershelp, as in the standard library's difflib.
    """
    return SequenceMatcher(None, a.replace(" ", ""), b.replace(" ", ""), autojunk=False).ratio()


def nearest(word: str, known: Iterable[str], least: float = LIKELY, most: int = 1) -> list[str]:
    """The known words that are at least so much like the word, best first.

    >>> nearest("positve_cable", ["positive_cable", "negative_cable"])
    ['positive_cable']
    """
    return get_close_matches(word[:LONGEST], list(known), n=most, cutoff=least)
