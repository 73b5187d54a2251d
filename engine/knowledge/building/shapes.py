"""What one value of a knowledge file can be: how it is read, and what its JSON Schema is.

A shape's ``read`` returns what was meant, or notes every problem in the value and raises
`InvalidValue`. Its ``schema`` is the part of the published JSON Schema for such a value; a part that
is used often stands once, in the `SchemaBuilder`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field
from typing import Any, Final, Protocol

from crankpath.engine.knowledge.building.conditions import condition_schema, expected_schema, read_condition
from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.building.spot import InvalidValue, Spot
from crankpath.engine.knowledge.chance_words import ChanceError, chance
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.entries.values import Quantity
from crankpath.engine.knowledge.formula import Formula, FormulaError, parsed
from crankpath.engine.knowledge.problems import near, quoted
from crankpath.engine.knowledge.slips.values import formula_meant, number_meant

Schema = dict[str, Any]

ID_PATTERN: Final = "^[a-z][a-z0-9_]*$"
_ID: Final = re.compile(ID_PATTERN)
_TYPES: Final = {str: "string", int: "integer", float: "number", bool: "boolean"}


@dataclass(frozen=True, slots=True)
class SchemaBuilder:
    """A schema while it is written. parts: name -> what stands once under ``$defs``."""

    names: Names
    parts: dict[str, Schema] = field(default_factory=dict)

    def part(self, name: str, write: Callable[[], Schema]) -> Schema:
        """A reference to the part of that name, which is written if it is not there yet."""
        if name not in self.parts:
            self.parts[name] = {}  # so that a part may refer to itself
            self.parts[name] = write()
        return {"$ref": f"#/$defs/{name}"}

    def offering(self, name: str, words: Iterable[str]) -> Schema:
        """An id; an editor offers those that there are."""
        offered = {"enum": sorted(words)}
        return self.part(name, lambda: {"anyOf": [offered, ID.schema(self)]})


class Shape(Protocol):
    """One sort of value."""

    def read(self, value: Any, at: Spot) -> Any:
        """What was meant; raises `InvalidValue` once the problems are noted."""
        ...

    def schema(self, builder: SchemaBuilder) -> Schema:
        """The JSON Schema of such a value."""
        ...


@dataclass(frozen=True, slots=True)
class Plain:
    """A value of one of these types, taken as it is written; a text of at most so many characters."""

    expected: str
    types: tuple[type, ...]
    longest: int | None = None

    def read(self, value: Any, at: Spot) -> Any:
        if not isinstance(value, self.types) or (isinstance(value, bool) and bool not in self.types):
            at.unfit(value, self.expected)
        if self.longest is not None and len(str(value)) > self.longest:
            at.unfit(value, f"{self.expected}; it has {len(str(value))}")
        return value

    def schema(self, builder: SchemaBuilder) -> Schema:
        names = [_TYPES[sort] for sort in self.types]
        limit = {} if self.longest is None else {"maxLength": self.longest}
        return {"type": names[0] if len(names) == 1 else names, **limit}


def short_text(longest: int) -> Plain:
    """A text of at most so many characters."""
    return Plain(f"a text of at most {longest} characters", (str,), longest)


TEXT: Final = Plain("a text", (str,))
FLAG: Final = Plain("true or false", (bool,))
SCALAR: Final = Plain("a word, a number, true or false", (str, int, float, bool))
PARAMETER: Final = Plain("a word or a number", (str, int, float))
CHOICE: Final = Plain("a word, a whole number, true or false", (str, int, bool))


@dataclass(frozen=True, slots=True)
class Id:
    """An id of the entry's own making: a band, a kind, a degree."""

    def read(self, value: Any, at: Spot) -> str:
        if not isinstance(value, str) or not _ID.match(value):
            at.unfit(value, "an id: small letters, digits and underscores, beginning with a letter")
        return value

    def schema(self, builder: SchemaBuilder) -> Schema:
        return builder.part("id", lambda: {"type": "string", "pattern": ID_PATTERN})


ID: Final = Id()


@dataclass(frozen=True, slots=True)
class Word:
    """One of the words that are named."""

    known: tuple[str, ...]

    def read(self, value: Any, at: Spot) -> str:
        if value not in self.known:
            at.refuse(f"{quoted(value)} is not known", near(str(value), self.known, 12))
        return str(value)

    def schema(self, builder: SchemaBuilder) -> Schema:
        return {"enum": list(self.known)}


@dataclass(frozen=True, slots=True)
class Number:
    """A number, at least or above or below a bound."""

    expected: str = "a plain decimal number"
    least: float | None = None
    above: float | None = None
    below: float | None = None
    most: float | None = None
    whole: bool = False

    def read(self, value: Any, at: Spot) -> float:
        if isinstance(value, bool) or not isinstance(value, int if self.whole else (int, float)):
            at.unfit(value, self.expected, number_meant(value))
        low = (self.least is not None and value < self.least) or (
            self.above is not None and value <= self.above
        )
        high = (self.most is not None and value > self.most) or (
            self.below is not None and value >= self.below
        )
        if low or high:
            per_cent = 1 < value <= 100 and self.below == 1 and self.above == 0
            at.unfit(value, self.expected, f"{value / 100:g} for {value:g} %" if per_cent else "")
        return value if self.whole else float(value)

    def schema(self, builder: SchemaBuilder) -> Schema:
        bounds = {"minimum": self.least, "exclusiveMinimum": self.above, "exclusiveMaximum": self.below,
                  "maximum": self.most}  # fmt: skip
        kind = "integer" if self.whole else "number"
        return {"type": kind, **{key: bound for key, bound in bounds.items() if bound is not None}}


NUMBER: Final = Number()
NOT_NEGATIVE: Final = Number("a number of 0 or more", least=0)
RANK: Final = Number("a whole number of 0 or more", least=0, whole=True)
SHARE_OF_ALL: Final = Number("a number above 0 and below 1", above=0, below=1)


@dataclass(frozen=True, slots=True)
class Chance:
    """A word of the scale, or a number from 0 to 1."""

    def read(self, value: Any, at: Spot) -> float:
        try:
            return chance(value, at.names.scale)
        except ChanceError as slip:
            meant = number_meant(value)
            at.refuse(str(slip), f"Type {meant}" if meant else "", check="chances")

    def schema(self, builder: SchemaBuilder) -> Schema:
        number = {"type": "number", "minimum": 0, "maximum": 1}
        return builder.part(
            "chance", lambda: {"anyOf": [{"enum": list(builder.names.scale)}, {"type": "string"}, number]}
        )


CHANCE: Final = Chance()


@dataclass(frozen=True, slots=True)
class AFormula:
    """A formula over known names, as a text."""

    def read(self, value: Any, at: Spot) -> Formula:
        text = TEXT.read(value, at)
        try:
            formula, used = parsed(text)
        except FormulaError as slip:
            meant = formula_meant(text, at.names.facts)
            try:
                parsed(meant)
            except FormulaError:
                meant = text
            at.refuse(str(slip), f'Type "{meant}"' if meant != text else "")
        for name in sorted(used - at.names.facts):
            if at.is_lost("facts of", name):
                raise InvalidValue
            at.refuse(f"{quoted(name)} is no fact", near(name, sorted(at.names.facts)), "unknown_id")
        return formula

    def schema(self, builder: SchemaBuilder) -> Schema:
        return TEXT.schema(builder)


FORMULA: Final = AFormula()


@dataclass(frozen=True, slots=True)
class AQuantity:
    """A number or ``{formula: ...}``; with `others`, a value of those types too."""

    others: tuple[type, ...] = ()

    def read(self, value: Any, at: Spot) -> Quantity | Any:
        if isinstance(value, dict) and set(value) == {"formula"} and isinstance(value["formula"], str):
            return FORMULA.read(value["formula"], at.inside("formula"))
        if isinstance(value, self.others):
            return value
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            words = "a word, true, false, " if self.others else ""
            meant = f'{{formula: "{value}"}}' if _arithmetic(value, at.names.facts) else number_meant(value)
            at.unfit(value, f'{words}a number or {{formula: "..."}}', meant)
        return float(value)

    def schema(self, builder: SchemaBuilder) -> Schema:
        formula = {"type": "object", "required": ["formula"], "additionalProperties": False,
                   "properties": {"formula": {"type": "string"}}}  # fmt: skip
        plain = [_TYPES[sort] for sort in (*self.others, float)]
        return {"anyOf": [{"type": plain}, builder.part("formula", lambda: formula)]}


def _arithmetic(value: Any, facts: Collection[str]) -> bool:
    """True if a text is a formula that only lacks its key."""
    try:
        return isinstance(value, str) and bool(parsed(value)[1] & set(facts))
    except FormulaError:
        return False


QUANTITY: Final = AQuantity()
DERIVED: Final = AQuantity((str, bool))


@dataclass(frozen=True, slots=True)
class ACondition:
    """What must hold: a mapping from names to what they must be."""

    def read(self, value: Any, at: Spot) -> Condition:
        return read_condition(value, at)

    def schema(self, builder: SchemaBuilder) -> Schema:
        builder.part("expected", expected_schema)
        return builder.part("condition", lambda: condition_schema(builder.names))


CONDITION: Final = ACondition()


@dataclass(frozen=True, slots=True)
class Ref:
    """The id of an entry of that section."""

    section: str

    def read(self, value: Any, at: Spot) -> str:
        known = at.names.sections[self.section]
        if not isinstance(value, str):
            single = value[0] if isinstance(value, list) and len(value) == 1 else ""
            at.unfit(value, f"one id of '{self.section}'", str(single) if single in list(known) else "")
        if value not in known and at.is_lost(self.section, value):
            raise InvalidValue
        if value not in known:
            at.refuse(f"{quoted(value)} is not in "
                      f"'{self.section}'", self._meant(value, at), check="unknown_id")
        return value

    def _meant(self, value: str, at: Spot) -> str:
        """What to type for an id that this section does not have."""
        home = next((name for name, entries in at.names.sections.items() if value in entries), "")
        if home:
            return f"It is one of '{home}'; name one of '{self.section}' here"
        of = [id_ for id_, bands in at.names.bands.items() if value in bands]
        if of and self.section == "measurements":
            return f"It is a value of {', '.join(of[:3])}; name the measurement here"
        labelled = at.names.labelled(self.section, value)
        return f"Type {labelled}" if labelled else near(value, at.names.sections[self.section])

    def schema(self, builder: SchemaBuilder) -> Schema:
        return builder.offering(f"one_of_{self.section}", builder.names.sections[self.section])


@dataclass(frozen=True, slots=True)
class Fact:
    """The name of a fact, a reading or a property of the machine."""

    def read(self, value: Any, at: Spot) -> str:
        if value not in at.names.facts and at.is_lost("facts of", str(value)):
            raise InvalidValue
        if value not in at.names.facts:
            at.refuse(f"{quoted(value)} is no fact", near(str(value), sorted(at.names.facts)), "unknown_id")
        return str(value)

    def schema(self, builder: SchemaBuilder) -> Schema:
        return builder.offering("fact_name", builder.names.facts)


FACT: Final = Fact()
