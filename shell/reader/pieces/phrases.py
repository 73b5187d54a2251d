"""Where phrases stand among the tokens of a text."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from crankpath.shell.reader.pieces.lexicon import Keys
from crankpath.shell.reader.pieces.tokens import Token

Run = tuple[int, int]
"""First token, one past the last."""


@dataclass(frozen=True, slots=True)
class View:
    """Some words of a text: their keys, and the token each stands at."""

    keys: Keys
    at: tuple[int, ...]

    def runs(self, phrases: Collection[Keys]) -> list[Run]:
        """Every place where one of the phrases stands, the longest at each place, as token runs."""
        size = len(self.keys)
        longest: dict[str, int] = {}
        few = size * size < len(phrases)  # then trying every stretch is quicker
        for phrase in () if few else phrases:
            longest[phrase[0]] = max(longest.get(phrase[0], 0), len(phrase))
        found: list[Run] = []
        for first, key in enumerate(self.keys):
            for last in range(size if few else min(first + longest.get(key, 0), size), first, -1):
                if self.keys[first:last] in phrases:
                    found.append((self.at[first], self.at[last - 1] + 1))
                    break
        return found


def view(tokens: Sequence[Token], first: int, last: int, skipped: Iterable[str] = ()) -> View:
    """The words of a stretch, without those skipped; breaks of a clause are passed over."""
    left_out = frozenset(skipped)
    at = tuple(
        i
        for i in range(first, last)
        if tokens[i].kind in ("word", "joining") and tokens[i].key not in left_out
    )
    return View(tuple(tokens[i].key for i in at), at)
