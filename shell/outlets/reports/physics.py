"""Rules beside solved machines, as lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.trials.physics_check import Comparison
from crankpath.shell.outlets.reports.readings import whole_words

_INDENT = "      "
_WORTH_WORDS = 0.01  # share


def physics_lines(
    kb: Knowledge, worst: Sequence[Comparison], compared: int, lacking: Sequence[str] = ()
) -> Iterator[str]:
    """What the rules expect beside what was read, in the order given, each with its place.

    Args:
        kb: for what a rule says of itself.
        worst: the comparisons to tell.
        compared: how many there were in all.
        lacking: what the solved machine does not have, "section/id".
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
        if found.read is not None and found.rule_reads is not None:
            yield from _quantile_lines(kb.measurements[found.measurement].unit or "", found)
        else:
            yield f"{_INDENT}{'':9}{'  '.join(f'{band:>9}' for band in found.bands)}"
            yield f"{_INDENT}seen     {_percent(found.seen)}"
            yield f"{_INDENT}expected {_percent(found.expected)}"
        rule = kb.rules.get(found.rule) if found.rule else None
        if rule is not None and rule.misleads:
            yield f"{_INDENT}{rule.misleads}"
    if lacking:
        yield ""
        yield "Not compared, because the solved machine does not have them:"
        yield from (f"  {name.replace('/', ' ', 1)}" for name in lacking)


def _quantile_lines(unit: str, found: Comparison) -> Iterator[str]:
    """5, 50 and 95 % in the unit, and how often something else is read."""
    assert found.read is not None
    assert found.rule_reads is not None
    said = (("read", found.read), ("expected", found.rule_reads))
    names = ("nothing", "whole", "sound")
    shown = [name for name in names if max(getattr(one, name) for _, one in said) >= _WORTH_WORDS]
    titles = {"nothing": "nothing", "whole": whole_words(unit), "sound": "as sound"}
    heads = ["5 %", "50 %", "95 %", *(titles[name] for name in shown)]
    widths = [max(len(head), 9) for head in heads]
    columns = "  ".join(f"{head:>{width}}" for head, width in zip(heads, widths, strict=True))
    yield f"{_INDENT}{f'in {unit}':9}{columns}"
    for name, one in said:
        ends = ["-" if end is None else f"{end:.3g}" for end in (one.low, one.middle, one.high)]
        shares = [f"{getattr(one, n):.0%}" for n in shown]
        row = "  ".join(f"{c:>{w}}" for c, w in zip([*ends, *shares], widths, strict=True))
        yield f"{_INDENT}{name:9}{row}"


def _percent(shares: Sequence[float]) -> str:
    return "  ".join(f"{share:>9.0%}" for share in shares)
