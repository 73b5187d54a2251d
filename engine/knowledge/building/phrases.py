"""Tables of phrases: what people write, under what it stands for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.building.lists import ListOf, MapOf
from crankpath.engine.knowledge.building.shapes import TEXT, Schema, SchemaBuilder
from crankpath.engine.knowledge.building.spot import Spot
from crankpath.engine.knowledge.problems import near, quoted

_PHRASES = MapOf(ListOf(TEXT))


@dataclass(frozen=True, slots=True)
class PhrasesFor:
    """A mapping from a key to phrases.

    keys: the section whose ids the keys are; or ``values``: a value of an observation, alone or
    behind its observation and a point; ``sayings``: an observation with one value or several
    ("crank_behaviour.single_click.chatter"); ``numbers``; ``""``: any word. words: the keys there are.
    """

    keys: str = ""
    words: tuple[str, ...] = ()

    def read(self, value: Any, at: Spot) -> dict[str, tuple[str, ...]]:
        read: dict[str, tuple[str, ...]] = _PHRASES.read(value, at)
        for key in read:
            advice = self._wrong(key, at.names)
            if advice is not None:
                at.inside(key).wrong_key(f"{quoted(key)} is not known", advice, "unknown_id")
        return read

    def _wrong(self, key: str, names: Names) -> str | None:
        """What to try instead of a key that stands for nothing."""
        if self.keys == "numbers":
            return None if key.replace(".", "", 1).isdecimal() else "Write the number in digits, in quotes"
        if self.keys in ("values", "sayings"):
            return self._no_value(key, names)
        known: Iterable[str] = names.sections[self.keys] if self.keys else self.words or (key,)
        return None if key in known else near(key, tuple(known), 12)

    def _no_value(self, key: str, names: Names) -> str | None:
        observation, _, rest = key.partition(".")
        if self.keys == "values" and not rest:
            every = tuple(dict.fromkeys(band for id_ in names.bands for band in names.choices(id_)))
            return None if key in every else near(key, every, 12)
        if observation not in names.bands:
            return near(observation, tuple(names.bands), 12)
        bands = names.choices(observation)
        strange = next((band for band in rest.split(".") if band not in bands), None)
        return None if strange is None else near(strange, bands, 12)

    def schema(self, builder: SchemaBuilder) -> Schema:
        schema = _PHRASES.schema(builder)
        if self.words or self.keys in builder.names.sections:
            schema["propertyNames"] = {"enum": sorted(self.words or builder.names.sections[self.keys])}
        return schema
