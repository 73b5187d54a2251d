"""Structure of a case file against its schema, each violation as a sentence with its place.

The schema stands in ``kb/schema`` as JSON Schema (draft 2020-12), so that an editor can use it too; what
it uses of that language is read here, and nothing more. Where it has a ``description``, that is the noun
phrase that completes *expected ...*. Knowledge files are not checked against theirs: it is made from the
records that they are read into.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from itertools import islice
from typing import Any, Final

from crankpath.engine.knowledge.documents import Document, Path
from crankpath.engine.knowledge.folders import read_schema
from crankpath.engine.knowledge.problems import MOST_SLIPS, Problem, near, quoted

Schema = Mapping[str, Any]

_TYPES: Final[Mapping[str, Callable[[Any], bool]]] = {
    "object": lambda value: isinstance(value, dict),
    "array": lambda value: isinstance(value, list),
    "string": lambda value: isinstance(value, str),
    "boolean": lambda value: isinstance(value, bool),
    "null": lambda value: value is None,
    "integer": lambda value: isinstance(value, int) and not isinstance(value, bool),
    "number": lambda value: isinstance(value, int | float) and not isinstance(value, bool),
}


def structure_problems(document: Document) -> tuple[Problem, ...]:
    """Every violation of ``kb/schema/case.schema.json``, by place.

    A document that could not be read as YAML has no structure to check: its own problems
    are not repeated here.
    """
    found = islice(_problems(document, _schema(), document.data, ()), MOST_SLIPS)
    return tuple(sorted(dict.fromkeys(found), key=lambda p: (p.origin.line, p.origin.column)))


@lru_cache
def _schema() -> Schema:
    schema: Schema = read_schema("case")
    return schema


def _meant(schema: Schema) -> Schema:
    """The schema itself, or the definition that it refers to."""
    name = schema.get("$ref", "").rpartition("/")[2]
    meant: Schema = _schema()["$defs"][name] if name else schema
    return meant


def _problems(document: Document, schema: Schema, value: Any, path: Path) -> Iterator[Problem]:
    schema = _meant(schema)
    if "oneOf" in schema:
        branch = _alternative(schema["oneOf"], value)
        if branch is None:
            yield _misfit(document, schema, value, path)
        else:
            yield from _problems(document, branch, value, path)
    elif "enum" in schema:
        if value not in schema["enum"]:
            advice = near(str(value), schema["enum"], 12)
            yield Problem(document.origin(path), f"{_named(path)}: {quoted(value)} is not known", advice)
    elif not _fits(schema, value):
        yield _misfit(document, schema, value, path)
    elif isinstance(value, dict):
        yield from _fields(document, schema, value, path)
    elif isinstance(value, list) and "items" in schema:
        for index, item in enumerate(value):
            yield from _problems(document, schema["items"], item, (*path, index))


def _fits(schema: Schema, value: Any) -> bool:
    """True if a value has the type, the form and the size that are asked for."""
    types = schema.get("type", list(_TYPES))
    if not any(_TYPES[name](value) for name in ([types] if isinstance(types, str) else types)):
        return False
    if isinstance(value, str):
        return re.search(schema.get("pattern", ""), value) is not None
    if isinstance(value, int | float):
        return bool(schema.get("minimum", value) <= value <= schema.get("maximum", value))
    return not isinstance(value, dict) or len(value) >= schema.get("minProperties", 0)


def _fields(document: Document, schema: Schema, value: dict[Any, Any], path: Path) -> Iterator[Problem]:
    """The fields of a mapping: those that are missing, unknown, or hold what they cannot."""
    known, others = schema.get("properties", {}), schema.get("additionalProperties", True)
    for field in schema.get("required", ()):
        if field not in value:
            yield _at_key(document, path, f"{_named(path)} has no '{field}'", f"Add '{field}:'")
    for field, inner in value.items():
        here = (*path, field)
        if "propertyNames" in schema and not _fits(names := _meant(schema["propertyNames"]), field):
            yield _at_key(document, here, f"{quoted(field)} is not {_expected(names)}")
        if field in known:
            yield from _problems(document, known[field], inner, here)
        elif others is False:
            what = f"{_named(path)} has no field" if path else "there is no section"
            yield _at_key(document, here, f"{what} {quoted(field)}", near(str(field), list(known), 20))
        elif others is not True:
            yield from _problems(document, others, inner, here)


def _alternative(branches: list[Schema], value: Any) -> Schema | None:
    """The one alternative that was most likely meant, or None.

    It is the one whose first required field is written; of several the one that knows all the fields.
    """
    if not isinstance(value, dict):
        return None
    fitting = [branch for branch in branches if branch["required"][0] in value]
    if len(fitting) > 1:
        fitting = [branch for branch in fitting if value.keys() <= branch["properties"].keys()]
    return fitting[0] if len(fitting) == 1 else None


def _misfit(document: Document, schema: Schema, value: Any, path: Path) -> Problem:
    message = f"{_named(path)}: {_shown(value)} does not fit"
    return Problem(document.origin(path), message, f"Expected {_expected(schema)}")


def _at_key(document: Document, path: Path, message: str, advice: str = "") -> Problem:
    return Problem(document.key_origin(path) if path else document.origin(), message, advice)


def _named(path: Path) -> str:
    """The way to a value in words: the entry, then fields; list positions counted from 1.

    >>> _named(("faults", "positive_cable", "share", 0))
    'faults positive_cable share 1'
    """
    return " ".join(str(step + 1) if isinstance(step, int) else step for step in path) or "the file"


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return "a mapping"
    if isinstance(value, list):
        return "this list" if value else "an empty list"
    if value is None:
        return "nothing"
    return quoted(str(value).lower() if isinstance(value, bool) else value)


def _expected(schema: Schema) -> str:
    kinds = schema.get("description") or schema.get("type", "something else")
    return " or ".join(kinds) if isinstance(kinds, list) else str(kinds)
