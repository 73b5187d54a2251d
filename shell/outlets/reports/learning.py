"""What closed cases teach, in lines, and as YAML for a mechanic to look through."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from statistics import fmean
from typing import Any, Final

import yaml

from crankpath.engine.knowledge.entry_data import condition_data, range_data, yaml_words
from crankpath.engine.knowledge.records import Knowledge, Range
from crankpath.engine.learning.calibration import RuleRecord, StatedChance
from crankpath.engine.learning.proposals import Reads, RuleProposal, degrees_concerned
from crankpath.engine.learning.shares import ShareChange
from crankpath.engine.trials.report import calibration_bins
from crankpath.shell.outlets.reports.explanation import place
from crankpath.shell.outlets.reports.readings import amount, range_words
from crankpath.shell.outlets.reports.words import capital, percent
from crankpath.shell.text.columns import wrapped

LEARNED: Final = "closed_cases"
"""The reference that learned entries cite, so that they are never taken for what was stated before."""
WIDTH: Final = 100
_LEAST: Final = 0.01  # a share that changes by less than this part stays
_MOST: Final = 12
_VALUES: Final = 6  # readings of one rule that are told one by one
_CHANCES: Final = 3  # chances of one rule of which it is told how sure they are
_NAMED: Final = 5  # cases that are named in the file
_LISTED: Final = 40  # cases that are listed on a screen


def changes_worth_writing(changes: Sequence[ShareChange]) -> list[ShareChange]:
    """The changes worth writing, the largest first."""
    worth = [c for c in changes if abs(c.ratio - 1.0) >= _LEAST]
    return sorted(worth, key=lambda c: -abs(c.shares[-1][1] - c.shares[-1][0]))


def share_lines(changes: Sequence[ShareChange], cases: float, worth: float) -> Iterator[str]:
    """How often each fault was found, and what that makes of its share."""
    yield f"Shares: {cases:.0f} confirmed causes, against stated shares worth {worth:g} cases."
    if not cases:
        return
    rows = changes_worth_writing(changes)
    told = [c for c in rows if c.found] or rows
    width = max((len(c.fault.id) for c in told), default=0)
    for c in told:
        before, after = c.shares[-1]
        found = f"{c.found:.1f}".removesuffix(".0")
        met = f"found {found:>5}, expected {c.expected:5.1f}"
        yield f"  {c.fault.id:{width}}  {met}: share {before:g} -> {after:g}"
    rest = [c for c in rows if not c.found and c not in told]
    if rest:
        low = min(c.ratio for c in rest)
        yield f"  {len(rest)} faults that were not found: their shares times {low:.2f} or more"


def misleading_lines(kb: Knowledge, spoken: Sequence[RuleRecord]) -> Iterator[str]:
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


def _said(kb: Knowledge, one: RuleRecord) -> str:
    """What a rule expects beside what was read."""
    if one.expected is not None:
        unit = kb.measurements[one.measurement].unit or ""
        read = ", ".join(amount(value, unit) for value in one.values[:_VALUES])
        more = f" and {len(one.values) - _VALUES} more" if len(one.values) > _VALUES else ""
        return f"{range_words(one.expected, unit)}; read {read}{more}"
    values = sorted(range(len(one.bands)), key=lambda i: -(one.predicted[i] + one.read[i]))[:4]
    return ", ".join(f"{one.bands[i]} {percent(one.predicted[i])} (read {one.read[i]:.0%})" for i in values)


def calibration_lines(stated: Sequence[StatedChance]) -> Iterator[str]:
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
    for tenth in calibration_bins([(s.chance, s.right) for s in stated]):
        span = f"{tenth.low:.1f}-{tenth.high:.1f}"
        yield f"  named {span}: {tenth.count:4d}   stated {tenth.stated:.2f}   right {tenth.right:.2f}"
    for s in sorted((s for s in stated if not s.right), key=lambda s: -s.chance)[:_MOST]:
        yield f"  wrong: {s.case}: {s.repair} at {percent(s.chance)}; needed {' and '.join(s.needed)}"


def not_looked_at(cases: int, read: int) -> str:
    """How many cases were read in full, where that is not all."""
    return (
        f"Of {cases} closed cases {read} were read in full, the latest and some of every cause; "
        "of the others only the cause counts."
    )


def reading_lines(found: Sequence[RuleProposal], worth: float) -> Iterator[str]:
    """The rules that should say something else, the first ones in words."""
    if not found:
        yield f"Readings: no rule should say something else (what it says is worth {worth:g} cases)."
        return
    yield f"Readings: {len(found)} proposals what rules should say instead, what foretells most better first:"
    for one in found[:_MOST]:
        yield from proposal_lines(one)
    if len(found) > _MOST:
        yield f"... and {len(found) - _MOST} more; --out FILE writes them all"


def proposal_lines(one: RuleProposal) -> Iterator[str]:
    """What a rule says, what it should say, and what that rests on."""
    of = f" of {one.fault}" if one.fault else ""
    said = f"* {one.rule}{of}: {_reads(one.old)} -> {_reads(one.new)}"
    yield from wrapped(said, WIDTH, "", "    ")
    yield from wrapped(_behind(one), WIDTH, "    ", "      ")


def _behind(one: RuleProposal) -> str:
    """What a proposal rests on, and how sure it is."""
    by = f"{one.weight:.0f} cases; foretells a reading better by {one.bits:.2f} bits"
    sure = []
    if one.middle is not None:
        before, low, high = (f"{value:.3g}" for value in one.middle)
        unit = one.measurement.unit or ""
        sure.append(
            f"its middle lies from {low} to {high} of what it was"
            if one.middle[0] == 1.0
            else f"its middle lies from {low} to {high} {unit}, was {before}"
        )
    told = sorted(one.chances.items(), key=lambda pair: -pair[1][1])[:_CHANCES]
    sure += [f"{value} from {low:.2g} to {high:.2g}" for value, (low, high) in told]
    return f"{by}. {capital('; '.join(sure))} (nine chances in ten)."


def _reads(reads: Reads) -> str:
    return yaml_words(range_data(reads) if isinstance(reads, Range) else reads)


def case_lines(one: RuleProposal) -> Iterator[str]:
    """The cases behind a proposal, with what was read in each."""
    unit = one.measurement.unit or ""
    for name, measurement, value in one.cases[:_LISTED]:
        yield f"  {name}: {measurement} {value if isinstance(value, str) else amount(value, unit)}"
    if len(one.cases) > _LISTED:
        yield f"  and {len(one.cases) - _LISTED} more"


def reading_entry(kb: Knowledge, one: RuleProposal) -> str:
    """The rule as a shop overrides it, with what it rests on."""
    named = ", ".join(line.strip() for line in islice(case_lines(one), _NAMED))
    more = f" and {len(one.cases) - _NAMED} more" if len(one.cases) > _NAMED else ""
    origin = kb.rules[one.rule].origin
    notes = (
        f"was {_reads(one.old)}, {origin.file}:{origin.line}",
        _behind(one),
        f"read in {named}{more}" if named else "",
    )
    reads = range_data(one.new) if isinstance(one.new, Range) else dict(one.new)
    about: dict[str, Any] = {"faults": [one.fault]} if one.id != one.rule else {}
    if degrees_concerned(kb, one) != kb.rules[one.rule].degrees:
        about["degrees"] = list(degrees_concerned(kb, one))
    entry = {"like": one.rule, **about, "reads": reads, "source": {"add": [LEARNED]}}
    return _entry(one.id, notes, entry)


def share_entries(changes: Sequence[ShareChange]) -> dict[str, str]:
    """Fault -> its entry with the new shares; those that hardly change are left out."""
    found = {}
    for c in changes_worth_writing(changes):
        shares = []
        for share, (_, after) in zip(c.fault.shares, c.shares, strict=True):
            data: dict[str, Any] = {} if share.given is None else {"given": condition_data(share.given)}
            sources = [LEARNED, *(s for s in share.sources if s != LEARNED)]
            shares.append(data | {"chance": after, "source": sources})
        was = ", ".join(f"{before:g}" for before, _ in c.shares)
        notes = (f"found {c.found:.3g}, expected {c.expected:.1f}; was {was}",)
        found[c.fault.id] = _entry(c.fault.id, notes, {"like": c.fault.id, "share": shares})
    return found


def _entry(id_: str, notes: Sequence[str], fields: Mapping[str, Any]) -> str:
    lines = [f"  {id_}:"]
    for note in filter(None, notes):
        lines += wrapped(note, WIDTH, "    # ", "    #   ")
    for key, value in fields.items():
        if isinstance(value, list):
            lines += [f"    {key}:", *(f"      - {_flow(one)}" for one in value)]
        else:
            lines.append(f"    {key}: {_flow(value)}")
    return "\n".join(lines) + "\n"


def _flow(data: Any) -> str:
    text: str = yaml.safe_dump(data, default_flow_style=True, sort_keys=False, width=10_000)
    return text.strip().removesuffix("...").strip()
