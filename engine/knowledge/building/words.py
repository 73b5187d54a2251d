"""The section ``words``: how people write and speak of readings."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from crankpath.engine.knowledge.building.entry import Entry
from crankpath.engine.knowledge.problems import near, quoted
from crankpath.engine.knowledge.records import PHRASE_ROLES, Words


def words(entry: Entry) -> Words:
    """The tables of one language."""
    names = entry.names
    sections, bands = names.sections, names.bands
    every = {band for own in bands.values() for band in own}

    def value(key: str) -> str | None:
        measurement, _, band = key.partition(".")
        if not band:
            return None if key in every else near(key, every, 12)
        return _unknown(measurement, band.split("."), bands)

    return Words(
        entry.id,
        entry.text("language"),
        entry.words("endings"),
        entry.flag("decimal_comma"),
        names=_table(entry, "names", lambda key: _missing(key, sections["measurements"])),
        values=_table(entry, "values", value),
        sayings=_table(entry, "sayings", lambda key: _unknown(*_parted(key), bands)),
        states=_table(entry, "states", lambda key: _missing(key, sections["states"])),
        when=_table(entry, "when", lambda key: _missing(key, sections["equipment"])),
        spellings=_table(entry, "spellings", lambda key: None),
        numbers=_table(entry, "numbers", _number),
        phrases=_table(entry, "phrases", lambda key: _missing(key, dict.fromkeys(PHRASE_ROLES))),
        origin=entry.at,
    )


def _parted(key: str) -> tuple[str, list[str]]:
    measurement, _, values = key.partition(".")
    return measurement, values.split(".")


def _missing(key: str, known: Mapping[str, object]) -> str | None:
    return None if key in known else near(key, list(known), 12)


def _unknown(measurement: str, values: list[str], bands: Mapping[str, tuple[str, ...]]) -> str | None:
    """Advice where a measurement or a value of it does not exist."""
    if measurement not in bands:
        return near(measurement, list(bands), 12)
    strange = [value for value in values if value not in bands[measurement]]
    return near(strange[0], bands[measurement], 12) if strange else None


def _number(key: str) -> str | None:
    try:
        float(key)
    except ValueError:
        return "Write the number in digits, in quotes"
    return None


def _table(entry: Entry, field: str, wrong: Callable[[str], str | None]) -> dict[str, tuple[str, ...]]:
    """A mapping from a key to phrases; every key and phrase that cannot be is a problem."""
    data = entry.raw(field)
    if data is None:
        return {}
    if not isinstance(data, dict):
        entry.wrong(field, f"{quoted(data)} is no table", "Write 'key: [phrase, phrase]' below it")
        return {}
    made: dict[str, tuple[str, ...]] = {}
    for key, said in data.items():
        advice = wrong(str(key))
        if advice is not None:
            entry.wrong(field, f"{quoted(key)} is not known", advice, key, check="unknown_id")
        if not isinstance(said, list) or not all(isinstance(phrase, str) for phrase in said):
            entry.wrong(field, f"{quoted(key)} has no list of phrases", "Write texts in brackets", key)
            continue
        made[str(key)] = tuple(said)
    return made
