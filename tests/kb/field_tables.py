"""The tables of fields in the guide, made from the records.

Run it to write them anew: ``python tests/kb/field_tables.py``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from crankpath.engine.knowledge.building.fields import (
    LIKE,
    LIKE_SAYS,
    OneOrMany,
    RecordOf,
    Section,
    ShortOrWhole,
    sections_of,
    written_fields,
)
from crankpath.engine.knowledge.building.limits import Limits
from crankpath.engine.knowledge.building.lists import Either, ListOf, MapOf
from crankpath.engine.knowledge.building.shapes import Shape, Word
from crankpath.engine.knowledge.records import Knowledge

GUIDE = Path(__file__).parents[2] / "kb" / "README.md"
TABLE = re.compile(r"(<!-- fields of (\w+) -->\n).*?(<!-- end -->\n)", re.DOTALL)


def table(section: Section) -> str:
    """One row a field: its name, what it says; those that must be written are marked."""
    if not isinstance(section.shape, RecordOf):
        return ""
    like = [f"| `{LIKE}` | {LIKE_SAYS} |"] if section.like else []
    return "\n".join(["| field | what it says |", "|---|---|", *rows(section.shape.cls), *like, ""])


def rows(cls: type, prefix: str = "") -> Iterator[str]:
    for field in written_fields(cls).values():
        names = " or ".join(f"`{prefix}{key}`" for key in field.keys)
        known = field.shape.known if isinstance(field.shape, Word) else ()
        words = ": " * bool(known) + ", ".join(f"`{word}`" for word in known)
        yield f"| {names} | {field.says}{words}{' (needed)' * field.needed} |"
        for inner in records_in(field.shape):
            yield from rows(inner, f"{prefix}{field.key}: ")


def records_in(shape: Shape) -> tuple[type, ...]:
    """The records that a field can hold, or several of."""
    if isinstance(shape, (RecordOf, OneOrMany, ShortOrWhole)):
        return (shape.cls,)
    if isinstance(shape, Limits):
        return (shape.sets, shape.use)
    if isinstance(shape, (ListOf, MapOf)):
        return records_in(shape.of)
    return records_in(shape.mapping) if isinstance(shape, Either) else ()


def with_tables(guide: str) -> str:
    """The guide with every table as it must be."""
    sections = sections_of(Knowledge)
    return TABLE.sub(lambda found: f"{found[1]}{table(sections[found[2]])}{found[3]}", guide)


if __name__ == "__main__":
    GUIDE.write_text(with_tables(GUIDE.read_text("utf-8")), "utf-8")
