"""Everything about one entry of the knowledge base, as one record that words and pages are made from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from crankpath.engine.checking.relations import ENTRY_SECTIONS, TARGETS, Relations, RuleUse
from crankpath.engine.knowledge.building.fields import sections_of
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.entry_data import condition_words, stated, yaml_words
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import (
    ConditionalRange,
    EvidenceRule,
    Knowledge,
    LimitSet,
    Measurement,
    Origin,
    Range,
)
from crankpath.shell.outlets.reports.readings import whole_words, written_words
from crankpath.shell.outlets.reports.words import percent

Where = Callable[[str, Origin], str]
"""How the place of an entry is shown: its key and place in, text out."""

SORTS: Final = {name: sections_of(Knowledge)[name].one for name in ENTRY_SECTIONS}
"""Section -> what one entry of it is called."""

_LONG: Final = {"limits", "healthy", "the whole supply", "an open circuit"}
_SHORT: Final = 24  # characters up to which the items of a list share a line
_TITLES: Final = {"label", "title", "short_text"}
_USED: Final = {
    "repair": "cures", "proof": "proves the repair of", "cautions": "said at", "caution": "said by",
    "sources": "source of", "between": "lead of", "spans": "in the way of", "ends": "end of",
    "places": "place of", "degree_places": "place of a degree of", "setups": "made for",
    "tools": "needed for", "state": "state of", "leads_to": "looked for after", "leaves_out": "left out by",
    "distrust": "distrusted by", "pointless": "pointless by", "unsafe": "unsafe by", "parallel": "counts for",
    "whole": "whole of", "parts": "part of", "implied": "implied by", "faults": "named by",
    "measurements": "named by", "does": "done by", "counts_as": "counted from",
    "instead": "advised instead of", "until_repaired": "ends", "finer_as": "tells apart",
}  # fmt: skip
"""Field that names an entry -> how the entry is used there."""


@dataclass(frozen=True, slots=True)
class DossierItem:
    """A piece of text; key: the entry it stands for, "" for plain text."""

    text: str
    key: str = ""


@dataclass(frozen=True, slots=True)
class DossierRow:
    """A field and what it says."""

    name: str
    items: tuple[DossierItem, ...]


@dataclass(frozen=True, slots=True)
class DossierPart:
    """Rows under a title."""

    title: str
    rows: tuple[DossierRow, ...]


@dataclass(frozen=True, slots=True)
class RuleStatement:
    """What one rule says of a fault in a measurement.

    other: the measurement (of a fault) or the fault (of a measurement). Of an observation, bands: (value,
    chance with the fault, chance on a healthy circuit), the likeliest first; of a meter reading, reads
    and healthy: the ranges as written.
    """

    rule: DossierItem
    where: str
    other: DossierItem
    degrees: str
    when: str
    bands: tuple[tuple[str, float, float], ...]
    reads: str = ""
    healthy: str = ""


@dataclass(frozen=True, slots=True)
class Dossier:
    """One entry: what it says, who uses it, which rules bear on it, the cases that rest on it."""

    key: str
    sort: str
    label: str
    where: str
    parts: tuple[DossierPart, ...]
    said: tuple[RuleStatement, ...]
    cases: tuple[str, ...]

    @property
    def id(self) -> str:
        """The entry's id."""
        return self.key.split("/", 1)[1]


def dossier(relations: Relations, key: str, where: Where, cases: Mapping[str, tuple[str, ...]]) -> Dossier:
    """Everything about an entry.

    Args:
        relations: of the knowledge base.
        key: section/id of one of its entries.
        where: shows places.
        cases: key -> names of the cases that rest on it.
    """
    section, _, id_ = key.partition("/")
    entry = getattr(relations.kb, section)[id_]
    rows = tuple(_rows(relations, key, entry))
    long = tuple(row for row in rows if row.name in _LONG)
    parts = [DossierPart("What it says", tuple(row for row in rows if row not in long))]
    parts.append(DossierPart("Limits, and what a healthy circuit reads: the first that holds counts", long))
    if section == "rules":
        parts.append(DossierPart("Where it speaks", tuple(_speaks(relations, key))))
    parts.append(DossierPart("Where it is used", tuple(_uses(relations, key))))
    said = tuple(_said(relations, key, where)) if section in ("faults", "measurements") else ()
    shown = tuple(part for part in parts if part.rows)
    return Dossier(key, SORTS[section], label_of(relations, key), where(key, entry.origin), shown, said,
                   cases.get(key, ()))  # fmt: skip


def label_of(relations: Relations, key: str) -> str:
    """The entry's name in words; a rule has none but its id."""
    section, _, id_ = key.partition("/")
    entry = getattr(relations.kb, section)[id_]
    if section == "cautions":
        return str(entry.short or entry.text)
    return str(getattr(entry, "label", "") or getattr(entry, "title", "") or id_.replace("_", " "))


def _rows(relations: Relations, key: str, entry: Any) -> Iterator[DossierRow]:
    linked: dict[str, list[DossierItem]] = {}
    for field, target in relations.names(key):
        linked.setdefault(field, []).append(DossierItem(label_of(relations, target), target))
    data = stated(entry)
    for name, value in data.items():
        field = {"source": "sources", "covers": "spans"}.get(name, name)
        special = None if name == "whole" and key.startswith("balances/") else _SPECIAL.get(name)
        said_already = name == "covers" and value == [data.get("between")]
        if name in _TITLES or value is False or said_already or (name == "masks" and not value):
            continue
        if special is not None:
            yield from special(getattr(entry, {"share": "shares"}.get(name, name)), entry)
        elif field in linked and field in TARGETS:
            found = linked[field]
            own = [item for item in found if item.key.split("/")[1] in _ids(value)]
            yield DossierRow(_spelled(name), tuple(own) or (DossierItem(yaml_words(value)),))
        else:
            yield DossierRow(_spelled(name), tuple(_plain(value)))


def _ids(value: Any) -> set[str]:
    """Every text inside a value."""
    if isinstance(value, Mapping):
        return {id_ for inner in value.values() for id_ in _ids(inner)}
    if isinstance(value, list):
        return {id_ for inner in value for id_ in _ids(inner)}
    return {str(value)}


def _spelled(name: str) -> str:
    return name.replace("_", " ")


def _plain(value: Any) -> Iterator[DossierItem]:
    if isinstance(value, list) and value and all(isinstance(inner, str) for inner in value):
        if max(map(len, value)) <= _SHORT:
            yield DossierItem(", ".join(value))
        else:
            yield from map(DossierItem, value)
    elif isinstance(value, list) and value:
        yield from (DossierItem(yaml_words(inner)) for inner in value)
    elif isinstance(value, Mapping) and "formula" not in value:
        yield from (DossierItem(f"{key}: {_figure(inner)}") for key, inner in value.items())
    else:
        yield DossierItem(_figure(value))


def _figure(value: Any) -> str:
    if isinstance(value, Mapping):
        return str(value.get("formula", yaml_words(value)))
    return yaml_words(value)


def _condition(value: Condition, entry: Any) -> Iterator[DossierRow]:
    name = next(n for n in ("given", "unless", "only", "when") if getattr(entry, n, None) is value)
    yield DossierRow(name, (DossierItem(condition_words(value)),))


def _limits(value: tuple[LimitSet, ...], entry: Measurement) -> Iterator[DossierRow]:
    for limits in value:
        steps = ", ".join(
            f"{band} to {q.text if isinstance(q, Formula) else yaml_words(q)}"
            for band, q in zip(entry.bands, limits.at, strict=False)
        )
        where = f"where {condition_words(limits.given)}: " if limits.given else ""
        items = [DossierItem(f"{where}{steps} {entry.unit or ''}".rstrip()), DossierItem(limits.because)]
        items.append(DossierItem(f"source: {', '.join(limits.sources)}" if limits.sources else ""))
        yield DossierRow("limits", tuple(item for item in items if item.text))


def _healthy(value: tuple[Any, ...], entry: Measurement) -> Iterator[DossierRow]:
    for reading in value:
        where = f"where {condition_words(reading.given)}: " if reading.given else ""
        if isinstance(reading.reads, Range):
            said = written_words(reading.reads, entry.unit or "")
        else:
            pairs = sorted(zip(entry.bands, reading.reads, strict=True), key=lambda pair: -pair[1])
            said = ", ".join(f"{band} {percent(chance)}" for band, chance in pairs)
        yield DossierRow("healthy", (DossierItem(f"{where}{said}"),))


def _whole(value: tuple[ConditionalRange, ...], entry: Measurement) -> Iterator[DossierRow]:
    for whole in value:
        where = f"where {condition_words(whole.given)}: " if whole.given else ""
        said = written_words(whole.reads, entry.unit or "")
        yield DossierRow(whole_words(entry.unit or ""), (DossierItem(f"{where}{said}"),))


def _shares(value: tuple[Any, ...], entry: Any) -> Iterator[DossierRow]:
    for share in value:
        where = f" where {condition_words(share.given)}" if share.given else ""
        source = f" ({', '.join(share.sources)})" if share.sources else ""
        said = f"{yaml_words(100 * share.chance)} of 100 such complaints{where}{source}"
        yield DossierRow("share", (DossierItem(said),))


def _reads(value: Mapping[str, float] | Range, entry: EvidenceRule) -> Iterator[DossierRow]:
    if isinstance(value, Range):
        yield DossierRow("reads", (DossierItem(written_words(value)),))
        return
    pairs = sorted(value.items(), key=lambda pair: -pair[1])
    yield DossierRow("reads", tuple(DossierItem(f"{band} {yaml_words(chance)}") for band, chance in pairs))


_SPECIAL: Final[Mapping[str, Callable[[Any, Any], Iterator[DossierRow]]]] = {
    "given": _condition, "unless": _condition, "only": _condition, "when": _condition,
    "limits": _limits, "healthy": _healthy, "whole": _whole, "share": _shares, "reads": _reads,
}  # fmt: skip


def _uses(relations: Relations, key: str) -> Iterator[DossierRow]:
    users: dict[str, list[DossierItem]] = {}
    for field, user in relations.named_by.get(key, ()):
        how = _USED.get(field, "looked at by")
        users.setdefault(how, []).append(DossierItem(label_of(relations, user), user))
    for how, items in users.items():
        yield DossierRow(how, tuple(dict.fromkeys(items)))


def _speaks(relations: Relations, key: str) -> Iterator[DossierRow]:
    """Of a rule: each set of measurements, with the faults it says the same of."""
    by_fault: dict[str, dict[str, list[str]]] = {}
    for b in relations.bearing_on(key):
        by_fault.setdefault(b.fault.id, {}).setdefault(b.measurement.id, []).append(b.degree)
    for fault, read in by_fault.items():
        degrees = dict.fromkeys(degree for found in read.values() for degree in found)
        named = f"{label_of(relations, f'faults/{fault}')}, {', '.join(degrees)}"
        keys = [f"measurements/{m}" for m in read]
        items = tuple(DossierItem(label_of(relations, key), key) for key in keys)
        yield DossierRow("fault", (DossierItem(named, f"faults/{fault}"),))
        yield DossierRow("in", items)


def _said(relations: Relations, key: str, where: Where) -> Iterator[RuleStatement]:
    of_fault = key.startswith("faults/")
    degrees: dict[tuple[str, str], list[RuleUse]] = {}
    for b in relations.bearing_on(key):
        other = b.measurement.id if of_fault else b.fault.id
        degrees.setdefault((other, b.rule.id), []).append(b)
    for (other, _), found in sorted(degrees.items(), key=lambda pair: pair[0][0]):
        rule, measurement = found[0].rule, found[0].measurement
        reads, healthy, unit = rule.reads, measurement.healthy[-1].reads, measurement.unit or ""
        bands: list[tuple[str, float, float]] = []
        ranges = ("", "")
        if isinstance(reads, Range) and isinstance(healthy, Range):
            ranges = (written_words(reads, unit), written_words(healthy, unit))
        elif isinstance(healthy, tuple):
            row = relations.survey.row(rule, measurement) or ()
            pairs = zip(measurement.bands, row, healthy, strict=False)  # type: ignore[arg-type]
            bands = sorted(pairs, key=lambda band: -band[1])
        other_key = f"measurements/{other}" if of_fault else f"faults/{other}"
        names = [b.degree for b in found if b.degree != "present"]
        yield RuleStatement(
            DossierItem(rule.id, f"rules/{rule.id}"),
            where(f"rules/{rule.id}", rule.origin),
            DossierItem(label_of(relations, other_key), other_key),
            ", ".join(dict.fromkeys(names)),
            _when(rule),
            tuple(bands),
            *ranges,
        )


def _when(rule: EvidenceRule) -> str:
    given = condition_words(rule.given) if rule.given else ""
    unless = f"unless {condition_words(rule.unless)}" if rule.unless else ""
    return ", ".join(text for text in (given, unless) if text)
