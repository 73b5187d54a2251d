"""Which words of a sentence belong to which of its figures.

Names and figures come in any order ("pos .35", "310 on neg", "9.8 cranking"). The words
between two figures may belong to either; of all ways to share them out, the one is taken
that fits the sentence best as a whole, by dynamic programming over its figures.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from typing import Final

from crankpath.shell.reader.naming import Naming
from crankpath.shell.reader.pieces.lexicon import Keys, Lexicon
from crankpath.shell.reader.pieces.phrases import Run
from crankpath.shell.reader.pieces.tokens import Figure, Token

# Marks against a way of sharing out; only their order and distance matter.
_BEHIND: Final = 0.25  # a name behind its figure, no word between
_BREAK: Final = 0.5  # a comma between name and figure
_BREAK_BEHIND: Final = 1.6
_TALK: Final = 0.12  # a word of no meaning between
_MOST_TALK: Final = 0.7
_NEXT: Final = 0.9  # a name right before the next figure, taken by one that has a name before it
_MOST: Final = 3  # stretches of words that one figure takes from one side


@dataclass(frozen=True, slots=True)
class Stretch:
    """Words that name something, with no break between: their tokens and keys."""

    first: int
    last: int
    keys: Keys


@dataclass(frozen=True, slots=True)
class Linked:
    """A figure with the words that go with it; context: words that head the whole sentence."""

    at: int
    figure: Figure
    keys: Keys
    context: Keys
    runs: tuple[Run, ...]


def linked(
    tokens: Sequence[Token], first: int, last: int, figures: Sequence[tuple[int, Figure]], naming: Naming
) -> list[Linked]:
    """Each figure of a sentence with its words, in order."""
    stretches = [
        s for s in stretches_in(tokens, first, last, naming.lexicon) if not _passed(tokens, s, naming)
    ]
    stretches = list(_leads_joined(tokens, stretches, naming.lexicon))
    header = _header(tokens, stretches, figures)
    context = header.keys if header else ()
    rest = [s for s in stretches if s is not header]
    rows = _rows(tokens, rest, figures)
    if rows:
        return [
            Linked(at, f, s.keys, context, ((s.first, s.last),))
            for (at, f), s in zip(figures, rows, strict=True)
        ]
    gaps = _gaps(rest, figures)
    shares = _shared(tokens, gaps, figures, naming, context)
    made = []
    for (at, figure), runs in zip(figures, shares, strict=True):
        keys = tuple(key for s in runs for key in s.keys)
        made.append(Linked(at, figure, keys, context, tuple((s.first, s.last) for s in runs)))
    return made


def stretches_in(tokens: Sequence[Token], first: int, last: int, lexicon: Lexicon) -> Iterator[Stretch]:
    """The names in a stretch of tokens, each as long as it can be."""
    at = first
    quiet = lexicon.single("filler") | lexicon.single("prepositions")
    joining = lexicon.single("joining")
    while at < last:
        if not _names(tokens[at], lexicon) or tokens[at].key in lexicon.single("to"):
            at += 1
            continue
        keys, end, then = [tokens[at].key], at + 1, at + 1
        while then < last and tokens[then].kind == "word" and tokens[then].key not in joining:
            if _names(tokens[then], lexicon):
                keys.append(tokens[then].key)
                end = then + 1
            elif tokens[then].key not in quiet:
                break
            then += 1
        while keys and keys[-1] in lexicon.single("to"):
            keys.pop()
        if keys:
            yield Stretch(at, end, tuple(keys))
        at = end


def _leads_joined(
    tokens: Sequence[Token], stretches: Sequence[Stretch], lexicon: Lexicon
) -> Iterator[Stretch]:
    """ "Red on the post, black on the stud", "between post and stud": the two places of one reading."""
    waiting: Stretch | None = None
    second = lexicon.single("second_lead")
    for stretch in stretches:
        before = range(max(stretch.first - 3, waiting.last if waiting else 0), stretch.first)
        keys = {tokens[at].key for at in before}
        if waiting and keys & second:
            to = min(lexicon.single("to"), default="")
            yield Stretch(waiting.first, stretch.last, (*waiting.keys, to, *stretch.keys))
            waiting = None
            continue
        if waiting:
            yield waiting
        waiting = stretch if keys & lexicon.single("first_lead") else None
        second = lexicon.single("second_lead")
        if keys & lexicon.single("between"):
            second |= lexicon.single("with")
        if waiting is None:
            yield stretch
    if waiting:
        yield waiting


def _passed(tokens: Sequence[Token], stretch: Stretch, naming: Naming) -> bool:
    """ "After charging 12.7", "not the strap": what went before a reading, or is not it, is no name of it."""
    back = [
        t
        for t in tokens[max(stretch.first - 2, 0) : stretch.first]
        if t.key not in naming.lexicon.single("filler")
    ]
    before = back[-1] if back else None
    if before and before.kind == "word" and before.key in naming.lexicon.single("negates"):
        return True
    times = naming.lexicon.single("turn") - naming.lexicon.single("now")
    return bool(naming.asked and before and before.key in times)


def _names(token: Token, lexicon: Lexicon) -> bool:
    return token.kind == "word" and token.key in lexicon.trade


def _header(
    tokens: Sequence[Token], stretches: Sequence[Stretch], figures: Sequence[tuple[int, Figure]]
) -> Stretch | None:
    """ "Neg: post 15 mV, cable 60 mV": the word before the colon goes with every figure behind it."""
    if len(stretches) < 2 or not figures:
        return None
    head, behind = stretches[0], stretches[1]
    colon = head.last < len(tokens) and tokens[head.last].text == ":"
    return head if colon and behind.first == head.last + 1 and behind.last <= figures[0][0] else None


def _rows(
    tokens: Sequence[Token], stretches: Sequence[Stretch], figures: Sequence[tuple[int, Figure]]
) -> list[Stretch]:
    """The names of "pos/neg .35/.24": as many names in a row as figures in a row behind them."""
    if len(figures) < 2 or len(stretches) != len(figures) or stretches[-1].last > figures[0][0]:
        return []
    apart = [(a.last, b.first) for a, b in pairwise(stretches)]
    apart += [(a + 1, b) for (a, _), (b, _) in pairwise(figures)]
    breaks = all(b - a == 1 and (tokens[a].kind == "soft" or len(tokens[a].text) <= 3) for a, b in apart)
    return list(stretches) if breaks else []


def _gaps(stretches: Sequence[Stretch], figures: Sequence[tuple[int, Figure]]) -> list[list[Stretch]]:
    """The stretches before the first figure, between each two, and behind the last."""
    gaps: list[list[Stretch]] = [[] for _ in range(len(figures) + 1)]
    at = 0
    for stretch in stretches:
        while at < len(figures) and figures[at][0] < stretch.first:
            at += 1
        gaps[at].append(stretch)
    return gaps


def _shared(
    tokens: Sequence[Token],
    gaps: list[list[Stretch]],
    figures: Sequence[tuple[int, Figure]],
    naming: Naming,
    context: Keys,
) -> list[list[Stretch]]:
    """The stretches of each figure: what is taken from before it and from behind it, best as a whole."""
    # ways: how many stretches behind the last figure it took -> (mark, stretches of each figure so far)
    ways: dict[int, tuple[float, tuple[tuple[Stretch, ...], ...]]] = {0: (0.0, ())}
    for i, (at, figure) in enumerate(figures):
        before, behind = gaps[i], gaps[i + 1]
        after: dict[int, tuple[float, tuple[tuple[Stretch, ...], ...]]] = {}
        for taken, (mark, so_far) in ways.items():
            room = min(len(before) - taken, _MOST)
            for left, right in product(range(room + 1), range(min(len(behind), _MOST) + 1)):
                own = (*before[len(before) - left :], *behind[:right])
                keys = tuple(key for s in own for key in s.keys)
                lost = sum(naming.lost(s.keys) for s in before[taken : len(before) - left])
                total = mark + naming.best(keys, figure, context) - lost
                total -= sum(_cost(tokens, s, at, naming.lexicon) for s in own)
                if left and right and i + 1 < len(figures):
                    total -= _NEXT * _of_next(tokens, behind[right - 1], figures[i + 1][0], naming.lexicon)
                if right not in after or total > after[right][0]:
                    after[right] = (total, (*so_far, own))
        ways = after
    for right, (mark, so_far) in ways.items():
        ways[right] = (mark - sum(naming.lost(s.keys) for s in gaps[-1][right:]), so_far)
    best = max(ways.values(), key=lambda way: way[0])
    return [list(own) for own in best[1]]


def _of_next(tokens: Sequence[Token], stretch: Stretch, at: int, lexicon: Lexicon) -> bool:
    """ "neg 310 mV crank 9.4": a whole name with nothing between it and the next figure."""
    quiet = lexicon.single("filler") | lexicon.single("prepositions")
    between = tokens[stretch.last : at]
    close = all(t.text in ":=" or (t.kind == "word" and t.key in quiet) for t in between)
    return close and bool(lexicon.called(stretch.keys))


def _cost(tokens: Sequence[Token], stretch: Stretch, at: int, lexicon: Lexicon) -> float:
    """The cost of reaching from a figure over what stands between it and some words."""
    behind = stretch.first > at
    between = tokens[at + 1 : stretch.first] if behind else tokens[stretch.last : at]
    quiet = lexicon.single("filler") | lexicon.single("prepositions")
    breaks = any(
        t.text not in ":=(" and (t.kind == "soft" or t.key in lexicon.single("joining")) for t in between
    )
    talk = sum(t.kind == "word" and t.key not in quiet for t in between)
    cost = min(_TALK * talk, _MOST_TALK)
    if not behind:
        return cost + _BREAK * breaks
    joined = bool(between) and between[-1].key in lexicon.single("prepositions")
    joined = joined or any(t.key in lexicon.single("prepositions") for t in between[-2:])
    return cost + _BREAK_BEHIND * breaks + (0.05 if joined else _BEHIND)
