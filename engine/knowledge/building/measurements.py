"""The records of measurements: bands, limits, healthy readings, spans."""

from __future__ import annotations

from itertools import pairwise
from typing import Any, Final

from crankpath.engine.knowledge.building.entry import Entry
from crankpath.engine.knowledge.chance_words import SLACK, ChanceError, spread
from crankpath.engine.knowledge.problems import quoted
from crankpath.engine.knowledge.records import (
    ConditionalRange,
    HealthyReading,
    LimitSet,
    Measurement,
    Quantity,
    Range,
)

METER: Final = ("adds", "shifts", "largest", "smallest")
OBSERVATION: Final = ("largest", "smallest", "product_of_odds")


def measurement(entry: Entry) -> Measurement:
    """One measurement, or observation if it has no unit."""
    label = entry.text("label")
    unit = entry.text("unit") if entry.has("unit") else None
    bands = _bands(entry, unit)
    between = _pair(entry, "between")
    error = entry.part("error") if entry.has("error") else None
    record = Measurement(
        id=entry.id,
        label=label,
        short=entry.text("short", label[:14], longest=14),
        aliases=entry.words("aliases"),
        asks=entry.text("asks"),
        group=entry.text("group"),
        kinds=entry.words("kinds"),
        unit=unit,
        bands=bands,
        band_labels=_band_labels(entry, bands),
        combination=entry.word("combination", METER if unit else OBSERVATION, "largest"),
        scale=entry.quantity("scale") or 1.0,
        whole=_whole(entry),
        limits=_limits(entry, bands, unit),
        healthy=_healthy(entry, bands, unit),
        between=between,
        spans=_spans(entry, between),
        leaves_out=entry.refs("leaves_out", "segments"),
        signed=entry.flag("signed"),
        least=entry.quantity("least"),
        most=entry.quantity("most"),
        doubtful_above=entry.quantity("doubtful_above"),
        relative_error=error.number("relative", 0.0, least=0) if error else 0.0,
        absolute_error=error.number("absolute", 0.0, least=0) if error else 0.0,
        state=entry.ref("state", "states"),
        setups=entry.refs("setups", "setups"),
        tools=entry.refs("tools", "tools"),
        minutes=entry.number("minutes", least=0),
        only=entry.condition("only"),
        parallel=entry.maybe_ref("parallel", "equipment"),
        leads=entry.text("leads", ""),
        meter=entry.text("meter", ""),
        steps=entry.words("steps"),
        misleads=entry.text("misleads", ""),
        cautions=entry.refs("cautions", "cautions"),
        sources=entry.refs("source", "references"),
        origin=entry.at,
        does=entry.refs("does", "hazards"),
    )
    if error:
        error.close()
    return record


def _bands(entry: Entry, unit: str | None) -> tuple[str, ...]:
    wanted, other = ("bands", "values") if unit is not None else ("values", "bands")
    if entry.has(other):
        kind = "a reading in a unit" if unit is not None else "an observation (it has no unit)"
        entry.wrong(other, f"does not belong to {kind}", f"Write '{wanted}'")
        return entry.words(other)
    bands = entry.words(wanted, required=True)
    for index, band in enumerate(bands):
        if band in bands[:index]:
            entry.wrong(wanted, f"{quoted(band)} stands twice", "Keep one of them", index)
    if len(bands) == 1:
        entry.wrong(wanted, "holds one band only; nothing can be told by it", "Name at least two")
    return bands


def _band_labels(entry: Entry, bands: tuple[str, ...]) -> dict[str, str]:
    labels = entry.mapping("band_labels")
    for band in labels:
        if band not in bands:
            entry.wrong(
                "band_labels", f"{quoted(band)} is no band here", f"Known here: {', '.join(bands)}", band
            )
    return {band: str(label) for band, label in labels.items()}


def _pair(entry: Entry, key: str) -> tuple[str, str] | None:
    ids = entry.ids(key, "points") if entry.has(key) else None
    return (ids[0], ids[1]) if ids else None


def _spans(entry: Entry, between: tuple[str, str] | None) -> tuple[tuple[str, str], ...]:
    if not entry.has("covers"):
        return (between,) if between else ()
    written = entry.raw("covers")
    if not isinstance(written, list):
        entry.wrong("covers", "is not a list", "Write 'covers: [[point, point], ...]'")
        return ()
    pairs = [entry.ids("covers", "points", index) for index in range(len(written))]
    return tuple((pair[0], pair[1]) for pair in pairs if pair)


def _limits(entry: Entry, bands: tuple[str, ...], unit: str | None) -> tuple[LimitSet, ...]:
    if not entry.has("limits"):
        if unit is not None:
            entry.wrong(None, "is read in a unit but has no 'limits' between its bands", "Add 'limits:'")
        return ()
    if unit is None:
        entry.wrong("limits", "do not belong to an observation (it has no unit)", "Remove them or add 'unit'")
    if not isinstance(entry.raw("limits"), list):
        entry.wrong("limits", "is not a list", "Write each set as '- at: [...]'")
        return ()
    sets = [_limit_set(part, bands) for part in entry.parts("limits")]
    if sets and sets[-1].given is not None:
        entry.wrong("limits", "the last set must hold always, as the one used when nothing is known",
                    "Take 'given' off the last set", len(sets) - 1)  # fmt: skip
    return tuple(sets)


def _limit_set(part: Entry, bands: tuple[str, ...]) -> LimitSet:
    written = part.raw("at")
    if not isinstance(written, list):
        part.wrong("at" if part.has("at") else None, "needs 'at', a list of limits", "Write 'at: [0.1, 0.5]'")
        written = []
    elif len(written) != len(bands) - 1:
        part.wrong("at", f"has {len(written)} limits; {len(bands)} bands have {len(bands) - 1} between them")
    at = [part.quantity_at("at", value, index) for index, value in enumerate(written)]
    numbers = [value for value in at if isinstance(value, float)]
    if any(low >= high for low, high in pairwise(numbers)):
        part.wrong("at", "the limits must rise", "Write them from the first band to the last", check="limits")
    limit_set = LimitSet(
        given=part.condition("given"),
        at=tuple(value for value in at if value is not None),
        sources=part.refs("source", "references"),
        because=part.text("because", ""),
        origin=part.at,
    )
    part.close()
    return limit_set


def _healthy(entry: Entry, bands: tuple[str, ...], unit: str | None) -> tuple[HealthyReading, ...]:
    if not entry.has("healthy"):
        entry.wrong(
            None, "does not say what it reads on a healthy circuit", "Add 'healthy:' with a chance for a band"
        )
        return ()
    if not isinstance(entry.raw("healthy"), list):
        return (HealthyReading(None, _sound(entry, "healthy", bands, unit), entry.origin("healthy")),)
    readings = []
    for part in entry.parts("healthy"):
        given = part.condition("given")
        readings.append(HealthyReading(given, _sound(part, "reads", bands, unit), part.at))
        part.close()
    if readings and readings[-1].given is not None:
        entry.wrong("healthy", "the last one must hold always, as the one used when nothing is known",
                    "Take 'given' off the last one", len(readings) - 1)  # fmt: skip
    return tuple(readings)


def _sound(entry: Entry, key: str, bands: tuple[str, ...], unit: str | None) -> tuple[float, ...] | Range:
    return range_of(entry, key) if unit is not None else reads(entry, key, entry.mapping(key), bands)


def _whole(entry: Entry) -> tuple[ConditionalRange, ...]:
    found = []
    for part in entry.parts("whole") if entry.has("whole") else ():
        low, high = _ends(part, part.raw("between"))
        found.append(ConditionalRange(part.condition("given"), Range(low, high), part.at))
        part.close()
    return tuple(found)


def _ends(entry: Entry, written: Any) -> tuple[Quantity | None, Quantity | None]:
    if not isinstance(written, list) or len(written) != 2:
        entry.wrong("between", "needs two quantities, the lower first", "Write 'between: [0.5, 2]'")
        return None, None
    low, high = (entry.quantity_at("between", value, index) for index, value in enumerate(written))
    return low, high


def range_of(entry: Entry, key: str) -> Range:
    """What a meter reads: ``between`` two quantities, with shares for nothing, whole and sound."""
    if not isinstance(entry.raw(key), dict):
        entry.wrong(key, "is no range", "Write '{between: [low, high]}' in the measurement's unit")
        return Range(None, None)
    part = entry.part(key)
    shares = {name: part.chance(name, 0.0) for name in ("nothing", "whole", "sound")}
    low = high = None
    if part.has("between"):
        low, high = _ends(part, part.raw("between"))
    elif sum(shares.values()) < 1.0 - SLACK:
        part.wrong(None, "does not say what is read", "Write 'between: [low, high]', in its unit")
    part.close()
    return Range(low, high, **shares)


def reads(entry: Entry, key: str, written: Any, bands: tuple[str, ...]) -> tuple[float, ...]:
    """The chances of a mapping from band to chance; evenly spread after a problem."""
    try:
        return spread(written, bands, entry.names.scale)
    except ChanceError as slip:
        entry.wrong(key, str(slip), check="chances")
        return tuple(1 / len(bands) for _ in bands)
