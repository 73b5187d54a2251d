"""Circles in who needs whom."""

from __future__ import annotations

from collections.abc import Collection, Mapping


def circles(following: Mapping[str, Collection[str]]) -> list[frozenset[str]]:
    """The largest groups of names of which each leads to every other and back to itself.

    >>> circles({"a": ["b"], "b": ["a", "c"], "c": []}) == [frozenset({"a", "b"})]
    True
    """
    reached = {name: _reached(following, name) for name in following}
    found = {
        frozenset(other for other in reached[name] if name in reached.get(other, ())) for name in following
    }
    return sorted((group for group in found if group), key=min)


def _reached(following: Mapping[str, Collection[str]], start: str) -> set[str]:
    """What can be reached from a name; the name itself only round a circle."""
    found: set[str] = set()
    waiting = list(following.get(start, ()))
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting.extend(following.get(name, ()))
    return found
