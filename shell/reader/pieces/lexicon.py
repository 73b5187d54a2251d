"""The words of a knowledge base, made ready for matching: one lexicon a language."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from crankpath.engine.knowledge.records import Knowledge, Measurement, Words
from crankpath.engine.typed.names import calls
from crankpath.engine.typed.units import UNITS, unit_called
from crankpath.shell.reader.pieces.stemming import WORD, NearSpellings, Stemmer

Keys = tuple[str, ...]
"""Words in the form in which they are compared."""

_SWAPPED: Final = 12  # letters of a word in which a slip is looked for
NAME_LENGTH: Final = 7  # words of a name, at most, that are looked up at once


@dataclass
class Lexicon:
    """Names, values and sayings of one knowledge base in one language, as keys.

    names: a name -> readings called so; names_of: the other way round. broad: words that
    several are called in a message, with those that are listed under it. bags: reading -> every
    word of its names; ends: of the two points it is read between; leads: of each of them.
    weights: word -> how much it tells which reading is meant. states: reading -> words for
    what the machine does meanwhile; foreign: phrases for what it does not. trade: every word of a
    name or state.
    observed: names of observations. values: observation -> (way to say it, value), longest
    first. worn: the same for phrases of which too little is left without filler words ("all the time").
    sayings: phrase -> (observation, values). roles: what a phrase does to its sentence
    -> phrases. signed: a plus or minus before a word that it goes with. literals: names with
    a figure, a hyphen or a plus in them. spoken: words of this
    language, without the labels that all languages share.
    """

    knowledge: Knowledge
    language: str
    stemmer: Stemmer
    names: dict[Keys, tuple[str, ...]] = field(default_factory=dict)
    names_of: dict[str, tuple[Keys, ...]] = field(default_factory=dict)
    broad: dict[str, tuple[str, ...]] = field(default_factory=dict)
    bags: dict[str, frozenset[str]] = field(default_factory=dict)
    ends: dict[str, frozenset[str]] = field(default_factory=dict)
    leads: dict[str, tuple[frozenset[str], frozenset[str]]] = field(default_factory=dict)
    weights: dict[str, float] = field(default_factory=dict)
    states: dict[str, frozenset[str]] = field(default_factory=dict)
    foreign: dict[str, frozenset[Keys]] = field(default_factory=dict)
    values: dict[str, tuple[tuple[Keys, str], ...]] = field(default_factory=dict)
    worn: dict[str, tuple[tuple[Keys, str], ...]] = field(default_factory=dict)
    sayings: dict[Keys, tuple[str, tuple[str, ...]]] = field(default_factory=dict)
    roles: dict[str, frozenset[Keys]] = field(default_factory=dict)
    when: tuple[tuple[Keys, str], ...] = ()
    numbers: dict[str, float] = field(default_factory=dict)
    ordinals: dict[str, int] = field(default_factory=dict)
    signed: re.Pattern[str] | None = None
    literals: re.Pattern[str] | None = None
    trade: frozenset[str] = frozenset()
    observed: frozenset[Keys] = frozenset()
    spoken: frozenset[str] = frozenset()
    vocabulary: frozenset[str] = frozenset()
    everyday: frozenset[str] = frozenset()
    near: NearSpellings = field(default_factory=lambda: NearSpellings(()))
    dimensions: frozenset[str] = frozenset()
    decimal_comma: bool = False

    def key(self, word: str) -> str:
        """The form of a word in a text, its spelling mended where one known word is near."""
        stem = self.stemmer.stem(word)
        if stem in self.vocabulary or stem in self.everyday or len(stem) < 4:
            return stem
        return self.near.nearest(stem) or self._slipped(word.lower()) or stem

    def _slipped(self, low: str) -> str | None:
        """The known word that two letters swapped or one doubled make of this one: "fues", "dimm"."""
        swapped = (low[:i] + low[i + 1] + low[i] + low[i + 2 :] for i in range(min(len(low) - 1, _SWAPPED)))
        doubled = (low[:i] + low[i + 1 :] for i in range(min(len(low) - 1, _SWAPPED)) if low[i] == low[i + 1])
        meant = {self.stemmer.stem(other) for other in (*swapped, *doubled)} & self.vocabulary
        return next(iter(meant)) if len(meant) == 1 else None

    def keys(self, text: str) -> Keys:
        """Every word of a text of ours, as keys."""
        text = self.signed.sub(lambda found: f" {polarity(found)} ", text) if self.signed else text
        literal = self.literals and self.literals.fullmatch(text.strip())
        if literal:
            return (_joined(text),)
        return tuple(self.stemmer.stem(w) for w in WORD.findall(text.replace("_", " ").replace("-", " ")))

    def single(self, role: str) -> frozenset[str]:
        """The one-word phrases of a role."""
        return self._singles.get(role, frozenset())

    def roles_begun(self, word: str) -> frozenset[str]:
        """The roles of which a phrase begins with the word."""
        return self._begun.get(word, frozenset())

    def naming(self, keys: Iterable[str]) -> Keys:
        """The words that can be part of a name."""
        skipped = self.single("filler") | self.single("prepositions")
        return tuple(key for key in keys if key not in skipped)

    def saying(self, keys: Iterable[str]) -> Keys:
        """The words that can be part of a value or a saying."""
        return tuple(key for key in keys if key not in self.unsaid)

    def is_worn(self, whole: Keys, left: Keys) -> bool:
        """One word of several is left, which says too little: "a lot" of "clicks a lot"."""
        return len(left) == 1 < len([key for key in whole if key not in self.single("article")])

    @property
    def unsaid(self) -> frozenset[str]:
        """Words that may stand anywhere in a value or a saying."""
        return self.single("filler") | self.single("unsaid")

    def called(self, keys: Keys) -> tuple[str, ...]:
        """The readings and observations called exactly so."""
        return self.names.get(keys, ())

    def __post_init__(self) -> None:
        self._singles: dict[str, frozenset[str]] = {}
        self._begun: dict[str, frozenset[str]] = {}

    def settle(self) -> None:
        """Work out what follows from the tables, once they are full."""
        self._singles = {
            role: frozenset(p[0] for p in said if len(p) == 1) for role, said in self.roles.items()
        }
        begun: dict[str, set[str]] = {}
        for role, said in self.roles.items():
            for phrase in said:
                begun.setdefault(phrase[0], set()).add(role)
        self._begun = {word: frozenset(roles) for word, roles in begun.items()}


def _joined(text: str) -> str:
    return re.sub(r"[^\w+]+", "", text.lower())


class _Held:
    """A knowledge base as a key: the same one, not an equal one."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and other.knowledge is self.knowledge

    def __hash__(self) -> int:
        return id(self.knowledge)


def lexicons(knowledge: Knowledge) -> tuple[Lexicon, ...]:
    """The lexicons of a knowledge base, one a language; that of its own labels first."""
    return _lexicons(_Held(knowledge))


@lru_cache(maxsize=4)
def _lexicons(held: _Held) -> tuple[Lexicon, ...]:
    knowledge = held.knowledge
    languages = dict.fromkeys(words.language for words in knowledge.words.values()) or {"": None}
    made = [
        _lexicon(knowledge, language, [w for w in knowledge.words.values() if w.language == language])
        for language in languages
    ]
    labels = [word for m in knowledge.measurements.values() for word in WORD.findall(m.label)]
    return tuple(sorted(made, key=lambda lex: -sum(lex.stemmer.stem(w) in lex.spoken for w in labels)))


def _merged(tables: Iterable[Mapping[str, tuple[str, ...]]]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for table in tables:
        for key, said in table.items():
            found.setdefault(key, []).extend(said)
    return found


def _lexicon(knowledge: Knowledge, language: str, words: list[Words]) -> Lexicon:
    endings = dict.fromkeys(e for w in words for e in w.endings)
    made = Lexicon(knowledge, language, Stemmer(endings, _merged(w.spellings for w in words)))
    made.signed = _signed([said for w in words for said in w.phrases.get("signed", ())])
    names = _merged(w.names for w in words)
    aliases = (call for m in knowledge.measurements.values() for call in calls(m)[2:])
    made.literals = _literals([*(said for phrases in names.values() for said in phrases), *aliases])
    made.roles = {
        role: frozenset(keys for p in said if (keys := made.keys(p)))
        for role, said in _merged(w.phrases for w in words).items()
    }
    made.settle()
    made.numbers = _numbers(made, (w.numbers for w in words))
    made.ordinals = {said: int(place) for said, place in _numbers(made, (w.ordinals for w in words)).items()}
    made.decimal_comma = any(w.decimal_comma for w in words)
    made.dimensions = frozenset(
        UNITS[m.unit].dimension for m in knowledge.measurements.values() if m.unit in UNITS
    )
    _name(made, knowledge, names)
    _tell_states(made, knowledge, _merged(w.states for w in words))
    _tell_values(made, knowledge, _merged(w.values for w in words))
    _tell_sayings(made, knowledge, _merged(w.sayings for w in words))
    made.when = _when(made, knowledge, _merged(w.when for w in words))
    _gather(made)
    made.spoken = frozenset(
        made.stemmer.stem(word)
        for w in words
        for said in w.tables()
        for phrase in said
        for word in WORD.findall(phrase)
    )
    return made


def _numbers(made: Lexicon, tables: Iterable[Mapping[str, tuple[str, ...]]]) -> dict[str, float]:
    said = _merged(tables)
    return {made.stemmer.stem(word): float(number) for number, words in said.items() for word in words}


def polarity(sign: re.Match[str]) -> str:
    """What a sign found by `signed` says."""
    return "positive" if (sign[1] or sign[2]).lower() in ("+", "plus") else "negative"


def _signed(nouns: Iterable[str]) -> re.Pattern[str]:
    said = "|".join(["ve", *map(re.escape, nouns)])
    return re.compile(
        rf"(?<!\S)(?:([+-])(?:ve)?|(plus|minus)(?=[ ](?:{said})\b))[ ]?(?=(?:{said})\b)", re.IGNORECASE
    )


def _literals(names: Iterable[str]) -> re.Pattern[str] | None:
    compound = sorted({n for n in names if any(c in "-+" or c.isdigit() for c in n)}, key=len, reverse=True)
    if not compound:
        return None
    spaced = (r"[\s-]?".join(re.escape(part) for part in re.split(r"[\s-]+", name)) for name in compound)
    return re.compile(rf"(?:{'|'.join(spaced)})(?![\w.,]*\d)(?!\w)", re.IGNORECASE)


def _name(made: Lexicon, knowledge: Knowledge, more: Mapping[str, list[str]]) -> None:
    names: dict[Keys, dict[str, None]] = {}
    for m in knowledge.measurements.values():
        said = [made.naming(made.keys(call)) or made.keys(call) for call in calls(m)]
        said += [keys for call in more.get(m.id, ()) if (keys := _unworn(made, call))]
        for keys in (*said, *_between(made, knowledge, m)):
            names.setdefault(keys[:NAME_LENGTH], {})[m.id] = None
        made.bags[m.id] = frozenset(key for keys in said for key in keys)
        if m.between is not None and all(p in knowledge.points for p in m.between):
            a, b = (made.naming(made.keys(knowledge.points[p].label)) for p in m.between)
            made.leads[m.id] = (frozenset(a), frozenset(b))
        made.ends[m.id] = frozenset(key for keys in _between(made, knowledge, m) for key in keys)
    owners: dict[str, int] = {}
    for m in knowledge.measurements.values():
        for key in made.bags[m.id] if m.numeric else ():
            owners[key] = owners.get(key, 0) + 1
    made.weights = {key: 1 / count**0.5 for key, count in owners.items()}
    broad = made.single("broad")
    made.broad = {keys[0]: tuple(ids) for keys, ids in names.items() if len(keys) == 1 and keys[0] in broad}
    made.names = {
        keys: tuple(
            i for i in ids if not (len(keys) == 1 and keys[0] in broad and knowledge.measurements[i].numeric)
        )
        for keys, ids in names.items()
        if keys
    }
    for keys, ids in made.names.items():
        for id_ in ids:
            if knowledge.measurements[id_].numeric:
                made.names_of[id_] = (*made.names_of.get(id_, ()), keys)


def _unworn(made: Lexicon, call: str) -> Keys:
    """The words of a name that count; nothing where one word of several is left, which says too little."""
    whole = made.keys(call)
    keys = made.naming(whole) or whole
    return () if len(keys) == 1 < len(whole) else keys


def _between(made: Lexicon, knowledge: Knowledge, m: Measurement) -> list[Keys]:
    """A reading is also called by its two points, either first."""
    if m.between is None:
        return []
    ends = [knowledge.points[p].label for p in m.between if p in knowledge.points]
    keys = [made.naming(made.keys(label)) for label in ends]
    return [keys[0] + keys[1], keys[1] + keys[0]] if len(keys) == 2 else []


def _tell_states(made: Lexicon, knowledge: Knowledge, said: Mapping[str, list[str]]) -> None:
    for m in knowledge.measurements.values():
        words = {key for phrase in said.get(m.state, ()) for key in made.naming(made.keys(phrase))}
        made.states[m.id] = frozenset(words)
        own = {made.keys(phrase) for phrase in said.get(m.state, ())}
        others = {made.keys(phrase) for phrases in said.values() for phrase in phrases}
        told = ((keys, made.naming(keys)) for keys in others - own)
        made.foreign[m.id] = frozenset(k for k, n in told if len(n) > 1 and not made.bags[m.id].issuperset(n))


def _tell_values(made: Lexicon, knowledge: Knowledge, said: Mapping[str, list[str]]) -> None:
    for m in knowledge.measurements.values():
        if m.numeric:
            continue
        found: dict[Keys, dict[str, None]] = {}
        for band in m.choices:
            for call in (band, m.band_labels.get(band, "")):
                if keys := made.saying(made.keys(call)) or made.keys(call):
                    found.setdefault(keys, {})[band] = None
            for call in (*said.get(band, ()), *said.get(f"{m.id}.{band}", ())):
                whole = made.keys(call)
                keys = made.saying(whole) or whole
                if made.is_worn(whole, keys):
                    made.worn[m.id] = (*made.worn.get(m.id, ()), (whole, band))
                elif keys:
                    found.setdefault(keys, {})[band] = None
        # what is said of two values of one observation tells neither
        told = [(keys, next(iter(bands))) for keys, bands in found.items() if len(bands) == 1]
        made.values[m.id] = tuple(sorted(told, key=lambda pair: (-len(pair[0]), pair)))


def _tell_sayings(made: Lexicon, knowledge: Knowledge, said: Mapping[str, list[str]]) -> None:
    idle = made.roles.get("idle", frozenset())
    for phrase, (measurement, value) in knowledge.complaints.items():
        keys = made.saying(made.keys(phrase))
        if keys and keys not in idle and not len(keys) == 1 < len(made.keys(phrase)):
            made.sayings[keys] = (measurement, (value,))
    for key, phrases in said.items():
        measurement, *values = key.split(".")
        for phrase in phrases:
            keys = made.saying(made.keys(phrase))
            worn = made.is_worn(made.keys(phrase), keys)
            if worn and len(values) == 1:
                made.worn[measurement] = (*made.worn.get(measurement, ()), (made.keys(phrase), values[0]))
            if keys and not worn and (keys not in made.sayings or len(values) > 1):
                made.sayings[keys] = (measurement, tuple(values))


def _when(made: Lexicon, knowledge: Knowledge, said: Mapping[str, list[str]]) -> tuple[tuple[Keys, str], ...]:
    found = [
        (made.keys(phrase), fact)
        for fact, phrases in said.items()
        if fact in knowledge.equipment
        for phrase in (*phrases, knowledge.equipment[fact].label)
    ]
    return tuple(sorted(found, key=lambda pair: (-len(pair[0]), pair)))


def _gather(made: Lexicon) -> None:
    """Every word with a meaning, which no other word is mended into but by a slip."""
    phrases = [*made.names, *made.sayings, *(p for said in made.roles.values() for p in said)]
    phrases += [keys for values in made.values.values() for keys, _ in values]
    phrases += [keys for keys, _ in made.when]
    words = {key for keys in phrases for key in keys} | set(made.numbers) | set(made.ordinals)
    words |= {key for keys in made.states.values() for key in keys}
    everyday = made.single("everyday")
    made.trade = frozenset(made.weights).union(*made.states.values())
    made.vocabulary = frozenset(words)
    made.observed = frozenset(
        keys
        for keys, ids in made.names.items()
        if not all(made.knowledge.measurements[i].numeric for i in ids)
    )
    made.everyday = everyday
    made.near = NearSpellings(w for w in words - everyday if len(w) > 3 and unit_called(w) is None)
