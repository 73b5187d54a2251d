"""Every name that an entry may refer to, gathered before any entry is read."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from crankpath.engine.knowledge.documents import RawEntry
from crankpath.engine.knowledge.entries.values import Origin


def resistance_of(fact: str, run: str) -> str:
    """The fact that a case computes of a run, so that no entry of the knowledge base derives it; ohm.

    >>> resistance_of("cables", "positive")
    'positive_cable_resistance'
    """
    return f"{run}_{fact.removesuffix('s')}_resistance"


DONE: Final = "done"
"""The value of a repair's id as a fact once the repair was made."""


YES_NO: Final = frozenset(("yes", "no"))
"""Words for true and false that are none in YAML as it is read here."""


@dataclass(frozen=True, slots=True)
class Names:
    """What exists, by section, and the words that belong to each name.

    values: equipment fact or repair -> its values (empty: a number). bands: measurement -> bands.
    finer: measurement -> values that are told apart inside a band.
    computed: facts of the machine that a case computes. facts: every name a condition or formula may use.
    lost: (section, id) that was retired, and ("facts of", name) that only a retired rule derived -> what
    was retired, where and in which folder.
    """

    sections: Mapping[str, Mapping[str, RawEntry]]
    scale: Mapping[str, float]
    values: Mapping[str, tuple[Any, ...]]
    bands: Mapping[str, tuple[str, ...]]
    fault_kinds: frozenset[str]
    measurement_kinds: Mapping[str, tuple[str, ...]]
    computed: frozenset[str]
    facts: frozenset[str]
    finer: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    lost: Mapping[tuple[str, str], tuple[str, Origin, str]] = field(default_factory=dict)

    def choices(self, measurement: str) -> tuple[str, ...]:
        """What a condition can compare a reading with: its bands and what is told apart in them."""
        return (*self.bands.get(measurement, ()), *self.finer.get(measurement, ()))

    def labelled(self, section: str, words: str) -> str:
        """The id of the entry of a section that these words are the label of; empty if there is none."""
        return next((id_ for id_, raw in self.sections[section].items() if _field(raw, "label") == words), "")

    @classmethod
    def of(
        cls,
        sections: Mapping[str, Mapping[str, RawEntry]],
        retired: Mapping[tuple[str, str], tuple[RawEntry, Origin, str]] | None = None,
    ) -> Names:
        """Gather the names; malformed entries are passed over, they are reported when read."""
        measurements = sections["measurements"]
        bands = {
            id_: _apart(_words(_field(raw, "bands") or _field(raw, "values")))
            for id_, raw in measurements.items()
        }
        values = {id_: tuple(_list(_field(raw, "values"))) for id_, raw in sections["equipment"].items()}
        values = {id_: (True, False) if set(map(str, of)) == YES_NO else of for id_, of in values.items()}
        values.update(dict.fromkeys(sections["repairs"], (DONE,)))
        derived = {name for raw in sections["facts"].values() for name in _mapping(_field(raw, "then"))}
        computed = frozenset(
            resistance_of(id_, run)
            for id_, raw in sections["equipment"].items()
            for run in _words(_field(raw, "runs"))
        )
        lost = {}
        for (section, id_), (raw, origin, folder) in (retired or {}).items():
            lost[section, id_] = (id_, origin, folder)
            if section in ("facts", "equipment", "measurements", "repairs"):
                for name in _mapping(_field(raw, "then")) if section == "facts" else (id_,):
                    lost["facts of", name] = (id_, origin, folder)
        kinds: dict[str, list[str]] = {}
        for id_, raw in measurements.items():
            for kind in _words(_field(raw, "kinds")):
                kinds.setdefault(kind, []).append(id_)
        return cls(
            sections=sections,
            scale=_scale(sections["scale"]),
            values=values,
            bands=bands,
            fault_kinds=frozenset(
                k for raw in sections["faults"].values() for k in _words(_field(raw, "kinds"))
            ),
            measurement_kinds={kind: tuple(ids) for kind, ids in kinds.items()},
            finer={id_: tuple(_mapping(_field(raw, "finer"))) for id_, raw in measurements.items()},
            lost=lost,
            computed=computed,
            facts=computed | derived | set(values) | set(bands),
        )

    def kinds(self, section: str) -> Collection[str]:
        """The kinds of the faults, or of the measurements."""
        return self.fault_kinds if section == "faults" else self.measurement_kinds


def _field(raw: RawEntry, key: str) -> Any:
    return raw.data.get(key) if isinstance(raw.data, dict) else None


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _words(value: Any) -> tuple[str, ...]:
    return tuple(word for word in _list(value) if isinstance(word, str))


def _apart(words: tuple[str, ...]) -> tuple[str, ...]:
    """The words of a list whose commas were left out; that is told where the list is read."""
    return tuple(words[0].split()) if len(words) == 1 else words


def _mapping(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else {}


def _scale(entries: Mapping[str, RawEntry]) -> dict[str, float]:
    return {
        word: float(raw.data)
        for word, raw in entries.items()
        if isinstance(raw.data, (int, float)) and not isinstance(raw.data, bool) and 0 < raw.data < 1
    }
