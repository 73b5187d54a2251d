"""The limits of a measurement: sets written out, or taken from a template with its parameters filled in.

In a template ``$name`` stands for a parameter, in texts, formulas and conditions alike::

    limit_templates:
      joint:
        parameters: {most: "what one joint may lose, in volts at 12 V"}
        sets: [{at: [{formula: "0.5 * $most"}, $most, 2.5, 9.6], times: system_voltage / 12}]
    measurements:
      splice_drop: {limits: {use: joint, with: {most: 0.1}, because: "A bolted splice."}}
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from crankpath.engine.knowledge.building.fields import Draft, RecordOf
from crankpath.engine.knowledge.building.shapes import Schema, SchemaBuilder
from crankpath.engine.knowledge.building.spot import InvalidValue, Spot
from crankpath.engine.knowledge.documents import RawEntry, inside
from crankpath.engine.knowledge.problems import near, quoted

TEMPLATES: Final = "limit_templates"
_PARAMETER: Final = re.compile(r"\$([a-z][a-z0-9_]*)")
_DEEPEST: Final = 5
_MOST: Final = 100  # a few templates that use each other many times would never end


def parameters_in(data: Any) -> Iterator[str]:
    """The parameters named in plain data."""
    if isinstance(data, str):
        yield from _PARAMETER.findall(data)
    elif isinstance(data, (list, dict)):
        inner = [*data, *data.values()] if isinstance(data, dict) else data
        for item in inner:
            yield from parameters_in(item)


def filled_in(data: Any, values: Mapping[str, Any]) -> Any:
    """Plain data with its parameters replaced; a text that is one parameter becomes its value."""
    if isinstance(data, dict):
        return {str(filled_in(key, values)): filled_in(item, values) for key, item in data.items()}
    if isinstance(data, list):
        return [filled_in(item, values) for item in data]
    if not isinstance(data, str):
        return data
    alone = _PARAMETER.fullmatch(data)
    if alone:
        return values[alone[1]]
    return _PARAMETER.sub(lambda found: str(values[found[1]]), data)


@dataclass(frozen=True, slots=True)
class Limits:
    """Limit sets: a list of sets and uses of templates, or one use alone.

    sets, use: the records of a set and of a use (`crankpath.engine.knowledge.entries.measurements`).
    """

    sets: type
    use: type

    def read(self, value: Any, at: Spot) -> tuple[Any, ...]:
        return self._read(value, at, _DEEPEST)

    def _read(self, value: Any, at: Spot, deeper: int) -> tuple[Any, ...]:
        if isinstance(value, dict):
            return self._item(value, at, deeper)
        if not isinstance(value, list) or not value:
            at.unfit(value, "a list of limit sets, or {use: template}")
        found: list[Any] = []
        spoilt = False
        for index, item in enumerate(value):
            try:
                found += self._item(item, at.inside(index), deeper)
            except InvalidValue:
                spoilt = True
            if len(found) > _MOST:
                at.refuse(f"more than {_MOST} limit sets are not read", "Look at the templates")
        if spoilt:
            raise InvalidValue
        return tuple(found)

    def _item(self, item: Any, at: Spot, deeper: int) -> tuple[Any, ...]:
        if not (isinstance(item, dict) and "use" in item):
            return (RecordOf(self.sets).read(item, at),)
        use = RecordOf(self.use).read(item, at)
        template = at.names.sections[TEMPLATES][use.template]
        data = template.data if isinstance(template.data, dict) else {}
        if not isinstance(data.get("sets"), list) or deeper == 0:
            at.inside("use").refuse("the template has no sets, or uses itself", "Look at the template")
        _check_parameters(use.values, data.get("parameters"), data["sets"], at)
        sets = self._read(filled_in(data["sets"], use.values), _spot_of(template, at), deeper - 1)
        return tuple(
            replace(
                one,
                sources=tuple(dict.fromkeys((*one.sources, *use.sources))),
                because=f"{one.because} {use.because}".strip(),
            )
            for one in sets
        )

    def schema(self, builder: SchemaBuilder) -> Schema:
        use = RecordOf(self.use).schema(builder)
        items = {"anyOf": [use, RecordOf(self.sets).schema(builder)]}
        return {"anyOf": [use, {"type": "array", "minItems": 1, "items": items}]}


def _check_parameters(values: Mapping[str, Any], parameters: Any, sets: Any, at: Spot) -> None:
    known = parameters if isinstance(parameters, dict) else {}
    for name in values:
        if name not in known:
            at.inside("with", name).wrong_key(f"{quoted(name)} is no parameter", near(name, known, 20))
    missing = [name for name in known if name not in values]
    if missing:
        at.wrong(f"the template needs {', '.join(missing)}", "Add it to 'with:'")
    if missing or set(values) - set(known) or set(parameters_in(sets)) - set(known):
        raise InvalidValue  # what the template does not describe is told there


def _spot_of(template: RawEntry, at: Spot) -> Spot:
    """Where the template's sets stand; they are told as part of what uses them."""
    context = replace(at.context, file=template.key.file, folder=template.folder)
    place = inside(template.place, "sets")
    return Spot(context, f"{at.called} by template {template.id}", place, place.line, place.column)


@dataclass(frozen=True, slots=True)
class TemplateSets:
    """The sets of a template, as written: they are read where they are used."""

    def read(self, value: Any, at: Spot) -> Any:
        if not isinstance(value, list) or not value:
            at.unfit(value, "a list of limit sets")
        return value

    def schema(self, builder: SchemaBuilder) -> Schema:
        return {"type": "array", "minItems": 1, "items": {"type": "object"}}


def parameters_agree(template: Draft, written: Mapping[str, Any], at: Spot) -> None:
    """Every parameter that is named is described, and every one described is used."""
    used = set(parameters_in(template.sets))
    for name in sorted(used - set(template.parameters)):
        at.inside("sets").wrong(f"${name} is not among the parameters", near(name, template.parameters, 12))
    for name in template.parameters:
        if name not in used:
            at.inside("parameters", name).wrong_key(f"no set uses ${name}", "Take it out")
