"""The words of a knowledge base as they turn up in messages, made ready for matching."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Knowledge, Measurement
from crankpath.engine.typed.names import calls
from crankpath.engine.typed.units import UNITS, Unit
from crankpath.shell.replies import words
from crankpath.shell.replies.text import stems

Stems = tuple[str, ...]
_SAID: Final = 5  # a saying is at most this many words


@dataclass(frozen=True, slots=True)
class Called:
    """What some words may name.

    exact: called exactly so. loose: having all the words in their names. context: having
    them when the words for how they are taken (cranking, rested) count too.
    """

    exact: tuple[str, ...]
    loose: tuple[str, ...]
    context: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        """Both, without repeats."""
        return tuple(dict.fromkeys((*self.exact, *self.loose)))


@dataclass(frozen=True)
class Lexicon:
    """Names, values and sayings of one knowledge base in stemmed form.

    calls: a name -> measurement ids. bags: id -> every word of its names. values: id ->
    (way to say it, value), longest first. sayings: (words, measurement, values), longest
    first; more than one value means it must be asked. absent: not on this machine.
    """

    measurements: dict[str, Measurement]
    calls: dict[Stems, tuple[str, ...]]
    bags: dict[str, frozenset[str]]
    states: dict[str, frozenset[str]]
    absent: frozenset[str]
    values: dict[str, tuple[tuple[Stems, str], ...]]
    sayings: tuple[tuple[Stems, str, tuple[str, ...]], ...]
    vocabulary: frozenset[str]

    def named(self, said: Sequence[str]) -> Called:
        """Which measurements some words (stems) can name; empty when none."""
        core = tuple(w for w in said if w not in words.JOIN)
        exact = self.calls.get(tuple(said)) or self.calls.get(core) or ()
        if not core or (not exact and words.NOT_ALONE.issuperset(core)):
            return Called(exact, ())
        loose = tuple(m for m, bag in self.bags.items() if bag.issuperset(core) and m not in self.absent)
        context = tuple(m for m, bag in self.bags.items() if (bag | self.states[m]).issuperset(core))
        if not loose:
            loose = tuple(m for m in context if self.bags[m].intersection(core) and m not in self.absent)
        return Called(exact, loose, context)

    def numeric(self, called: Called, unit: Unit | None) -> tuple[str, ...]:
        """The readings among them that can have this unit; those called exactly so go first."""
        fit = [m for m in called.exact if self._fits(m, unit)]
        loose = [m for m in called.loose if self._fits(m, unit)]
        if unit is not None and len(fit or loose) > 1:
            same = [m for m in (fit or loose) if self.measurements[m].unit == unit.name != "A"]
            return tuple(same or fit or loose)
        return tuple(fit or loose)

    def observed(self, called: Called) -> tuple[str, ...]:
        """The observations among them; those called exactly so go first."""
        exact = [m for m in called.exact if not self.measurements[m].numeric]
        return tuple(exact or [m for m in called.loose if not self.measurements[m].numeric])

    def _fits(self, name: str, unit: Unit | None) -> bool:
        own = UNITS.get(self.measurements[name].unit or "")
        return own is not None and (unit is None or unit.dimension == own.dimension)


def lexicon(knowledge: Knowledge, facts: Facts) -> Lexicon:
    """The lexicon of a knowledge base; what this machine cannot have is known but marked."""
    here = dict(knowledge.measurements)
    absent = frozenset(name for name, m in here.items() if m.only and m.only.holds(facts) is False)
    names: dict[Stems, list[str]] = {}
    bags: dict[str, frozenset[str]] = {}
    for name, m in here.items():
        own = [stems(c) for c in (*calls(m), *words.CALLS.get(name, ()))]
        for call in own:
            core = tuple(w for w in call if w not in words.JOIN)
            for form in {call, core if len(core) > 1 else call} - {()}:
                names.setdefault(form, []).append(name)
        bags[name] = frozenset(w for call in own for w in call)
    states = {name: frozenset(stems(m.state)) for name, m in here.items()}
    values = {name: _values(m) for name, m in here.items() if not m.numeric}
    sayings = _sayings(knowledge, here)
    said = [s for s, _, _ in sayings] + [s for pairs in values.values() for s, _ in pairs]
    vocabulary = frozenset().union(*bags.values(), *states.values(), *said, *_phrases())
    broad = {stems(b) for b in words.BROAD}
    exact = {
        form: tuple(i for i in dict.fromkeys(ids) if form not in broad or not here[i].numeric)
        for form, ids in names.items()
    }
    return Lexicon(here, exact, bags, states, absent, values, sayings, vocabulary)


def _values(m: Measurement) -> tuple[tuple[Stems, str], ...]:
    pairs = {
        (stems(call), band)
        for band in m.choices
        for call in (band, m.band_labels.get(band, ""), *words.VALUES.get(band, ()))
        if stems(call)
    }
    said = [call for call, _ in pairs]
    # what is said of two values of one measurement tells neither
    return tuple(sorted((p for p in pairs if said.count(p[0]) == 1), key=lambda p: (-len(p[0]), p)))


def _sayings(
    knowledge: Knowledge, here: dict[str, Measurement]
) -> tuple[tuple[Stems, str, tuple[str, ...]], ...]:
    said: dict[Stems, tuple[str, tuple[str, ...]]] = {}
    for words_said, measurement, value in words.SAYINGS:
        said[stems(words_said)] = (measurement, (value,))
    for words_said, (measurement, value) in knowledge.complaints.items():
        said[stems(words_said)] = (measurement, (value,))
    for words_said, measurement, values in words.UNCLEAR:
        said[stems(words_said)] = (measurement, values)
    for words_said in words.NO_SAYING:
        said.pop(stems(words_said), None)
    fitting = [
        (form, m, values)
        for form, (m, values) in said.items()
        if form and m in here and set(values) <= set(here[m].choices)
    ]
    return tuple(sorted(fitting, key=lambda s: (-len(s[0]), s)))


@lru_cache(maxsize=1)
def _phrases() -> tuple[Stems, ...]:
    return tuple(stems(p) for p in (*words.PRESENT, *words.AWAY, *words.CANNOT, *words.CANNOT_AFTER))


def runs(said: Sequence[str], phrases: Iterable[str]) -> list[tuple[int, int]]:
    """Where one of the phrases stands among the stems: (first, one past the last)."""
    found = []
    for phrase in phrases:
        form = stems(phrase)
        found += [(i, i + len(form)) for i in range(len(said)) if tuple(said[i : i + len(form)]) == form]
    return found
