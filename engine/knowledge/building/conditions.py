"""From a condition as written in YAML to the objects of `crankpath.engine.knowledge.condition`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from crankpath.engine.knowledge import condition as c
from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.documents import Place, inside, key_origin
from crankpath.engine.knowledge.problems import near, quoted

Report = Callable[[Place, str, str], None]
"""Takes the place, what is wrong there, and advice."""

_RELATIONS: Final = ("above", "below", "at_least", "at_most")
_GROUPS: Final[dict[str, Callable[[tuple[c.Condition, ...]], c.Condition]]] = {"any": c.Any, "none": c.NoneOf}


def read_condition(data: Any, place: Place, names: Names, report: Report) -> c.Condition:
    """The condition; names, bands and values are checked, problems go to `report`."""
    if not isinstance(data, dict) or not data:
        report(place, "a condition is a mapping from names to what they must be", "Write {name: value}")
        return c.All(())
    parts = []
    for name, expected in data.items():
        at = inside(place, name)
        if name in _GROUPS:
            parts.append(_group(name, expected, at, names, report))
        else:
            parts.append(_line(name, expected, at, _key_place(place, name), names, report))
    return parts[0] if len(parts) == 1 else c.All(tuple(parts))


def _group(name: str, data: Any, place: Place, names: Names, report: Report) -> c.Condition:
    if not isinstance(data, list) or not data:
        report(place, f"'{name}' holds a list of conditions", f"Write {name}: [{{a: b}}, {{c: d}}]")
        return c.All(())
    return _GROUPS[name](
        tuple(read_condition(part, inside(place, i), names, report) for i, part in enumerate(data))
    )


def _line(name: str, expected: Any, place: Place, key: Place, names: Names, report: Report) -> c.Condition:
    if name not in names.facts:
        report(key, f"{quoted(name)} is no equipment, reading or fact", near(name, sorted(names.facts)))
    if isinstance(expected, dict):
        return _comparison(name, expected, place, report)
    if expected in ("known", "unknown"):
        return c.Known(name, expected == "known")
    values = expected if isinstance(expected, list) else [expected]
    if not values:
        report(place, f"{quoted(name)} has an empty list", "Name at least one value")
    for index, value in enumerate(values):
        at = inside(place, index) if isinstance(expected, list) else place
        _check_value(name, value, at, names, report)
    return c.Is(name, tuple(value for value in values if isinstance(value, (str, int, float))))


def _check_value(name: str, value: Any, place: Place, names: Names, report: Report) -> None:
    if not isinstance(value, (str, int, float)):
        report(place, f"{quoted(name)} cannot be compared with {quoted(value)}", "Write a word or a number")
    elif name in names.bands:
        if isinstance(value, str) and value not in names.choices(name):
            report(place, f"{quoted(value)} is no band of {name}", near(value, names.choices(name), 12))
    elif names.values.get(name) and not _among(value, names.values[name]):
        choices = [_shown(known) for known in names.values[name]]
        report(place, f"{quoted(_shown(value))} is no value of {name}", near(_shown(value), choices, 12))


def _among(value: Any, known: tuple[Any, ...]) -> bool:
    return any(value == k and isinstance(value, bool) == isinstance(k, bool) for k in known)


def _shown(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _comparison(name: str, data: dict[str, Any], place: Place, report: Report) -> c.Condition:
    parts: list[c.Condition] = []
    for relation, bound in data.items():
        at = inside(place, relation)
        if relation not in _RELATIONS:
            report(
                _key_place(place, relation),
                f"{quoted(relation)} is no comparison",
                near(relation, _RELATIONS),
            )
        elif isinstance(bound, bool) or not isinstance(bound, (int, float)):
            report(at, f"{quoted(bound)} is no number to compare with", "Write a plain decimal number")
        else:
            parts.append(c.Compares(name, relation, float(bound)))
    if not data:
        report(place, f"{quoted(name)} has an empty comparison", "Write {above: 5}, for example")
    return parts[0] if len(parts) == 1 else c.All(tuple(parts))


def _key_place(place: Place, key: str) -> Place:
    origin = key_origin("", place, key)
    return Place(origin.line, origin.column, None)
