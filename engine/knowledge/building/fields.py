"""The fields of a record and the sections of a base: what each says and holds, defined once.

A record is a frozen dataclass whose written fields are defined by `says`. From that come the
reading of an entry (`RecordOf`), its JSON Schema and the tables of the guide::

    @record
    class Tool:
        id: str
        label: str = says("its name", TEXT)
        minutes: float = says("time it takes", NOT_NEGATIVE, absent=0.0)
        origin: Origin

``id``, ``origin`` and ``folder`` are not written: they are the entry's own.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final, TypeVar, dataclass_transform

from crankpath.engine.knowledge.building.lists import ASelector, ListOf
from crankpath.engine.knowledge.building.shapes import ID, Schema, SchemaBuilder, Shape
from crankpath.engine.knowledge.building.spot import InvalidValue, Spot
from crankpath.engine.knowledge.documents import Place
from crankpath.engine.knowledge.slips.values import latin
from crankpath.engine.likeness import nearest

Record = TypeVar("Record")

_NEEDED: Final = object()
_WRITTEN: Final = "written"
_SECTION: Final = "section"
LIKE: Final = "like"
ADD, DROP = "add", "drop"
LIKE_SAYS: Final = "the entry that supplies every field not written here"


@dataclass(frozen=True, slots=True)
class Written:
    """How a field is written.

    says: what it is, for a person. key: its name in the file; also: another name for it.
    absent: its value when it is not written. own: never taken over by ``like``; goes_with:
    nor taken over where one of these is written anew.
    """

    says: str
    shape: Shape
    key: str
    also: str | None
    absent: Any
    own: bool
    goes_with: tuple[str, ...]

    @property
    def needed(self) -> bool:
        """True if an entry cannot do without it."""
        return self.absent is _NEEDED

    @property
    def keys(self) -> tuple[str, ...]:
        """The names it can be written under."""
        return (self.key, self.also) if self.also else (self.key,)


def says(
    meaning: str,
    shape: Shape,
    *,
    absent: Any = _NEEDED,
    default: Any = dataclasses.MISSING,
    key: str = "",
    also: str | None = None,
    own: bool = False,
    goes_with: tuple[str, ...] = (),
) -> Any:
    """A written field of a record; without `absent` or `default` it must be written (see `Written`).

    default: like absent, and a record made in code may leave the field out too.
    """
    if default is not dataclasses.MISSING:
        absent = default
    written = Written(meaning, shape, key, also, absent, own, goes_with)
    if isinstance(default, dict):  # a record made in code gets one of its own
        return dataclasses.field(metadata={_WRITTEN: written}, default_factory=dict)
    return dataclasses.field(metadata={_WRITTEN: written}, default=default)


@dataclass(frozen=True, slots=True)
class Section:
    """One section. says: what stands in it. one: what an entry is called. free: keys are any words.

    like: an entry may take fields over from another.
    """

    says: str
    shape: Shape
    one: str
    like: bool
    free: bool

    def schema(self, builder: SchemaBuilder) -> Schema:
        """The JSON Schema of the section."""
        keys = {} if self.free else {"propertyNames": ID.schema(builder)}
        return {"description": self.says, "type": ["object", "null"],
                "additionalProperties": self.shape.schema(builder), **keys}  # fmt: skip


def section(
    says: str, holds: type | Shape, one: str, *, like: bool = False, free: bool = False, **default: Any
) -> Any:
    """A section as a field of `crankpath.engine.knowledge.records.Knowledge` (see `Section`)."""
    shape = RecordOf(holds, like) if isinstance(holds, type) else holds
    return dataclasses.field(metadata={_SECTION: Section(says, shape, one, like, free)}, **default)


@dataclass_transform(frozen_default=True, field_specifiers=(says, section, dataclasses.field))
def record(cls: type[Record]) -> type[Record]:
    """Make the class a frozen dataclass whose fields are read as `says` defines them."""
    return dataclass(frozen=True, slots=True)(cls)


@lru_cache
def written_fields(cls: type) -> Mapping[str, Written]:
    """Attribute -> how it is written, in the order of the record."""
    return {
        field.name: dataclasses.replace(
            field.metadata[_WRITTEN], key=field.metadata[_WRITTEN].key or field.name
        )
        for field in dataclasses.fields(cls)
        if _WRITTEN in field.metadata
    }


@lru_cache
def sections_of(cls: type) -> Mapping[str, Section]:
    """Name of each section of a record -> what it is, in the order of the record."""
    return {f.name: f.metadata[_SECTION] for f in dataclasses.fields(cls) if _SECTION in f.metadata}


@lru_cache
@lru_cache(8)
def keys_of(cls: type) -> Mapping[str, frozenset[str]]:
    """Section -> the fields of its entries, without `like`, of a knowledge base's class."""
    return {name: frozenset(key for field in written_fields(section.shape.cls).values() for key in field.keys)
            for name, section in sections_of(cls).items() if isinstance(section.shape, RecordOf)}  # fmt: skip


def home_of(cls: type, keys: Iterable[str]) -> str:
    """The one section whose entries have all these fields; empty if there is none or more than one."""
    wanted = set(keys) - {LIKE}
    fitting = [name for name, known in keys_of(cls).items() if wanted and wanted <= known]
    return fitting[0] if len(fitting) == 1 else ""


def typed_home(cls: type, entries: object) -> str:
    """What to type above entries whose section there is not: the home of their fields, if one has all."""
    found = entries.values() if isinstance(entries, dict) else ()
    home = home_of(cls, [key for data in found if isinstance(data, dict) for key in data])
    return f"Type {home}" if home else ""


def _known_keys(cls: type) -> dict[str, None]:
    """Every name that a field of the record can be written under, in the order of the record."""
    return {key: None for field in written_fields(cls).values() for key in field.keys}


@lru_cache
def _given(cls: type) -> frozenset[str]:
    """Fields that are the entry's own and not written."""
    names = {field.name for field in dataclasses.fields(cls)}
    return frozenset({"id", "origin", "folder"} & names - set(written_fields(cls)))


class Draft:
    """The fields of a record that could be read; any other is `InvalidValue`."""

    def __getattr__(self, name: str) -> Any:
        raise InvalidValue

    def __setattr__(self, name: str, value: Any) -> None:
        self.__dict__[name] = value


@dataclass(frozen=True, slots=True)
class RecordOf:
    """A mapping that is read as a record. like: it may take fields over from another entry."""

    cls: type
    like: bool = False

    def read(self, value: Any, at: Spot) -> Any:
        if not isinstance(value, dict):
            at.lacks("is not a mapping", self._as_mapping(at))
            raise InvalidValue
        draft = Draft()
        fields = written_fields(self.cls)
        known = _known_keys(self.cls)
        unknown = [key for key in value if key not in known]
        misspelt = {match for key in unknown for match in nearest(latin(key), known)}
        if self.like and any(nearest(key.lower(), [LIKE]) for key in unknown):
            known, misspelt = {**known, LIKE: None}, set(known)  # it would have brought the rest
        if any(key in bands for key in unknown for bands in at.names.bands.values()):
            misspelt.add("reads")  # a value written where its mapping belongs
        spoilt = False
        for name, field in fields.items():
            try:
                setattr(draft, name, _field(field, value, at, misspelt))
            except InvalidValue:
                spoilt = True
        for key in unknown:
            at.unknown(key, list(known))
            spoilt = True
        for check in at.context.checks.get(self.cls, ()):
            try:
                check(draft, value, at)
            except InvalidValue:
                spoilt = True
        if spoilt:
            raise InvalidValue
        own = {"id": at.context.id, "origin": at.key, "folder": at.context.folder}
        return self.cls(**vars(draft), **{name: own[name] for name in _given(self.cls)})

    def _as_mapping(self, at: Spot) -> str:
        """What to write where no mapping stands."""
        known = _known_keys(self.cls)
        if at.context.id in known and at.column == at.context.column:
            return (
                f"It is a field of the entry above: check the indentation, and begin it "
                f"{at.column + 1} spaces in"
            )
        if len(known) <= 4:
            return f"Write {{{', '.join(f'{key}: ...' for key in known)}}}"
        return "Write its fields below it, as 'field: value'"

    def schema(self, builder: SchemaBuilder) -> Schema:
        return builder.part(self.cls.__name__, lambda: self._written_out(builder))

    def _written_out(self, builder: SchemaBuilder) -> Schema:
        fields = written_fields(self.cls).values()
        properties: dict[str, Schema] = {}
        if self.like:
            properties[LIKE] = {"description": LIKE_SAYS,
                                **ID.schema(builder)}  # fmt: skip
        for field in fields:
            written = field.shape.schema(builder)
            if self.like and isinstance(field.shape, (ListOf, ASelector)):
                change = {"type": "object", "properties": {ADD: written, DROP: written}}
                written = {"anyOf": [written, {**change, "additionalProperties": False}]}
            described = {"description": field.says, **written}
            properties |= dict.fromkeys(field.keys, described)
        needed: Schema = {"required": [f.key for f in fields if f.needed and not f.also]}
        rule = {"if": {"required": [LIKE]}, "else": needed} if self.like else needed
        return {"type": "object", "additionalProperties": False, **rule, "properties": properties}


def _field(field: Written, value: Mapping[str, Any], at: Spot, misspelt: Container[str]) -> Any:
    key = field.key if field.key in value else field.also
    if key is not None and key in value:
        return field.shape.read(value[key], at.inside(key))
    if field.needed:
        if field.key in misspelt:
            raise InvalidValue  # told as a field that does not exist
        names = "' or '".join(field.keys)
        advice = f"Add '{field.key}:', {field.says}"
        others = [id_ for id_ in at.names.sections.get(at.context.section, ()) if id_ != at.context.id]
        if LIKE in at.place_below and (meant := nearest(at.context.id, others)):
            advice = f"Did you mean {meant[0]}? For a new entry: add '{field.key}:'"
        at.lacks(f"has no '{names}'", advice)
        raise InvalidValue
    return field.absent


def many(cls: type, least: int = 1) -> ListOf:
    """A list of mappings, each read as such a record."""
    return ListOf(RecordOf(cls), least, strict=True)


def _alone(cls: type, name: str, value: Any, at: Spot) -> Any:
    """The record of which only this attribute is written, without its key."""
    key, line, column = written_fields(cls)[name].key, at.place.line, at.place.column
    place = Place(line, column, {key: (line, column, at.place)})
    return RecordOf(cls).read({key: value}, Spot(at.context, at.called, place, line, column))


@dataclass(frozen=True, slots=True)
class OneOrMany:
    """A list of records, or the attribute `alone` of a single one without list and key."""

    cls: type
    alone: str

    def read(self, value: Any, at: Spot) -> tuple[Any, ...]:
        if isinstance(value, list):
            if len(value) == 1 and not isinstance(value[0], dict):
                at.unfit(value, "one value, or a list of mappings", str(value[0]))
            return many(self.cls).read(value, at)
        return (_alone(self.cls, self.alone, value, at),)

    def schema(self, builder: SchemaBuilder) -> Schema:
        single = written_fields(self.cls)[self.alone].shape
        return {"anyOf": [single.schema(builder), many(self.cls).schema(builder)]}


@dataclass(frozen=True, slots=True)
class ShortOrWhole:
    """A record, or its attribute `alone` (no mapping itself) without its key."""

    cls: type
    alone: str

    def read(self, value: Any, at: Spot) -> Any:
        whole = isinstance(value, dict)
        if whole and not value.keys() & _known_keys(self.cls).keys():
            at.refuse("a colon stands inside a text that has no quotes", 'Put the text in quotes: "..."')
        return RecordOf(self.cls).read(value, at) if whole else _alone(self.cls, self.alone, value, at)

    def schema(self, builder: SchemaBuilder) -> Schema:
        single = written_fields(self.cls)[self.alone].shape
        return {"anyOf": [single.schema(builder), RecordOf(self.cls).schema(builder)]}
