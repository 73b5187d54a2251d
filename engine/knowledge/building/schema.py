"""The JSON Schema of a knowledge file, made from the definition of the records.

An editor completes with it: fields with what they say, and the ids, bands, facts and values of
the knowledge base in force. Ids that the base does not have yet are admitted.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from crankpath.engine.knowledge.building.fields import LIKE, LIKE_SAYS, RecordOf, sections_of
from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.building.lists import ListOf
from crankpath.engine.knowledge.building.shapes import ID, Schema, SchemaBuilder
from crankpath.engine.knowledge.folders import (
    ALL,
    BORROW,
    CASES,
    RETIRE,
    folder_of,
    read_layers,
    shipped_folder,
)
from crankpath.engine.knowledge.problems import ProblemCollector
from crankpath.engine.knowledge.records import Knowledge


def knowledge_schema(*folders: str | Path, shipped: bool = True) -> dict[str, Any]:
    """The schema, with the names in the shipped knowledge and the folders laid over it.

    Args:
        folders: as for `crankpath.engine.knowledge.loading.load_knowledge`; slips in them do not matter.
        shipped: False for the given folders alone.
    """
    paths = [*([shipped_folder()] if shipped else []), *map(folder_of, folders)]
    read = read_layers(paths, ProblemCollector())
    builder = SchemaBuilder(Names.of(read.sections))
    sections = sections_of(Knowledge)
    properties = {name: section.schema(builder) for name, section in sections.items()}
    for name, section in sections.items():
        if section.like and isinstance(section.shape, RecordOf):
            fields = builder.parts[section.shape.cls.__name__]["properties"]
            fields[LIKE] = {"description": LIKE_SAYS, **_id_of(builder, name)}
    ids = ListOf(ID, strict=True).schema(builder)
    for name, what, items in (
        (RETIRE, "section to the ids that are taken out", ids),
        (BORROW, "section to the ids taken from the shipped base, or all", {"anyOf": [{"const": ALL}, ids]}),
    ):
        properties[name] = {
            "description": what,
            "type": ["object", "null"],
            "propertyNames": {"enum": [*sections, *([CASES] if name == RETIRE else [])]},
            "properties": {section: _ids_of(builder, section) for section in read.sections if name == RETIRE},
            "additionalProperties": items,
        }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A knowledge file of crankpath",
        "description": "a mapping of sections",
        "type": ["object", "null"],
        "additionalProperties": False,
        "properties": properties,
        "$defs": builder.parts,
    }


def _ids_of(builder: SchemaBuilder, section: str) -> Schema:
    """A list of ids of the section; an editor offers those that there are."""
    return {"type": "array", "items": _id_of(builder, section)}


def _id_of(builder: SchemaBuilder, section: str) -> Schema:
    ids = (id_.partition(" ")[0] for id_ in builder.names.sections[section])
    return builder.offering(f"id_of_{section}", ids)
