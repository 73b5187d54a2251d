"""From a condition as written in YAML to the objects of `crankpath.engine.knowledge.condition`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from crankpath.engine.knowledge import condition as c
from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.building.spot import Spot, as_written
from crankpath.engine.knowledge.problems import near, quoted
from crankpath.engine.knowledge.slips.values import number_meant

_RELATIONS: Final = ("above", "below", "at_least", "at_most")
_GROUPS: Final[dict[str, Callable[[tuple[c.Condition, ...]], c.Condition]]] = {"any": c.Any, "none": c.NoneOf}
_CHECK: Final = "condition"


def read_condition(data: Any, at: Spot) -> c.Condition:
    """The condition; what is wrong with its names, bands and values is noted at its place."""
    if not isinstance(data, dict) or not data:
        at.wrong("a condition is a mapping from names to what they must be", "Write {name: value}", _CHECK)
        return c.All(())
    parts = []
    for name, expected in data.items():
        read = _group if name in _GROUPS else _line
        parts.append(read(name, expected, at.inside(name)))
    return parts[0] if len(parts) == 1 else c.All(tuple(parts))


def _group(name: str, data: Any, at: Spot) -> c.Condition:
    if not isinstance(data, list) or not data:
        at.wrong("what stands here is a list of conditions", f"Write {name}: [{{a: b}}, {{c: d}}]", _CHECK)
        return c.All(())
    return _GROUPS[name](tuple(read_condition(part, at.inside(i)) for i, part in enumerate(data)))


def _line(name: str, expected: Any, at: Spot) -> c.Condition:
    if name not in at.names.facts and not at.is_lost("facts of", name):
        advice = near(name, sorted(at.names.facts))
        at.wrong_key(f"{quoted(name)} is no equipment, reading or fact", advice, _CHECK)
    if isinstance(expected, dict):
        return _comparison(name, expected, at)
    if expected in ("known", "unknown"):
        return c.Known(name, expected == "known")
    values = expected if isinstance(expected, list) else [expected]
    if not values:
        at.wrong("an empty list holds nothing to compare with", "Name at least one value", _CHECK)
    for index, value in enumerate(values):
        _check_value(name, value, at.inside(index) if isinstance(expected, list) else at)
    return c.Is(name, tuple(value for value in values if isinstance(value, (str, int, float))))


def _check_value(name: str, value: Any, at: Spot) -> None:
    bands, values = at.names.choices(name), at.names.values.get(name)
    if not isinstance(value, (str, int, float)):
        at.wrong(f"{as_written(value)} is written to compare with", "Write a word or a number", _CHECK)
    elif bands:
        if isinstance(value, str) and value not in bands:
            at.wrong(f"{quoted(value)} is no band of {name}", near(value, bands, 12), _CHECK)
    elif values and not _among(value, values):
        known = [as_written(other).strip("'") for other in values]
        advice = near(as_written(value).strip("'"), known, 12)
        at.wrong(f"{as_written(value)} is no value of {name}", advice, _CHECK)


def _among(value: str | float | bool, values: tuple[Any, ...]) -> bool:
    """True if it is one of them; true and 1 are not the same."""
    return any(value == known and isinstance(value, bool) == isinstance(known, bool) for known in values)


def _comparison(name: str, data: dict[str, Any], at: Spot) -> c.Condition:
    parts: list[c.Condition] = []
    for relation, bound in data.items():
        here = at.inside(relation)
        if relation not in _RELATIONS:
            here.wrong_key(f"{quoted(relation)} is no comparison", near(relation, _RELATIONS), _CHECK)
        elif isinstance(bound, bool) or not isinstance(bound, (int, float)):
            advice = f"Type {number_meant(bound)}" if number_meant(bound) else "Write a plain decimal number"
            here.wrong(f"{quoted(bound)} is no number to compare with", advice, _CHECK)
        else:
            parts.append(c.Compares(name, relation, float(bound)))
    if not data:
        at.wrong("an empty comparison says nothing", "Write {above: 5}, for example", _CHECK)
    return parts[0] if len(parts) == 1 else c.All(tuple(parts))


def condition_schema(names: Names) -> dict[str, Any]:
    """The JSON Schema of a condition; an editor offers the names of facts and their values."""
    several = {"type": "array", "minItems": 1, "items": {"$ref": "#/$defs/condition"}}
    about = {"any": "at least one of these holds", "none": "not one of these is known to hold"}
    words: dict[str, dict[str, Any]] = {group: {"description": about[group], **several} for group in _GROUPS}
    for name in sorted(names.facts):
        values = names.bands.get(name) or names.values.get(name) or ()
        words[name] = {"anyOf": [{"enum": [*values, "known", "unknown"]}, {"$ref": "#/$defs/expected"}]}
    expected = {"$ref": "#/$defs/expected"}
    return {"type": "object", "minProperties": 1, "properties": words, "additionalProperties": expected}


def expected_schema() -> dict[str, Any]:
    """The JSON Schema of what a fact must be: a value, several, or a comparison."""
    value = {"type": ["string", "number", "boolean"]}
    compared = {"type": "object", "minProperties": 1, "additionalProperties": False,
                "properties": {key: {"type": "number"} for key in _RELATIONS}}  # fmt: skip
    return {"anyOf": [value, {"type": "array", "minItems": 1, "items": value}, compared]}
