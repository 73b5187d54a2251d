"""A safeguard that a shop's folder takes out.

What: a folder retires a caution, a hazard or a fact rule that forbids or warns of an act; or it writes a
fact rule or a hazard of a shipped id without what the shipped one forbids, ends with or cautions of.

Why: it goes without a word, and the next reader of a sheet does not know that the warning was there.

Bad::

    retire: {facts: [locked_engine_is_not_cranked]}

Good::

    facts: {locked_engine_is_not_cranked: {like: locked_engine_is_not_cranked, warn: "..."}}
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge

_HELD = {"facts": ("then", "caution", "unsafe"), "hazards": ("forbidden_by", "cautions", "counts_as")}


def check(survey: Survey) -> Iterator[Problem]:
    """What was retired, at its place under 'retire'; then what was replaced by less."""
    kb = survey.kb
    stops = {name for hazard in kb.hazards.values() for name in hazard.forbidden_by}
    for key, (raw, origin, _) in kb.retired.items():
        section, _, id_ = key.partition("/")
        if section in ("cautions", "hazards") or (section == "facts" and _guards(raw.data, stops)):
            message = f"{section} {id_} keeps people from harm, and is retired here"
            advice = "Take it out of 'retire'; to change its words, write an entry that is 'like' it"
            yield problem(key, origin, message, advice)
    for key, below in kb.replaced.items():
        yield from _lost(kb, key, below.data, stops)


def _guards(data: Any, stops: set[str]) -> bool:
    """True for a fact rule that stops or cautions of something."""
    return isinstance(data, Mapping) and bool(
        data.get("caution") or data.get("unsafe") or stops & set(data.get("then") or ())
    )


def _lost(kb: Knowledge, key: str, below: Any, stops: set[str]) -> Iterator[Problem]:
    section, _, id_ = key.partition("/")
    now = kb.written.get(key)
    if (
        section not in _HELD
        or now is None
        or not isinstance(below, Mapping)
        or not isinstance(now.data, Mapping)
    ):
        return
    if section == "facts" and not _guards(below, stops):
        return
    for field in _HELD[section]:
        lost = sorted(_names(below.get(field)) - _names(now.data.get(field)))
        if lost:
            message = (
                f"{section} {id_} takes the place of the shipped one and no longer has {lost[0]} in '{field}'"
            )
            yield problem(key, now.key, message, f"Add {lost[0]} to '{field}', or write 'like: {id_}'")
            return


def _names(value: Any) -> set[str]:
    if isinstance(value, Mapping):
        return set(value) if "kinds" not in value else set(value["kinds"])
    return {value} if isinstance(value, str) else set(value or ())
