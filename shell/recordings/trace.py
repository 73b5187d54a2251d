"""The outline of a recorded crank as it is kept in a case, and read from there for the sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.recordings.columns import ReadColumn
from crankpath.engine.recordings.outline import outline_of
from crankpath.engine.recordings.recording import FoundCrank
from crankpath.shell.outlets.pages.sheet.data import CrankTrace, TracedColumn

_STRETCHES: Final = 160


def trace_of(crank: FoundCrank, columns: Sequence[ReadColumn]) -> dict[str, Any]:
    """The outline of a crank as plain data."""
    outline = outline_of(crank.raw, _STRETCHES)
    drawn = zip(columns, outline.columns, strict=True)
    return {
        "begins": short(outline.begins), "ends": short(outline.ends),
        "columns": {c.measurement: [[short(a), short(b)] for a, b in pairs] for c, pairs in drawn},
    }  # fmt: skip


def crank_trace(kb: Knowledge, body: Mapping[str, Any]) -> CrankTrace | None:
    """The outline that an entry of a case holds; None where it has none that can be drawn."""
    try:
        kept = body["trace"]
        columns = tuple(
            TracedColumn(kb.measurements[name].label, kb.measurements[name].unit or "",
                         tuple((float(a), float(b)) for a, b in pairs))
            for name, pairs in kept["columns"].items() if pairs
        )  # fmt: skip
        return CrankTrace(int(body["crank"]), float(kept["begins"]), float(kept["ends"]), columns)
    except (KeyError, TypeError, ValueError, AttributeError):
        return None  # a copy of the case may come from anywhere


def short(value: float) -> float:
    """A number with five digits, enough for any drawing."""
    return float(f"{value:.5g}")
