"""Reading the fields of one entry: each getter returns what was meant or notes a problem.

A getter never raises: after a problem it returns something harmless, so that one slip
does not hide the next. Fields nobody asked for are reported by `Entry.close`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

from crankpath.engine.knowledge.building.conditions import read_condition
from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.chance_words import ChanceError, chance
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.documents import Place, RawEntry, inside, key_origin
from crankpath.engine.knowledge.formula import Formula, FormulaError
from crankpath.engine.knowledge.problems import ProblemCollector, near, quoted
from crankpath.engine.knowledge.records import Origin, Quantity, Selector


class Entry:
    """One mapping of the knowledge base with its place."""

    def __init__(self, raw: RawEntry, what: str, names: Names, slips: ProblemCollector) -> None:
        self.id = raw.id
        self.what = what
        self.names = names
        self.folder = raw.folder
        self.place: Place = raw.place
        self.at: Origin = raw.key
        self.data: Mapping[str, Any] = raw.data if isinstance(raw.data, dict) else {}
        self._slips = slips
        self._asked: set[str] = set()
        if not isinstance(raw.data, dict):
            self.wrong(None, "is not a mapping", "Write its fields below it, as 'field: value'")

    # -- problems -----------------------------------------------------------------

    def wrong(
        self, key: str | None, message: str, advice: str = "", *steps: str | int, check: str = ""
    ) -> None:
        """Note a problem at a field (or at the entry), or at something inside the field."""
        origin = self.at if key is None else key_origin(self.at.file, self.place, key)
        if key is not None and key in self.data:
            origin = self.origin(key, *steps)
        field = f" {key}:" if key else ""
        self._slips.add(origin, f"{self.what}{field} {message}", advice, self.folder, check=check)

    def origin(self, *steps: str | int) -> Origin:
        """Where a value inside this entry begins."""
        place = self.place
        for step in steps:
            place = inside(place, step)
        return Origin(self.at.file, place.line, place.column)

    def close(self) -> None:
        """Report every field that was never asked for."""
        for key in self.data:
            if key not in self._asked:
                origin = key_origin(self.at.file, self.place, key)
                message = f"{self.what} has no field {quoted(key)}"
                self._slips.add(origin, message, near(key, sorted(self._asked), 12), self.folder)

    # -- plain fields ---------------------------------------------------------------

    def has(self, key: str) -> bool:
        """True if the field is written and not empty."""
        self._asked.add(key)
        return self.data.get(key) is not None

    def raw(self, key: str) -> Any:
        """The field as plain data, or None."""
        self._asked.add(key)
        return self.data.get(key)

    def text(self, key: str, default: str | None = None, longest: int | None = None) -> str:
        """A text; without `default` it must be written."""
        value = self.raw(key)
        if value is None:
            if default is None:
                self.wrong(None, f"has no '{key}'", f"Add '{key}:'")
            return default or ""
        if not isinstance(value, str):
            self.wrong(key, f"{quoted(value)} is no text", "Put it in quotes")
            return str(value)
        if longest is not None and len(value) > longest:
            self.wrong(
                key, f"{quoted(value)} has {len(value)} characters; at most {longest} fit", "Shorten it"
            )
        return value

    def word(self, key: str, known: Iterable[str], default: str | None = None) -> str:
        """One of the known words."""
        value = self.text(key, default)
        choices = tuple(known)
        if value and value not in choices and isinstance(self.data.get(key), str):
            self.wrong(key, f"{quoted(value)} is not known", near(value, choices, 12))
        return value

    def number(self, key: str, default: float | None = None, least: float | None = None) -> float:
        """A number; without `default` it must be written."""
        value = self.raw(key)
        if value is None:
            if default is None:
                self.wrong(None, f"has no '{key}'", f"Add '{key}:'")
            return default or 0.0
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            self.wrong(key, f"{quoted(value)} is no number", "Write a plain decimal number")
            return default or 0.0
        if least is not None and value < least:
            self.wrong(key, f"{value:g} is below {least:g}")
        return float(value)

    def maybe_number(self, key: str) -> float | None:
        """A number, or None if it is not written."""
        return self.number(key) if self.has(key) else None

    def flag(self, key: str, default: bool = False) -> bool:
        """true or false."""
        value = self.raw(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            self.wrong(key, f"{quoted(value)} is not true or false", "Write true or false")
            return default
        return value

    def words(self, key: str, required: bool = False) -> tuple[str, ...]:
        """A list of texts (one text alone counts as a list of one)."""
        value = self.raw(key)
        if value is None:
            if required:
                self.wrong(None, f"has no '{key}'", f"Add '{key}: [...]'")
            return ()
        items = [value] if isinstance(value, str) else value
        if not isinstance(items, list):
            self.wrong(key, "is not a list", f"Write '{key}: [a, b]'")
            return ()
        for index, item in enumerate(items):
            if not isinstance(item, str):
                self.wrong(key, f"{quoted(item)} is no text", "Put it in quotes", index)
        return tuple(str(item) for item in items)

    def mapping(self, key: str) -> Mapping[str, Any]:
        """A mapping; empty if it is not written."""
        value = self.raw(key)
        if value is None:
            return {}
        if not isinstance(value, dict):
            self.wrong(key, "is not a mapping", f"Write '{key}: {{name: value}}'")
            return {}
        return value

    def parts(self, key: str) -> list[Entry]:
        """A list of mappings, each as an entry of its own, to be closed by the caller."""
        value = self.raw(key)
        if not isinstance(value, list):
            return []
        return [self.part(key, index) for index in range(len(value))]

    def part(self, key: str, *steps: str | int) -> Entry:
        """A mapping inside this entry, as an entry of its own."""
        data, place = self.data[key], inside(self.place, key)
        for step in steps:
            data, place = data[step], inside(place, step)
        raw = RawEntry(self.id, data, place, Origin(self.at.file, place.line, place.column), self.folder)
        return Entry(raw, f"{self.what} {key}", self.names, self._slips)

    # -- references -------------------------------------------------------------------

    def ref(self, key: str, section: str) -> str:
        """An id of a section; must be written."""
        value = self.text(key)
        if value:
            self._known(key, value, section)
        return value

    def maybe_ref(self, key: str, section: str) -> str | None:
        """An id of a section, or None."""
        return self.ref(key, section) if self.has(key) else None

    def refs(self, key: str, section: str) -> tuple[str, ...]:
        """A list of ids of a section."""
        values = self.words(key)
        for index, value in enumerate(values):
            self._known(key, value, section, index)
        return values

    def refs_in(self, key: str, values: Any, step: str, section: str) -> tuple[str, ...]:
        """A list of ids of a section that stands inside the field."""
        for index, value in enumerate(values):
            self._known(key, value, section, step, "places", index)
        return tuple(values)

    def ids(
        self, key: str, section: str, index: int | None = None, length: int = 2
    ) -> tuple[str, ...] | None:
        """A list of exactly `length` ids: the field's, or the one at `index` inside it."""
        value = self.raw(key)
        steps: tuple[int, ...] = () if index is None else (index,)
        if index is not None:
            value = value[index]
        if not isinstance(value, list) or len(value) != length or not all(isinstance(v, str) for v in value):
            self.wrong(key, f"must be a list of {length} ids of '{section}'", "", *steps)
            return None
        for place, id_ in enumerate(value):
            self._known(key, id_, section, *steps, place)
        return tuple(value)

    def _known(self, key: str, id_: str, section: str, *steps: str | int) -> None:
        known = self.names.sections[section]
        if id_ not in known:
            message = f"{quoted(id_)} is not in '{section}'"
            self.wrong(key, message, near(id_, known), *steps, check="unknown_id")

    # -- what the engine computes with ---------------------------------------------------

    def condition(self, key: str) -> Condition | None:
        """A condition, or None if it is not written."""
        if not self.has(key):
            return None

        def report(place: Place, message: str, advice: str) -> None:
            origin = Origin(self.at.file, place.line, place.column)
            self._slips.add(origin, f"{self.what} {key}: {message}", advice, self.folder, check="condition")

        return read_condition(self.data[key], inside(self.place, key), self.names, report)

    def quantity(self, key: str) -> Quantity | None:
        """A number or ``{formula: ...}``, or None if it is not written."""
        return self.quantity_at(key, self.data[key]) if self.has(key) else None

    def quantity_at(self, key: str, value: Any, *steps: str | int) -> Quantity | None:
        """A number or formula that stands inside the field; None after a problem."""
        if isinstance(value, dict) and set(value) == {"formula"} and isinstance(value["formula"], str):
            return self.formula(key, value["formula"], *steps, "formula")
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            self.wrong(key, f"{quoted(value)} is no number", 'Write a number or {formula: "..."}', *steps)
            return None
        return float(value)

    def formula(self, key: str, text: str, *steps: str | int) -> Formula | None:
        """A formula over known names; None after a problem."""
        try:
            formula, used = _parsed(text)
        except FormulaError as slip:
            self.wrong(key, str(slip), "", *steps)
            return None
        for name in sorted(used - self.names.facts):
            advice = near(name, sorted(self.names.facts))
            self.wrong(key, f"the formula's {quoted(name)} is no fact", advice, *steps, check="unknown_id")
        return formula

    def chance(self, key: str, default: float | None = None) -> float:
        """A chance, as a word of the scale or a number."""
        value = self.raw(key)
        if value is None and default is not None:
            return default
        if value is None:
            self.wrong(None, f"has no '{key}'", f"Add '{key}:' with a word of the scale or a number")
            return 0.5
        return self.chance_at(key, value)

    def chance_at(self, key: str, value: Any, *steps: str | int) -> float:
        """A chance that stands inside the field; 0.5 after a problem."""
        try:
            return chance(value, self.names.scale)
        except ChanceError as slip:
            self.wrong(key, str(slip), "", *steps, check="chances")
            return 0.5

    def selector(self, key: str, section: str, kinds: Iterable[str]) -> Selector | None:
        """Ids, or ``{kinds: [...]}``; None if it is not written."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, (list, str)):
            ids = self.refs(key, section)
            if not ids:
                self.wrong(key, "names nothing", "Write ids or {kinds: [...]}")
            return Selector(ids, ())
        if isinstance(value, dict) and set(value) == {"kinds"}:
            inner = self.part(key)
            known = sorted(kinds)
            found = inner.words("kinds", required=True)
            for index, kind in enumerate(found):
                if kind not in known:
                    self.wrong(key, f"no entry of '{section}' has the kind {quoted(kind)}", near(kind, known),
                               "kinds", index, check="unknown_id")  # fmt: skip
            return Selector((), found)
        self.wrong(key, "selects nothing that is known", "Write a list of ids or {kinds: [...]}")
        return None


@lru_cache(maxsize=2000)
def _parsed(text: str) -> tuple[Formula, frozenset[str]]:
    """A formula and its names; a knowledge base writes few formulas many times."""
    formula = Formula.parse(text)
    return formula, formula.names()
