"""What an entry states, as plain data in the shape of its YAML: records without their places.

Two entries say the same exactly if their plain data are equal, wherever they stand. A
condition comes out as the mapping that would be written for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from typing import Any, Final

from crankpath.engine.knowledge import condition as c
from crankpath.engine.knowledge.building.fields import written_fields
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import ConditionalRange, Origin, Range, Selector

_LEFT_OUT: Final = frozenset({"id", "origin", "folder"})


def stated(entry: object) -> dict[str, Any]:
    """Field -> what it states, in the order of the record; empty fields are left out.

    Args:
        entry: a record of `crankpath.engine.knowledge.records`; anything else is one field, ``value``.
    """
    if not is_dataclass(entry) or isinstance(entry, type):
        return {"value": plain_data(entry)}
    written, found = written_fields(type(entry)), {}
    for field in fields(entry):
        value = getattr(entry, field.name)
        if field.name not in _LEFT_OUT and not _empty(value):
            found[written[field.name].key if field.name in written else field.name] = plain_data(value)
    return found


def _empty(value: object) -> bool:
    if isinstance(value, Selector):
        return not value.ids and not value.kinds
    return value is None or (isinstance(value, (str, tuple, Mapping)) and not value)


def plain_data(value: object) -> Any:
    """A field's value as lists, mappings, texts and numbers."""
    if isinstance(value, Formula):
        return {"formula": value.text}
    if isinstance(value, Selector):
        return {"kinds": list(value.kinds)} if value.kinds else list(value.ids)
    if isinstance(value, (c.Is, c.Compares, c.Known, c.All, c.Any, c.NoneOf)):
        return condition_data(value)
    if isinstance(value, Range):
        return range_data(value)
    if isinstance(value, ConditionalRange):
        given = {} if value.given is None else {"given": condition_data(value.given)}
        return given | range_data(value.reads)
    if isinstance(value, Origin):
        return str(value)
    if is_dataclass(value) and not isinstance(value, type):
        return stated(value)
    if isinstance(value, Mapping):
        return {key: plain_data(inner) for key, inner in value.items()}
    if isinstance(value, (tuple, list, frozenset)):
        return [plain_data(inner) for inner in value]
    return value


def range_data(reads: Range) -> dict[str, Any]:
    """The mapping that is written in YAML for a range."""
    ends = () if reads.low is None and reads.high is None else (reads.low, reads.high)
    found: dict[str, Any] = {"between": [plain_data(end) for end in ends]} if ends else {}
    shares = {"nothing": reads.nothing, "whole": reads.whole, "sound": reads.sound}
    return found | {name: share for name, share in shares.items() if share}


def condition_data(condition: c.Condition) -> dict[str, Any]:
    """The mapping that is written in YAML for a condition."""
    match condition:
        case c.Is(name, expected):
            return {name: expected[0] if len(expected) == 1 else list(expected)}
        case c.Compares(name, relation, bound):
            return {name: {relation: bound}}
        case c.Known(name, wanted):
            return {name: "known" if wanted else "unknown"}
        case c.Any(parts):
            return {"any": [condition_data(part) for part in parts]}
        case c.NoneOf(parts):
            return {"none": [condition_data(part) for part in parts]}
        case c.All(parts):
            return _merged(condition_data(part) for part in parts)
    raise TypeError(f"{type(condition).__name__} is no condition of the knowledge base")


def _merged(parts: Iterable[dict[str, Any]]) -> dict[str, Any]:
    """One mapping; two comparisons of one name stand in one comparison."""
    found: dict[str, Any] = {}
    for part in parts:
        for name, value in part.items():
            known = found.get(name)
            found[name] = {**known, **value} if isinstance(known, dict) and isinstance(value, dict) else value
    return found


def yaml_words(data: object) -> str:
    """Plain data on one line, as it would be written in YAML.

    >>> yaml_words({"duty": ["heavy", "light"], "when_hot": True, "crank_current": {"above": 300.0}})
    '{duty: [heavy, light], when_hot: true, crank_current: {above: 300}}'
    """
    if isinstance(data, Mapping):
        return "{" + ", ".join(f"{key}: {yaml_words(value)}" for key, value in data.items()) + "}"
    if isinstance(data, (list, tuple)):
        return "[" + ", ".join(map(yaml_words, data)) + "]"
    if isinstance(data, bool):
        return str(data).lower()
    return f"{data:.6g}" if isinstance(data, float) else str(data)


def condition_words(condition: c.Condition) -> str:
    """A condition as a person says it.

    >>> condition_words(c.All((c.Is("duty", ("heavy",)), c.Compares("air_temperature", "at_most", 0.0))))
    'duty is heavy and air_temperature is at most 0'
    """
    match condition:
        case c.Is(name, expected):
            return f"{name} is {' or '.join(map(yaml_words, expected))}"
        case c.Compares(name, relation, bound):
            return f"{name} is {relation.replace('_', ' ')} {yaml_words(bound)}"
        case c.Known(name, wanted):
            return f"{name} is {'known' if wanted else 'not known'}"
        case c.Any(parts):
            return "(" + " or ".join(map(condition_words, parts)) + ")"
        case c.NoneOf(parts):
            return "it is not known that " + " or that ".join(map(condition_words, parts))
        case c.All(parts):
            return " and ".join(map(condition_words, parts))
    return str(condition)
