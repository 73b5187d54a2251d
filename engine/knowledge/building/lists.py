"""Lists, mappings and selections of values: how they are read, and what their JSON Schema is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, TypeVar

from crankpath.engine.knowledge.building.shapes import (
    ID,
    AQuantity,
    Chance,
    Ref,
    Schema,
    SchemaBuilder,
    Shape,
)
from crankpath.engine.knowledge.building.spot import InvalidValue, Spot
from crankpath.engine.knowledge.entries.values import Selector
from crankpath.engine.knowledge.problems import near, quoted
from crankpath.engine.knowledge.slips.values import decimal_commas, list_meant

Step = TypeVar("Step", int, str)


@dataclass(frozen=True, slots=True)
class ListOf:
    """A list of values; one text alone counts as a list of one.

    least, most: how many. strict: one text alone is refused.
    """

    of: Shape
    least: int = 0
    most: int | None = None
    strict: bool = False

    def read(self, value: Any, at: Spot) -> tuple[Any, ...]:
        if isinstance(value, str) and not self.strict:
            return (self.of.read(value, at),)
        if not isinstance(value, list):
            at.unfit(value, "a list", list_meant(value))
        odd = (self.least == self.most and len(value) != self.least) or any(map(_after_comma, value))
        if odd and isinstance(self.of, AQuantity) and (meant := decimal_commas(value)):
            at.unfit(value, "numbers with a decimal point", meant)
        if len(value) < self.least or (self.most is not None and len(value) > self.most):
            exactly = self.least == self.most
            at.unfit(value, f"a list of {self.least}{'' if exactly else ' or more'}", list_meant(value))
        return tuple(_all_read(self.of, enumerate(value), at).values())

    def schema(self, builder: SchemaBuilder) -> Schema:
        bounds = {"minItems": self.least or None, "maxItems": self.most}
        several = {"type": "array", "items": self.of.schema(builder),
                   **{key: bound for key, bound in bounds.items() if bound is not None}}  # fmt: skip
        return several if self.strict else {"anyOf": [self.of.schema(builder), several]}


def _after_comma(item: Any) -> bool:
    """True for what stands after a decimal comma and is no number by itself."""
    return isinstance(item, str) and len(item) > 1 and item[0] == "0" and item.isdigit()


def _all_read(shape: Shape, items: Iterable[tuple[Step, Any]], at: Spot) -> dict[Step, Any]:
    """Every item as it was meant; raises `InvalidValue` once the problems of all are noted."""
    found: dict[Step, Any] = {}
    spoilt = False
    for step, item in items:
        try:
            found[step] = shape.read(item, at.inside(step))
        except InvalidValue:
            spoilt = True
            if isinstance(shape, AQuantity | Chance):
                break  # the others are written in the same way
    if spoilt:
        raise InvalidValue
    return found


def refs(section: str, least: int = 0) -> ListOf:
    """Ids of entries of that section."""
    return ListOf(Ref(section), least)


def pair(section: str) -> ListOf:
    """Exactly two ids of that section."""
    return ListOf(Ref(section), 2, 2, strict=True)


@dataclass(frozen=True, slots=True)
class MapOf:
    """A mapping; an editor offers the keys of the named sort: ``bands`` or ``facts``."""

    of: Shape
    offers: str = ""
    least: int = 0

    def read(self, value: Any, at: Spot) -> dict[str, Any]:
        if not isinstance(value, dict) or len(value) < self.least:
            at.unfit(value, "a mapping: {name: value}")
        commas = [key for key, item in value.items() if item is None and key.isdigit()]
        if commas:
            before = list(value)[list(value).index(commas[0]) - 1]
            said = f"{before}: {value[before]}.{commas[0]}"
            at.inside(commas[0]).wrong_key("a decimal comma parts the mapping here", f"Type {said}")
            raise InvalidValue
        return _all_read(self.of, value.items(), at)

    def schema(self, builder: SchemaBuilder) -> Schema:
        schema: Schema = {"type": "object", "additionalProperties": self.of.schema(builder)}
        if self.least:
            schema["minProperties"] = self.least
        if self.offers == "bands":
            words = {word for bands in builder.names.bands.values() for word in bands}
            schema["propertyNames"] = builder.offering("any_band", words)
        return schema


@dataclass(frozen=True, slots=True)
class Either:
    """A value of the first shape, or a mapping of the second."""

    plain: Shape
    mapping: Shape

    def read(self, value: Any, at: Spot) -> Any:
        return (self.mapping if isinstance(value, dict) else self.plain).read(value, at)

    def schema(self, builder: SchemaBuilder) -> Schema:
        return {"anyOf": [self.plain.schema(builder), self.mapping.schema(builder)]}


@dataclass(frozen=True, slots=True)
class ASelector:
    """Ids of a section, or ``{kinds: [...]}`` for every entry of a kind."""

    section: str

    def read(self, value: Any, at: Spot) -> Selector:
        if isinstance(value, (list, str)):
            return Selector(refs(self.section, 1).read(value, at), ())
        if not isinstance(value, dict):
            at.unfit(value, "a list of ids, or {kinds: [...]}")
        for key in value:
            if key != "kinds":
                at.unknown(key, ["kinds"])
        if not value:
            at.lacks("has no 'kinds'", "Add 'kinds:'")
        if set(value) != {"kinds"}:
            raise InvalidValue
        return Selector((), self._kinds(value["kinds"], at.inside("kinds")))

    def _kinds(self, value: Any, at: Spot) -> tuple[str, ...]:
        found = ListOf(ID, 1).read(value, at)
        known = sorted(at.names.kinds(self.section))
        for index, kind in enumerate(found):
            if kind not in known:
                at.inside(index).refuse(f"no entry of '{self.section}' has the kind {quoted(kind)}",
                                        near(kind, known), check="unknown_id")  # fmt: skip
        return found

    def schema(self, builder: SchemaBuilder) -> Schema:
        kind = builder.offering(f"kind_of_{self.section}", builder.names.kinds(self.section))
        kinds = {"type": "object", "additionalProperties": False, "required": ["kinds"],
                 "properties": {"kinds": {"anyOf": [kind, {"type": "array", "items": kind}]}}}  # fmt: skip
        return {"anyOf": [refs(self.section, 1).schema(builder), kinds]}
