"""How the chances of an observation's values combine where several faults act at once.

The row of each fault holds as written, background included (the *compound* convention of Henrion 1987 and
Diez 1993).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise

Chances = tuple[float, ...]


def noisy_max(healthy: Chances, rows: Sequence[Chances]) -> Chances:
    """Leaky noisy-MAX, compound form: the distribution when all rows' causes act together.

    Args:
        healthy: background chances over the ordered values.
        rows: for each cause, the chances when it acts alone with the background.

    Example (independent causes of Takikawa & D'Ambrosio's noisy-MAX; numbers checked by
    enumeration). The rows given there are without background, so the leak is folded in first:

    >>> leak = (0.9, 0.08, 0.02)
    >>> a = noisy_max((1.0, 0.0, 0.0), [leak, (0.2, 0.3, 0.5)])
    >>> b = noisy_max((1.0, 0.0, 0.0), [leak, (0.6, 0.3, 0.1)])
    >>> [round(chance, 3) for chance in noisy_max(leak, [a, b])]
    [0.108, 0.333, 0.559]
    """
    background = list(accumulate(healthy))
    background[-1] = 1.0
    cumulative = background
    for row in rows:
        cumulative = [c * r for c, r in zip(cumulative, leak_free_cdf(background, row), strict=True)]
    return tuple(reached - below for reached, below in zip(cumulative, [0.0, *cumulative], strict=False))


def leak_free_cdf(background: Sequence[float], row: Chances) -> list[float]:
    """A cause's cumulative chances with the background divided out: its own distribution.

    A rule that, for some value, reads better than the healthy circuit has no such distribution.
    Its row is then taken as it is, background and all: still a distribution, and never a sound one.
    """
    cumulative = list(accumulate(row))
    cumulative[-1] = 1.0
    ratio = [c / b if b > 0.0 else 0.0 for c, b in zip(cumulative, background, strict=True)]
    rises = all(low <= high * (1.0 + 1e-9) for low, high in pairwise(ratio))
    return ratio if rises and ratio[-1] <= 1.0 + 1e-9 else cumulative


def product_of_odds(healthy: Chances, rows: Sequence[Chances]) -> Chances:
    """For observations that depart both ways: P proportional to ``P_0 * prod(P_f / P_0)``.

    Two faults that push the same way agree more strongly; two that push apart leave both
    ends possible.
    """
    weights = list(healthy)
    for row in rows:
        weights = [w * (c / h) if h > 0.0 else c for w, c, h in zip(weights, row, healthy, strict=True)]
    whole = sum(weights)
    if whole <= 0.0:
        return healthy
    return tuple(weight / whole for weight in weights)
