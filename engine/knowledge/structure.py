"""Structure of a case file against its JSON Schema, each violation as a sentence with its place.

The schema stands in ``kb/schema``, so that an editor can use it too. Where it has a
``description``, that is the noun phrase that completes *expected ...*. Knowledge files are not
checked against theirs: it is made from the records that they are read into.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import islice
from typing import Any

from jsonschema import Draft202012Validator

from crankpath.engine.knowledge.documents import Document, Path
from crankpath.engine.knowledge.folders import read_schema
from crankpath.engine.knowledge.problems import MOST_SLIPS, Problem, near, quoted
from crankpath.engine.knowledge.records import Origin

# jsonschema's ValidationError; its types admit an "unset" that a reported violation never has
Violation = Any


def structure_problems(document: Document) -> tuple[Problem, ...]:
    """Every violation of ``kb/schema/case.schema.json``, by place.

    A document that could not be read as YAML has no structure to check: its own problems
    are not repeated here.
    """
    found: dict[tuple[Origin, str], Problem] = {}
    for error in islice(_validator().iter_errors(document.data), MOST_SLIPS):
        for problem in _told(error, document):
            found.setdefault((problem.origin, problem.message), problem)
    return tuple(sorted(found.values(), key=lambda p: (p.origin.line, p.origin.column)))


@lru_cache
def _validator() -> Draft202012Validator:
    return Draft202012Validator(read_schema("case"))


def _told(error: Violation, document: Document) -> Iterator[Problem]:
    path: Path = tuple(error.absolute_path)
    if error.validator in ("anyOf", "oneOf"):
        branch = _nearest_branch(error)
        if branch:
            for inner in branch:
                yield from _told(inner, document)
            return
    if error.validator == "additionalProperties":
        yield from _unknown_fields(error, document, path)
    elif error.validator == "required":
        for field in error.schema["required"]:
            if field not in error.instance:
                yield _at_key(document, path, f"{_named(path)} has no '{field}'", f"Add '{field}:'")
    elif "propertyNames" in error.absolute_schema_path:
        advice = near(error.instance, error.validator_value, 20) if error.validator == "enum" else ""
        yield _at_key(
            document, (*path, error.instance), f"{quoted(error.instance)} is not {_expected(error)}", advice
        )
    elif error.validator == "enum":
        advice = near(str(error.instance), error.validator_value, 12)
        yield Problem(document.origin(path), f"{_named(path)}: {quoted(error.instance)} is not known", advice)
    else:
        message = f"{_named(path)}: {_shown(error.instance)} does not fit"
        yield Problem(document.origin(path), message, f"Expected {_expected(error)}")


def _unknown_fields(error: Violation, document: Document, path: Path) -> Iterator[Problem]:
    known = list(error.schema.get("properties", ()))
    for field in error.instance:
        if field not in known:
            message = (
                f"{_named(path)} has no field {quoted(field)}"
                if path
                else f"there is no section {quoted(field)}"
            )
            yield Problem(document.key_origin((*path, field)), message, near(field, known, 20))


def _nearest_branch(error: Violation) -> list[Violation]:
    """The violations of the one alternative that was most likely meant; empty if none was.

    An alternative is meant if what is written has its type; for objects, if it has the
    field that only that alternative requires.
    """
    branches: dict[int, list[Violation]] = {}
    for inner in error.context or ():
        branches.setdefault(int(inner.relative_schema_path[0]), []).append(inner)
    typed = [b for b in branches.values() if not any(_mistyped(e, error) for e in b)]
    fitting = [b for b in typed if not any(_lacks_its_field(e, error) for e in b)] or typed
    if len(fitting) > 1:  # the one that knows all the fields that are written
        fitting = [b for b in fitting if not any(e.validator == "additionalProperties" for e in b)]
    return fitting[0] if len(fitting) == 1 else []


def _mistyped(inner: Violation, outer: Violation) -> bool:
    return bool(inner.validator == "type" and len(inner.absolute_path) == len(outer.absolute_path))


def _lacks_its_field(inner: Violation, outer: Violation) -> bool:
    """The first required field is the one that tells an alternative from the others."""
    same = len(inner.absolute_path) == len(outer.absolute_path)
    return same and inner.validator == "required" and inner.validator_value[0] not in inner.instance


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


def _expected(error: Violation) -> str:
    described = error.schema.get("description") if isinstance(error.schema, dict) else None
    if described:
        return str(described)
    kinds = error.schema.get("type", "something else") if isinstance(error.schema, dict) else "something else"
    return " or ".join(kinds) if isinstance(kinds, list) else str(kinds)
