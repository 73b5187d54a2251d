"""Which column of a recording is which reading, as a person says it once.

``2=battery crank`` · ``CH1=crank current, 10 mV/A`` · ``3=negative leg, mV``
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from crankpath.engine.errors import RecordingError, UnknownName
from crankpath.engine.knowledge.problems import quoted
from crankpath.engine.knowledge.records import Measurement
from crankpath.engine.recordings.layout import Column, FileLayout
from crankpath.engine.typed import names
from crankpath.engine.typed.units import in_unit, unit_called

FORM: Final = "2=battery crank, V"
"""An example of how a column is told."""

_VALUES: Final = ("settled", "lowest", "highest", "first_peak")
_CLAMP: Final = re.compile(r"([\d.,]+)?\s*(m?V)\s*/\s*A\Z", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ReadColumn:
    """One column as a reading: its number from 1, and what turns its values into the reading's unit."""

    place: int
    measurement: str
    factor: float
    said: str


def recordable(measurements: Mapping[str, Measurement]) -> dict[str, Measurement]:
    """The readings that a column of volts or amperes can be."""
    return {id_: m for id_, m in measurements.items() if m.takes in _VALUES}


def read_columns(
    told: Iterable[str], layout: FileLayout, measurements: Mapping[str, Measurement]
) -> tuple[ReadColumn, ...]:
    """The columns that a person named.

    Raises:
        RecordingError: no such column or reading, a unit that does not fit, or one named twice.
    """
    found: list[ReadColumn] = []
    for text in told:
        column = _read(text, layout, measurements)
        for known in found:
            if column.place == known.place:
                raise RecordingError(f"Column {column.place} is named twice; name each column once.")
            if column.measurement == known.measurement:
                both = f"Columns {known.place} and {column.place}"
                raise RecordingError(f"{both} are both {column.measurement}; name one of them.")
        found.append(column)
    return tuple(found)


def column_called(name: str, layout: FileLayout) -> Column:
    """The column with that number or header. Raises RecordingError."""
    name = name.strip()
    if name.isdecimal() and 1 <= int(name) <= len(layout.columns):
        return layout.columns[int(name) - 1]
    called = [c for c in layout.columns if c.name.lower() == name.lower()]
    if len(called) == 1:
        return called[0]
    have = ", ".join(f"{c.place} {c.name}" for c in layout.columns)
    raise RecordingError(f"There is no one column {quoted(name)}. The recording has: {have}.")


def _read(text: str, layout: FileLayout, measurements: Mapping[str, Measurement]) -> ReadColumn:
    which, equals, rest = text.partition("=")
    if not equals:
        said = f"{quoted(text)} does not say which column is which reading"
        raise RecordingError(f"{said}; write it like '{FORM}'.")
    column = column_called(which, layout)
    if column == layout.time:
        raise RecordingError(f"Column {column.place} is the time of the recording; name another one.")
    called, _, unit = rest.partition(",")
    known = recordable(measurements)
    try:
        measurement = known[names.sure(called.strip(), known)]
    except UnknownName as slip:
        raise RecordingError(f"{slip} A column can be: {', '.join(known)}.") from None
    factor, said = _factor(column, measurement, unit.strip())
    return ReadColumn(column.place, measurement.id, factor, said)


def _factor(column: Column, measurement: Measurement, unit: str) -> tuple[float, str]:
    """What the values are multiplied by, and the unit they were taken to be in."""
    wanted = measurement.unit or ""
    clamp = _CLAMP.match(unit)
    if clamp:
        volts = float((clamp[1] or "1").replace(",", ".")) * (1e-3 if clamp[2].lower() == "mv" else 1.0)
        if wanted != "A" or volts <= 0:
            raise RecordingError(f"{unit} is for a current clamp; {measurement.label} is read in {wanted}.")
        own = unit_called(column.unit or "V")
        scale = in_unit(1.0, own, "V") if own else None
        if scale is None:
            raise RecordingError(f"Column {column.place} is in {column.unit}; a clamp's {unit} is for volts.")
        return scale / volts, unit
    written = unit or column.unit
    if not written:
        return 1.0, f"{wanted}, as its header names no unit"
    known = unit_called(written)
    factor = in_unit(1.0, known, wanted) if known else None
    if factor is None:
        hint = " A clamp that gives volts is told so: '3=crank current, 10 mV/A'." if wanted == "A" else ""
        raise RecordingError(
            f"Column {column.place} is in {written}, but {measurement.label} is read in {wanted}.{hint}"
        )
    return factor, known.name if known else written
