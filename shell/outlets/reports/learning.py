"""What closed cases teach, in lines, and as YAML for a mechanic to look through."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from statistics import fmean
from typing import Any, Final

import yaml

from crankpath.engine.cases.learning import ShareChange, Spoken, Stated
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.knowledge.stated import condition_data
from crankpath.engine.trials.report import tenths
from crankpath.shell.outlets.reports.account import place
from crankpath.shell.outlets.reports.readings import amount, range_words
from crankpath.shell.outlets.reports.words import percent
from crankpath.shell.text.columns import wrapped

LEARNED: Final = "closed_cases"
"""The reference that learned shares cite, so that they are never taken for shares stated before."""
FIRST_LINE: Final = "# Shares of faults as this shop finds them, made by `crankpath kb learn`."
WIDTH: Final = 100
_LEAST: Final = 0.01  # a share that changes by less than this part stays
_MOST: Final = 12
_VALUES: Final = 6  # readings of one rule that are told one by one


def changed(changes: Sequence[ShareChange]) -> list[ShareChange]:
    """The changes worth writing, the largest first."""
    worth = [c for c in changes if abs(c.ratio - 1.0) >= _LEAST]
    return sorted(worth, key=lambda c: -abs(c.shares[-1][1] - c.shares[-1][0]))


def share_lines(changes: Sequence[ShareChange], cases: int, worth: float) -> Iterator[str]:
    """How often each fault was found, and what that makes of its share."""
    yield f"Shares: {cases} confirmed causes, against stated shares worth {worth:g} cases."
    if not cases:
        return
    rows = changed(changes)
    told = [c for c in rows if c.found] or rows
    width = max((len(c.fault.id) for c in told), default=0)
    for c in told:
        before, after = c.shares[-1]
        met = f"found {c.found:3d}, expected {c.expected:5.1f}"
        yield f"  {c.fault.id:{width}}  {met}: share {before:g} -> {after:g}"
    rest = [c for c in rows if not c.found and c not in told]
    if rest:
        low = min(c.ratio for c in rest)
        yield f"  {len(rest)} faults that were not found: their shares times {low:.2f} or more"


def misleading_lines(kb: Knowledge, spoken: Sequence[Spoken]) -> Iterator[str]:
    """Rules that were too sure of something else than was read."""
    if not spoken:
        yield "Rules: none was too sure of a reading that did not come."
        return
    yield f"Rules that misled, {len(spoken)}, the worst first:"
    for one in spoken[:_MOST]:
        key = f"rules/{one.rule}" if one.rule else f"measurements/{one.measurement}"
        who = f"rule {one.rule}" if one.rule else f"the healthy reading of {one.measurement}"
        yield f"* {who}, {place(kb, key, one.origin)}"
        about = f"{one.fault} in {one.measurement}: {len(one.cases)} of {one.readings} read otherwise"
        yield from wrapped(f"{about} ({', '.join(one.cases[:6])})", WIDTH, "    ", "      ")
        said = _said(kb, one)
        yield from wrapped(
            f"expected {said}; too sure by {one.bits:.1f} bits in all", WIDTH, "    ", "      "
        )
    if len(spoken) > _MOST:
        yield f"... and {len(spoken) - _MOST} more"


def _said(kb: Knowledge, one: Spoken) -> str:
    """What a rule expects beside what was read."""
    if one.expected is not None:
        unit = kb.measurements[one.measurement].unit or ""
        read = ", ".join(amount(value, unit) for value in one.values[:_VALUES])
        more = f" and {len(one.values) - _VALUES} more" if len(one.values) > _VALUES else ""
        return f"{range_words(one.expected, unit)}; read {read}{more}"
    values = sorted(range(len(one.bands)), key=lambda i: -(one.predicted[i] + one.read[i]))[:4]
    return ", ".join(f"{one.bands[i]} {percent(one.predicted[i])} (read {one.read[i]:.0%})" for i in values)


def calibration_lines(stated: Sequence[Stated]) -> Iterator[str]:
    """Whether the repair named before the first repair was needed as often as was stated."""
    if not stated:
        yield "Stated chances: no case to compare them with."
        return
    right = sum(s.right for s in stated)
    expected, brier = sum(s.chance for s in stated), fmean((s.chance - s.right) ** 2 for s in stated)
    yield (
        f"Stated chances: of {len(stated)} repairs named likeliest before the first repair, {right} were "
        f"needed; stated were {expected:.1f}. Brier score {brier:.3f}."
    )
    for tenth in tenths([(s.chance, s.right) for s in stated]):
        span = f"{tenth.low:.1f}-{tenth.high:.1f}"
        yield f"  named {span}: {tenth.count:4d}   stated {tenth.stated:.2f}   right {tenth.right:.2f}"
    for s in sorted((s for s in stated if not s.right), key=lambda s: -s.chance)[:_MOST]:
        yield f"  wrong: {s.case}: {s.repair} at {percent(s.chance)}; needed {' and '.join(s.needed)}"


def proposal(
    changes: Sequence[ShareChange], cases: int, worth: float, taken: Mapping[str, str] | None = None
) -> str:
    """A knowledge file with the new shares, each with what it rests on; "" if none changes.

    Args:
        changes: of all faults.
        cases: confirmed causes that they rest on.
        worth: cases that the stated shares were taken for.
        taken: fault -> where it stands, for faults that the same folder holds already.
    """
    taken = taken or {}
    rows = changed(changes)
    if not rows:
        return ""
    lines = [
        FIRST_LINE,
        f"# {cases} confirmed causes; the shares stated before are worth {worth:g} cases.",
        "# Look through it, and take out what you do not believe; `crankpath kb diff` shows what it does.",
    ]
    here = [c for c in rows if c.fault.id not in taken]
    for c in rows:
        if c.fault.id in taken:
            news = ", ".join(f"{before:g} -> {after:g}" for before, after in c.shares)
            lines.append(f"# {c.fault.id} stands in {taken[c.fault.id]}: change its share there, {news}.")
    if not here:
        return "\n".join(lines) + "\n"
    note = f"{cases} confirmed causes; the shares stated before were taken for {worth:g} cases"
    reference = {"title": "closed cases of this shop", "standing": "computed", "note": note}
    lines += ["references:", f"  {LEARNED}: {_flow(reference)}", "faults:"]
    for c in here:
        lines += [f"  {c.fault.id}: # found {c.found}, expected {c.expected:.1f}", f"    like: {c.fault.id}"]
        lines.append("    share:")
        for share, (before, after) in zip(c.fault.shares, c.shares, strict=True):
            data: dict[str, Any] = {} if share.given is None else {"given": condition_data(share.given)}
            sources = [LEARNED, *(s for s in share.sources if s != LEARNED)]
            lines.append(f"      - {_flow(data | {'chance': after, 'source': sources})} # was {before:g}")
    return "\n".join(lines) + "\n"


def _flow(data: dict[str, Any]) -> str:
    text: str = yaml.safe_dump(data, default_flow_style=True, sort_keys=False, width=10_000)
    return text.strip()
