"""Lines about what a change of the knowledge base does."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from statistics import fmean
from typing import Any, Final

from crankpath.engine.knowledge.entry_data import yaml_words
from crankpath.engine.knowledge.records import Origin
from crankpath.engine.trials.difference import (
    CaseChange,
    Conclusion,
    ConclusionChange,
    EntryChange,
    MachineChange,
    worst_cases,
    worst_machines,
)
from crankpath.engine.trials.trial import TrialOutcome
from crankpath.shell.outlets.reports.knowledge import shown_path
from crankpath.shell.outlets.reports.words import percent
from crankpath.shell.text.columns import wrapped

WIDTH: Final = 100
_SIGNS: Final = {"added": "+", "changed": "~", "retired": "-"}
_MOST: Final = 20
_LONGEST: Final = 300


def entry_change_lines(changes: Sequence[EntryChange]) -> Iterator[str]:
    """Entries that are not as they were, field by field."""
    if not changes:
        yield "Entries: none differs."
        return
    count = {sort: sum(c.sort == sort for c in changes) for sort in _SIGNS}
    yield f"Entries: {count['added']} added, {count['changed']} changed, {count['retired']} retired."
    for change in changes:
        section, _, id_ = change.key.partition("/")
        where = f"  {place}" if (place := _place(change.after or change.before)) else ""
        yield f"{_SIGNS[change.sort]} {section} {id_}{where}"
        if change.sort == "retired":
            continue
        for field in change.fields:
            for path, old, new in _parts(field.field, field.before, field.after):
                said = _told(new) if change.sort == "added" else f"{_told(old)} -> {_told(new)}"
                yield from wrapped(f"{path}: {said}", WIDTH, "    ", "      ")


def _place(place: tuple[str, Origin] | None) -> str:
    if place is None or not place[1].file:
        return ""
    folder, origin = place
    return f"{shown_path(folder, origin.file)}:{origin.line}"


def _parts(path: str, old: Any, new: Any) -> Iterator[tuple[str, Any, Any]]:
    """What differs inside two values, as deep as they have the same shape."""
    if isinstance(old, dict) and isinstance(new, dict):
        for key in dict.fromkeys([*old, *new]):
            if old.get(key) != new.get(key):
                yield from _parts(f"{path}.{key}", old.get(key), new.get(key))
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new) and _deep(old + new):
        for number, (a, b) in enumerate(zip(old, new, strict=True), 1):
            if a != b:
                yield from _parts(f"{path}[{number}]", a, b)
    else:
        yield path, old, new


def _deep(values: list[Any]) -> bool:
    return all(isinstance(value, dict) for value in values)


def _told(value: Any) -> str:
    if value is None:
        return "nothing"
    text = yaml_words(value)
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 3]}..."


def case_change_lines(changes: Sequence[CaseChange]) -> Iterator[str]:
    """Cases that come out otherwise, worst first."""
    worst = worst_cases(changes)
    asked = [c for c in changes if c.held[0] is not None]
    yield f"Cases: {len(worst)} of {len(changes)} come out differently."
    if asked:
        before, after = (sum(bool(c.held[n]) for c in asked) for n in (0, 1))
        moved = f"of {len(asked)} in which any chance moves"
        yield f"  {moved}, {before} came out as required before, {after} after"
    for change in worst:
        about = f": {change.about}" if change.about else ""
        held = ""
        if change.held[0] != change.held[1]:
            held = "  NO LONGER AS REQUIRED" if change.held[0] else "  now as required"
        yield f"* {change.name}{about}{held}"
        yield from _shift_lines(change.shift)


def _shift_lines(shift: ConclusionChange) -> Iterator[str]:
    before, after = shift.before, shift.after
    if "trouble" in shift.what:
        yield f"    cannot be used: {before.trouble or 'no trouble'} -> {after.trouble or 'no trouble'}"
    if "verdict" in shift.what:
        yield f"    verdict: {_verdict(before)} -> {_verdict(after)}"
    if "ranking" in shift.what:
        yield f"    ranking: {_ranking(before)}"
        yield f"          -> {_ranking(after)}"
    if "next" in shift.what:
        yield f"    next: {before.next or 'none'} -> {after.next or 'none'}"


def _verdict(one: Conclusion) -> str:
    verdict = one.verdict
    if verdict is None:
        return "none"
    what = verdict.repair if verdict.action == "repair" else verdict.measurement
    return " ".join(
        part for part in (verdict.action, what or "", f"({percent(verdict.probability)})") if part
    )


def _ranking(one: Conclusion) -> str:
    return ", ".join(f"{name} {percent(chance)}" for name, chance in one.ranking[:3]) or "none"


def machine_change_lines(changes: Sequence[MachineChange], seed: int) -> Iterator[str]:
    """Drawn machines that are worked through otherwise, worst first, and how good both are."""
    worst = worst_machines(changes)
    yield f"Machines: {len(worst)} of {len(changes)} drawn (seed {seed}) are worked through differently."
    both = [(c.before, c.after) for c in changes if c.before is not None and c.after is not None]
    if both:
        for what, outcomes in (("before", [b for b, _ in both]), ("after", [a for _, a in both])):
            yield f"  {what:6}  {_figures([o for o in outcomes if o is not None])}"
    for change in worst[:_MOST]:
        yield f"* machine {change.number} ({change.sort}): {', '.join(change.truth)}"
        if change.trouble:
            yield f"    cannot be worked through under both: {change.trouble}"
            continue
        yield f"    before: {_went(change.before)}"
        yield f"    after:  {_went(change.after)}"
        told = change.last if change.last.what else change.first
        when = "before the first repair" if change.last.what else "after the complaint"
        if told.what:
            yield f"    {when}:"
            yield from (f"  {line}" for line in _shift_lines(told))
    if len(worst) > _MOST:
        yield f"... and {len(worst) - _MOST} more"


def _figures(outcomes: Sequence[TrialOutcome]) -> str:
    right = fmean(o.first_right for o in outcomes)
    minutes, before = fmean(o.minutes for o in outcomes), fmean(o.minutes_before for o in outcomes)
    return f"first repair right {right:.3f}, minutes before the cure {before:.1f}, in all {minutes:.1f}"


def _went(outcome: TrialOutcome | None) -> str:
    if outcome is None:
        return "nothing"
    how = "right" if outcome.first_right else "wrong"
    steps = f"{len(outcome.readings)} readings, {outcome.minutes_before:.0f} min"
    return f"first repair {outcome.first_repair or 'none'} ({how}), {steps}"


def difference_lines(
    entries: Sequence[EntryChange], cases: Sequence[CaseChange], machines: Sequence[MachineChange], seed: int
) -> Iterable[str]:
    """The whole report."""
    yield from entry_change_lines(entries)
    yield ""
    yield from case_change_lines(cases)
    if machines:
        yield ""
        yield from machine_change_lines(machines, seed)
