"""The records of evidence rules, fact rules and balances."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from crankpath.engine.knowledge.building.entry import Entry
from crankpath.engine.knowledge.building.measurements import range_of
from crankpath.engine.knowledge.chance_words import ChanceError, spread
from crankpath.engine.knowledge.condition import All
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.problems import near, quoted
from crankpath.engine.knowledge.records import Balance, EvidenceRule, FactRule, Range, Selector

WHERES: Final = ("across", "clear_of", "any")
SORTS: Final = ("sum", "not_above")


def evidence_rule(entry: Entry) -> EvidenceRule:
    """What measurements read while a fault is there."""
    nothing = Selector((), ())
    faults = _selected(entry, "faults", "faults") or nothing
    measurements = _selected(entry, "measurements", "measurements") or nothing
    where = entry.word("where", WHERES, "any")
    masks = entry.number("masks", 0.0, least=0)
    return EvidenceRule(
        id=entry.id,
        faults=faults,
        degrees=_degrees(entry, faults),
        measurements=measurements,
        where=where,
        given=entry.condition("given"),
        unless=entry.condition("unless"),
        reads=_reads(entry, measurements, where),
        masks=int(masks),
        because=entry.text("because"),
        misleads=entry.text("misleads", ""),
        sources=entry.refs("source", "references"),
        origin=entry.at,
    )


def _selected(entry: Entry, key: str, section: str) -> Selector | None:
    kinds = entry.names.fault_kinds if section == "faults" else entry.names.measurement_kinds
    if not entry.has(key):
        entry.wrong(
            None,
            f"does not say which {section} it speaks of",
            f"Add '{key}: [id]' or '{key}: {{kinds: [...]}}'",
        )
    return entry.selector(key, section, kinds)


def _degrees(entry: Entry, faults: Selector) -> tuple[str, ...]:
    degrees = entry.words("degrees")
    known: dict[str, None] = {}
    for id_, raw in entry.names.sections["faults"].items():
        data = raw.data if isinstance(raw.data, dict) else {}
        if id_ in faults.ids or set(faults.kinds) & set(data.get("kinds") or ()):
            written = data.get("degrees")
            known.update(dict.fromkeys(written if isinstance(written, dict) and written else ("present",)))
    for index, degree in enumerate(degrees):
        if known and degree not in known:
            message = f"{quoted(degree)} is no degree of these faults"
            entry.wrong("degrees", message, near(degree, known), index, check="unknown_id")
    return degrees


def _reads(entry: Entry, measurements: Selector, where: str) -> Mapping[str, float] | Range:
    """A range, for meter readings; value -> chance, for observations that must all have these values.

    With a kind and a place the circuit decides which measurements are meant, so here one
    fitting measurement of the kind is enough.
    """
    if not entry.has("reads"):
        entry.wrong(None, "does not say what is read", "Add 'reads: {between: [low, high]}'")
    if _metered(entry, measurements):
        return range_of(entry, "reads") if isinstance(entry.raw("reads"), dict) else Range(None, None)
    written = entry.mapping("reads")
    numbers = {band: entry.chance_at("reads", value, band) for band, value in written.items()}
    slips = {}
    meant = _meant(entry, measurements)
    for id_ in meant:
        try:
            spread(numbers, entry.names.bands[id_])
        except ChanceError as slip:
            slips[id_] = str(slip)
    if slips and (len(slips) == len(meant) or not measurements.kinds or where == "any"):
        worst = next(iter(slips))
        entry.wrong("reads", f"does not fit {worst}: {slips[worst]}", check="chances")
    return numbers


def _metered(entry: Entry, measurements: Selector) -> bool:
    known = entry.names.sections["measurements"]
    data = [known[id_].data for id_ in _meant(entry, measurements) if id_ in known]
    return any(isinstance(one, dict) and one.get("unit") is not None for one in data)


def _meant(entry: Entry, measurements: Selector) -> tuple[str, ...]:
    of_kinds = [id_ for kind in measurements.kinds for id_ in entry.names.measurement_kinds.get(kind, ())]
    return tuple(id_ for id_ in dict.fromkeys((*measurements.ids, *of_kinds)) if entry.names.bands.get(id_))


def fact_rule(entry: Entry) -> FactRule:
    """What follows from facts."""
    when = entry.condition("when")
    if when is None:
        entry.wrong(None, "does not say when it holds", "Add 'when: {name: value}'")
    kinds = entry.names.measurement_kinds
    return FactRule(
        id=entry.id,
        when=when or All(()),
        unless=entry.condition("unless"),
        then=_then(entry),
        caution=entry.refs("caution", "cautions"),
        warn=entry.text("warn", ""),
        distrust=entry.refs("distrust", "measurements"),
        pointless=entry.selector("pointless", "measurements", kinds),
        unsafe=entry.selector("unsafe", "measurements", kinds),
        because=entry.text("because"),
        sources=entry.refs("source", "references"),
        origin=entry.at,
        until=entry.condition("until"),
        until_repaired=entry.refs("until_repaired", "repairs"),
    )


def _then(entry: Entry) -> Mapping[str, str | bool | float | Formula]:
    derived: dict[str, str | bool | float | Formula] = {}
    for name, value in entry.mapping("then").items():
        meant = _derived(entry, name, value)
        if meant is not None:
            derived[name] = meant
    return derived


def _derived(entry: Entry, name: str, value: Any) -> str | bool | float | Formula | None:
    if isinstance(value, (str, bool)):
        return value
    return entry.quantity_at("then", value, name)


def balance(entry: Entry) -> Balance:
    """A sum or an order that readings of one machine must keep."""
    whole, parts = entry.ref("whole", "measurements"), entry.refs("parts", "measurements")
    implied = entry.maybe_ref("implied", "measurements")
    if not parts:
        entry.wrong(None, "has no 'parts'", "Add 'parts: [measurement, ...]'")
    if implied and implied not in (whole, *parts):
        entry.wrong(
            "implied", f"{quoted(implied)} is neither the whole nor a part", near(implied, (whole, *parts))
        )
    return Balance(
        id=entry.id,
        sort=entry.word("sort", SORTS),
        whole=whole,
        parts=parts,
        implied=implied,
        only=entry.condition("only"),
        relative=entry.number("relative", 0.0, least=0),
        because=entry.text("because"),
        sources=entry.refs("source", "references"),
        origin=entry.at,
    )
