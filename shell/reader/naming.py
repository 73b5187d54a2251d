"""Which reading the words around a figure mean: names, unit, state and size weighed together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from crankpath.engine.errors import CaseError, DoubtfulReading, ReadingError
from crankpath.engine.inference.bands import limits_in_force
from crankpath.engine.inference.ranges import sound_band
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Measurement
from crankpath.engine.typed.reading import Understood, bound, understand
from crankpath.engine.typed.units import UNITS, number_in
from crankpath.shell.reader.pieces.lexicon import Keys, Lexicon
from crankpath.shell.reader.pieces.tokens import Figure

# Marks for how well a reading fits the words; only their order and distance matter.
_CALLED: Final = 2.0  # called exactly so
_LONGER: Final = 0.4  # each further word of the name
_WORD: Final = 0.9  # a word of its names, times what the word tells
_BROAD: Final = 0.3  # called so in the knowledge base, though the word can mean others
_BOTH_ENDS: Final = 1.7  # of 2: both places are those of its leads
_PLACES: Final = 2.6
_WRONG_PLACES: Final = 1.2
_STATE: Final = 0.4  # the state it is read in is told
_STRAY: Final = 0.8  # a word of another reading's names
_END: Final = 0.5  # a word of one of its two points
_WORST: Final = 2.4
_ASKED: Final = 1.0
_STATE_ONLY: Final = 1.5  # a name of another reading that may be no more than the state of the one asked for
_ASKED_ALONE: Final = 2.5  # nothing is named: the figure answers what was asked
_NO_UNIT: Final = 1.0  # a figure without its unit among readings in volts
_NOT_HERE: Final = 0.6  # a reading that this machine has not
_LOST_NAME: Final = 1.2
_LOST_WORDS: Final = 0.2
_LIKELY: Final = 0.2
_UNLIKELY: Final = 1.0
_IMPOSSIBLE: Final = 2.0
_FAR: Final = 8.0  # times the limit of what is sound: a reading seldom is
_LEAST: Final = 0.55  # of the lowest limit, and
_MOST: Final = 1.12  # of the highest: where more is better


FINE: Final = frozenset(("V", "ohm"))
"""Dimensions that most readings are in."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A reading that a figure may be, how well it fits, and what the figure is then.

    text: the figure as the case's entry takes it. trouble: why it cannot be taken as it stands.
    """

    measurement: str
    score: float
    text: str
    understood: Understood | None
    trouble: str = ""
    stray: int = 0  # words that name something else
    called: bool = False  # by name, not by a word of it or by its unit


class Naming:
    """Scores the readings of one machine for words and a figure; what was scored once is kept."""

    def __init__(self, lexicon: Lexicon, facts: Facts, asked: str | None, comma: bool) -> None:
        self.lexicon, self.facts, self.comma = lexicon, facts, comma
        readings = lexicon.knowledge.measurements
        self.wanted = asked if asked in readings else None
        self.observing = self.wanted is not None and not readings[self.wanted].numeric  # words are expected
        states = frozenset().union(*lexicon.states.values())
        quiet = lexicon.everyday.union(*(lexicon.single(role) for role in ("counted", "nothing", "filler")))
        self.common = quiet - states  # words of names that say nothing by themselves
        self.asked = asked if asked and asked in readings and readings[asked].numeric else None
        self.unit = readings[self.asked].unit if self.asked else None  # of what was asked for
        alike = [lexicon.bags[m.id] for m in readings.values() if m.unit == self.unit]
        self._quantity = lexicon.single("quantity") & frozenset().union(*alike) if self.unit else frozenset()
        self.candidates = lru_cache(maxsize=4000)(self._candidates)
        self.fit = lru_cache(maxsize=4000)(self._fit)
        self.words = lru_cache(maxsize=4000)(self._words)

    def _candidates(
        self, bag: Keys, figure: Figure, context: Keys = (), state: str = ""
    ) -> tuple[Candidate, ...]:
        """Readings that a figure among these words may be, best first; state: what the machine does."""
        found = []
        for m, (score, called, stray) in self.words(bag, context).items():
            if not self._fits(m, figure):
                continue
            fit = self.fit(m, figure)
            score += _STATE * (self.lexicon.knowledge.measurements[m].state == state) + fit.score
            score -= _NO_UNIT * self._wants_unit(m, bag, figure)
            if not self.here(m):
                if not called and m != self.asked:
                    continue
                score -= _NOT_HERE
            found.append(Candidate(m, score, fit.text, fit.understood, fit.trouble, stray, called))
        if self._state_is_name(bag, figure, found):
            found = [replace(c, score=c.score + _STATE_ONLY * (c.measurement != self.asked)) for c in found]
        return tuple(sorted(found, key=lambda c: (-c.score, c.measurement))[:8])

    def _state_is_name(self, bag: Keys, figure: Figure, found: Sequence[Candidate]) -> bool:
        """ "Crank 9.9", where a drop was asked for that is never so large: it is a name after all."""
        if self.asked is None or not bag or any(key not in self.lexicon.states[self.asked] for key in bag):
            return False
        likely = any(c.called and self.fit(c.measurement, figure).score > 0 for c in found)
        return likely and self.fit(self.asked, figure).score < 0

    def _wants_unit(self, measurement: str, bag: Keys, figure: Figure) -> bool:
        """Volts were asked for, and this is in another unit, of which nothing is said."""
        readings = self.lexicon.knowledge.measurements
        asked = self.asked is not None and readings[self.asked].unit in FINE
        said = figure.unit is not None or not self.lexicon.single("quantity").isdisjoint(bag)
        return asked and not said and readings[measurement].unit not in FINE

    def here(self, measurement: str) -> bool:
        """False where this machine has no such reading."""
        only = self.lexicon.knowledge.measurements[measurement].only
        return only is None or only.holds(self.facts) is not False

    def best(self, bag: Keys, figure: Figure, context: Keys = ()) -> float:
        """How well the best of them fits; 0 where nothing does."""
        found = self.candidates(bag, figure, context)
        return max(found[0].score, 0.0) if found else 0.0

    def telling(self, bag: Keys) -> Keys:
        """The words that tell which reading is meant; "pulls" tells but the unit of the one asked for."""
        told = tuple(key for key in bag if key in self.lexicon.weights)
        if self.asked is None or self._quantity.isdisjoint(told):
            return told
        own = self._quantity | self.lexicon.bags[self.asked]
        called = _called(bag, self.lexicon)
        if called.get(self.asked) or any(not own.issuperset(name) for name in called.values()):
            return told
        return tuple(key for key in told if key not in self._quantity)

    def lost(self, keys: Keys) -> float:
        """What it counts against a way of sharing words out that no figure takes these."""
        state = self.lexicon.states[self.asked] if self.asked else frozenset()
        if all(key in state for key in keys):
            return 0.0
        return _LOST_NAME if any(self.lexicon.called(keys)) else _LOST_WORDS

    def _fits(self, measurement: str, figure: Figure) -> bool:
        unit = UNITS.get(self.lexicon.knowledge.measurements[measurement].unit or "")
        if unit is None or (figure.part_of and unit.name != "%"):
            return False
        return figure.unit is None or figure.unit.dimension == unit.dimension

    def _words(self, bag: Keys, context: Keys) -> dict[str, tuple[float, bool, int]]:
        """How well the words alone fit each reading that they can mean, whether they call it by name,
        and how many name something else."""
        lexicon = self.lexicon
        told = self.telling(bag)
        called = _called(told if len(told) < len(bag) else bag, lexicon)
        places = _places(bag, lexicon)
        found: dict[str, tuple[float, bool, int]] = {}
        for m in lexicon.knowledge.measurements.values():
            if not m.numeric:
                continue
            own, state = lexicon.bags[m.id], lexicon.states[m.id]
            words = called.get(m.id, ())
            name = len(words)
            score = _CALLED + _LONGER * (name - 1) if name else 0.0
            score += sum(_WORD * lexicon.weights[key] for key in dict.fromkeys(told) if key in own) * (
                0.3 if name else 1
            )
            strange = [key for key in dict.fromkeys(told) if key not in own | state and key not in words]
            stray = len(strange)
            ends = sum(key in lexicon.ends[m.id] for key in strange)
            score -= min(_STRAY * (stray - ends) + _END * ends, _WORST)
            if places and not any(key in lexicon.single("to") for key in words):
                both = places.get(m.id, 0.0) >= _BOTH_ENDS
                score += _PLACES if both else -_WRONG_PLACES
                name, stray = (name or 1, 0) if both else (name, stray + 1)
            score += _BROAD * any(m.id in lexicon.broad.get(key, ()) for key in told)
            score += _STATE * any(key in state for key in (*bag, *context))
            score += self._asked_for(m, told)
            if name or score > 0 or m.id == self.asked or not told:
                found[m.id] = (score, bool(name), stray)
        return found

    def _asked_for(self, m: Measurement, told: Sequence[str]) -> float:
        """What it counts that a reading was asked for, and words that only tell the state it is read in."""
        if self.asked is None:
            return 0.0
        state = self.lexicon.states[self.asked]
        state_told = all(key in state for key in told)
        if m.id != self.asked:
            return -_STATE_ONLY if told and state_told else 0.0
        if state_told:
            return _ASKED_ALONE - _STATE * bool(told)
        return _ASKED if any(key in self.lexicon.bags[m.id] for key in told) else 0.0

    def _fit(self, measurement: str, figure: Figure) -> Candidate:
        """How likely the figure is there, and what it is then."""
        m = self.lexicon.knowledge.measurements[measurement]
        text = self._settled(m, figure)
        try:
            read = understand(m, text, self.facts)
        except DoubtfulReading as doubt:
            score = -_LIKELY if doubt.suggestion else -_IMPOSSIBLE
            return Candidate(measurement, score, doubt.suggestion or text, None, str(doubt))
        except ReadingError as slip:
            return Candidate(measurement, -_IMPOSSIBLE, text, None, str(slip))
        likely = isinstance(read.value, float) and is_likely(m, read.value, self.facts)
        return Candidate(measurement, _LIKELY if likely else -_UNLIKELY, text, read)

    def _settled(self, m: Measurement, figure: Figure) -> str:
        """1,250 as 1.25 or as 1250: what the text's other figures, and then the reading's limits, say."""
        number, _, unit = figure.text.partition(" ")
        meanings = number_in(number) if number[:1].isdigit() else ()
        if len(meanings) != 2:
            return figure.text
        grouped = ("," in number) != self.comma
        order = meanings[::-1] if grouped else meanings
        likely = [n for n in order if self._likely(m, f"{n:g} {unit}".strip())]
        return f"{likely[0]:g} {unit}".strip() if likely else figure.text

    def _likely(self, m: Measurement, text: str) -> bool:
        try:
            value = understand(m, text, self.facts).value
        except ReadingError:
            return False
        return isinstance(value, float) and is_likely(m, value, self.facts)


def _called(bag: Keys, lexicon: Lexicon) -> dict[str, Keys]:
    """Readings that are named in the words, in any order, with the longest name."""
    words = frozenset(bag)
    return {
        m: max((name for name in names if words.issuperset(name)), key=len, default=())
        for m, names in lexicon.names_of.items()
    }


def _places(bag: Keys, lexicon: Lexicon) -> dict[str, float]:
    """How well two places joined by "to" are the two ends of each reading, 0 to 2; empty without two."""
    at = next((i for i, key in enumerate(bag) if key in lexicon.single("to")), 0)
    one, other = _told(bag[:at], lexicon), _told(bag[at + 1 :], lexicon)
    if not at or not one or not other:
        return {}
    found = {}
    for m, (a, b) in lexicon.leads.items():
        x, y = one - lexicon.states[m], other - lexicon.states[m]
        found[m] = max(_part(x, a) + _part(y, b), _part(x, b) + _part(y, a))
    return found


def _told(keys: Keys, lexicon: Lexicon) -> frozenset[str]:
    return frozenset(key for key in keys if key in lexicon.weights)


def _part(said: frozenset[str], label: frozenset[str]) -> float:
    return len(said & label) / max(len(said), 1)


def is_likely(m: Measurement, value: float, facts: Facts) -> bool:
    """Does a reading of this size turn up there, sound or faulty, going by the limits in force?"""
    try:
        limits = limits_in_force(m, facts)
    except CaseError:
        return True
    if not limits or value == 0:  # nothing at all turns up wherever something is open
        return True
    if m.worsens == "down":
        return _LEAST * limits[0] <= value <= _MOST * limits[-1]
    good = m.bands.index("near" if "near" in m.bands else sound_band(m, facts))
    high = _FAR * limits[min(good, len(limits) - 1)]
    if m.unit not in FINE:  # nothing else in that unit is as large, so what is believed is likely
        high = max(high, bound(m.doubtful_above, facts) or 0.0)
    return value <= high and (m.worsens == "up" or value >= limits[max(good - 1, 0)] / _FAR)
