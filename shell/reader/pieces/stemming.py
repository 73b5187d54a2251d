"""Words brought to the one form in which they are compared: spelling, ending, near spelling."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Final

WORD: Final = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*")
_SHORTEST_MENDED: Final = 5  # a shorter word is too near to too many others
_TWO_SLIPS: Final = 8  # from this length on two letters may be wrong


def plain_word(word: str) -> str:
    """Lower case, without apostrophes."""
    return word.lower().replace("'", "")


class Stemmer:
    """Takes endings off and makes spellings one; `endings` are those of one language."""

    def __init__(self, endings: Iterable[str], spellings: Mapping[str, Iterable[str]]) -> None:
        self._endings = tuple(sorted(endings, key=len, reverse=True))
        self._spelt: dict[str, str] = {}
        for word, others in spellings.items():
            for other in others:
                self._spelt[plain_word(other)] = self._cut(plain_word(word))
        self._kept: dict[str, str] = {}

    def stem(self, word: str) -> str:
        """The word without its ending, its spelling the usual one."""
        found = self._kept.get(word)
        if found is None:
            low = plain_word(word)
            cut = self._cut(low)
            found = self._spelt.get(low) or self._spelt.get(cut) or cut
            if len(self._kept) < 5000:
                self._kept[word] = found
        return found

    def _cut(self, low: str) -> str:
        for ending in self._endings:
            left = low[: -len(ending)]
            least = 3 if len(ending) > 1 or ending == "s" else 4
            if low.endswith(ending) and len(left) >= least and not low.endswith("ss"):
                doubled = (
                    len(ending) > 1 and len(left) > 3 and left[-1] == left[-2] and left[-1] not in "lsze"
                )
                return _without_e(left[:-1] if doubled else left)
        return _without_e(low)


def _without_e(word: str) -> str:
    """ "Wiggle" as in "wiggling"."""
    return word[:-1] if len(word) > 3 and word.endswith("e") else word


class NearSpellings:
    """The known word that a misspelt one was meant for, in time that does not grow with the number known.

    Two words are near when taking a letter or two out of each makes them the same
    (symmetric deletion); the first letter has to be right.
    """

    def __init__(self, known: Iterable[str]) -> None:
        self._by_rest: dict[str, set[str]] = {}
        for word in known:
            for rest in _rests(word):
                self._by_rest.setdefault(rest, set()).add(word)

    def nearest(self, word: str) -> str | None:
        """The one known word near this one; None if there is none, or more than one as near."""
        if not _SHORTEST_MENDED - 1 <= len(word) <= 24:
            return None
        found = {known for rest in _rests(word) for known in self._by_rest.get(rest, ())}
        near = sorted((_slips(word, known), known) for known in found if known[0] == word[0]
                      and max(len(word), len(known)) >= _SHORTEST_MENDED)  # fmt: skip
        near = [(slips, known) for slips, known in near if slips <= (2 if len(word) >= _TWO_SLIPS else 1)]
        if not near or (len(near) > 1 and near[0][0] == near[1][0]):
            return None
        return near[0][1]


def _rests(word: str) -> Iterator[str]:
    """The word, and what is left of it without one letter, or two of a long one."""
    if len(word) < _SHORTEST_MENDED - 1:
        return
    yield word
    once = [word[:i] + word[i + 1 :] for i in range(len(word))]
    yield from once
    if _TWO_SLIPS <= len(word) <= 14:
        for rest in once:
            yield from (rest[:i] + rest[i + 1 :] for i in range(len(rest)))


def _slips(a: str, b: str) -> int:
    """Letters wrong, missing, too many or swapped (Damerau-Levenshtein, neighbours only)."""
    before, row = [0] * (len(b) + 1), list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        older, before, row = before, row, [i]
        for j, y in enumerate(b, 1):
            best = min(before[j] + 1, row[-1] + 1, before[j - 1] + (x != y))
            if i > 1 and j > 1 and x == b[j - 2] and a[i - 2] == y:
                best = min(best, older[j - 2] + 1)
            row.append(best)
    return row[-1]
