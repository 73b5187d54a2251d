"""Rules beside solved machines, as lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.trials.physics_check import Comparison

_INDENT = "      "


def physics_lines(kb: Knowledge, worst: Sequence[Comparison], compared: int) -> Iterator[str]:
    """What the rules expect beside what was seen, in the order given, each with its place.

    Args:
        kb: for what a rule says of itself.
        worst: the comparisons to tell.
        compared: how many there were in all.
    """
    yield f"{compared} comparisons of a fault with a reading; the {len(worst)} that mislead most:"
    for found in worst:
        yield ""
        doing = f", {found.complaint.replace('_', ' ')} in start" if found.complaint else ""
        yield (
            f"{found.bits:5.2f} bits  {found.fault} ({found.degree}) in {found.measurement}, "
            f"{found.machines} machines{doing}"
        )
        yield f"{_INDENT}{found.rule or 'healthy reading'}  {found.origin}"
        yield f"{_INDENT}{'':9}{'  '.join(f'{band:>9}' for band in found.bands)}"
        yield f"{_INDENT}seen     {_percent(found.seen)}"
        yield f"{_INDENT}expected {_percent(found.expected)}"
        rule = kb.rules.get(found.rule) if found.rule else None
        if rule is not None and rule.misleads:
            yield f"{_INDENT}{rule.misleads}"


def _percent(shares: Sequence[float]) -> str:
    return "  ".join(f"{share:>9.0%}" for share in shares)
