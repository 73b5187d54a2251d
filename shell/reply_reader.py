"""One pass over a reply: cut, sayings, "cannot", numbers, observations, and what is left."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Protocol, TypeVar

from crankpath.engine.condition import Facts
from crankpath.engine.errors import DoubtfulReading, ReadingError
from crankpath.engine.phrase import parse
from crankpath.engine.reading import Understood, understand
from crankpath.engine.units import Unit, fold
from crankpath.shell import reply_words as words
from crankpath.shell.reply_names import Called, Lexicon, runs
from crankpath.shell.reply_pairs import Item, listed, pair
from crankpath.shell.reply_text import Piece, cut

_LONGEST: Final = 20_000  # a message longer than this is no message


class _Placed(Protocol):
    @property
    def at(self) -> int: ...


_P = TypeVar("_P", bound=_Placed)


@dataclass(frozen=True, slots=True)
class Name:
    """A run of words that names something: pieces `first` to `last` (one past), what it may be."""

    first: int
    last: int
    called: Called
    stems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading understood, and the piece it starts at."""

    at: int
    measurement: str
    text: str
    understood: Understood
    symptom: bool | None = None


@dataclass(frozen=True, slots=True)
class Asked:
    """Something to ask about, and the piece it starts at."""

    at: int
    text: str
    message: str
    measurements: tuple[str, ...]
    values: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Fragment:
    """A piece of text that cannot be read there, or was not understood."""

    at: int
    text: str
    measurement: str = ""


class Reader:
    """Reads one reply; `read` fills `taken`, `doubts`, `cannot` and `unknown`."""

    def __init__(self, text: str, lexicon: Lexicon, facts: Facts, expecting: str | None) -> None:
        self.source = "\n".join(fold(line) for line in text[:_LONGEST].splitlines())
        self.lexicon, self.facts, self.expecting = lexicon, facts, expecting
        self.pieces: Sequence[Piece] = cut(text[:_LONGEST], lexicon.vocabulary)
        self.blocked = [False] * len(self.pieces)  # says whether the symptom was there; no part of a name
        self.used = [p.kind in ("hard", "soft") for p in self.pieces]
        self._stops = {
            kinds: [-1, *(at for at, p in enumerate(self.pieces) if p.kind in kinds), len(self.pieces)]
            for kinds in (("hard",), ("hard", "soft"))
        }
        self.taken: list[Taken] = []
        self.doubts: list[Asked] = []
        self.cannot: list[Fragment] = []
        self.unknown: list[Fragment] = []

    def read(self) -> None:
        """Everything, in the order that leaves the least to chance: whole sayings first."""
        stated = self._symptoms()
        self._cannots()
        self._sayings()
        names = self._names()
        left = self._numbers(names)
        self._observations(left)
        self._tell_symptoms(stated)

    def in_order(self, found: Sequence[_P]) -> list[_P]:
        """By place in the text."""
        return sorted(found, key=lambda f: f.at)

    def talk(self) -> tuple[str, ...]:
        """What carries no reading, a sentence or what is left of one each."""
        parts: list[list[str]] = [[]]
        for piece, used in zip(self.pieces, self.used, strict=True):
            if piece.kind == "hard" or (used and piece.kind != "soft"):
                parts.append([])
            elif piece.kind != "soft":
                parts[-1].append(piece.text)
        kept = [part for part in parts if any(stem_word not in words.JOIN for stem_word in map(str.lower, part))]
        return tuple(" ".join(part) for part in kept)

    # -- places -------------------------------------------------------------------------

    def _text(self, first: int, last: int) -> str:
        return self.source[self.pieces[first].start : self.pieces[last - 1].end]

    def _use(self, first: int, last: int) -> None:
        for at in range(first, last):
            self.used[at] = True

    def _sentence(self, at: int) -> tuple[int, int]:
        """First and one past the last piece between the hard breaks around a piece."""
        return self._until(at, ("hard",))

    def _clause(self, at: int) -> tuple[int, int]:
        return self._until(at, ("hard", "soft"))

    def _until(self, at: int, kinds: tuple[str, ...]) -> tuple[int, int]:
        stops = self._stops[kinds]
        next_stop = bisect_left(stops, at)
        return stops[next_stop - 1] + 1, stops[next_stop]

    def _canons(self) -> list[str]:
        """The stem of each piece that is a free word; something no saying has for the others."""
        free = [
            p.canon if p.canon and (p.kind == "soft" or not used) else "\0"
            for p, used in zip(self.pieces, self.used, strict=True)
        ]
        zero = {at: "nothing" for at, p in enumerate(self.pieces) if p.kind == "zero" and p.text.lower() == "nothing"}
        return [zero.get(at, canon) for at, canon in enumerate(free)]

    # -- was the symptom there? -----------------------------------------------------------

    def _symptoms(self) -> list[tuple[int, bool]]:
        canons = self._canons()
        there = runs(canons, words.PRESENT)
        away = [run for run in runs(canons, words.AWAY) if not self._negated(canons, run[0])]
        for first, last in (*there, *away):
            self.blocked[first:last] = [True] * (last - first)
        return [*((first, True) for first, _ in there), *((first, False) for first, _ in away)]

    def _tell_symptoms(self, stated: list[tuple[int, bool]]) -> None:
        """The sentence decides; else a statement that stands alone in its own sentence speaks for all."""
        near: dict[tuple[int, int], set[bool]] = {}
        for at, there in stated:
            near.setdefault(self._sentence(at), set()).add(there)
        read = {self._sentence(t.at) for t in self.taken if self.lexicon.measurements[t.measurement].numeric}
        alone = set().union(*(told for sentence, told in near.items() if sentence not in read))
        for i, taken in enumerate(self.taken):
            told = near.get(self._sentence(taken.at), alone)
            if len(told) == 1:
                self.taken[i] = replace(taken, symptom=next(iter(told)))

    # -- what cannot be taken ---------------------------------------------------------------

    def _cannots(self) -> None:
        canons = self._canons()
        for first, last in runs(canons, words.CANNOT):
            until = self._clause(first)[1]
            names = [n for n in self._names(last, until)][:1]
            for name in names:
                self._cannot(name, first, name.last)
        for first, last in runs(canons, words.CANNOT_AFTER):
            begin = self._clause(first)[0]
            for name in self._names(begin, first)[-1:]:
                if name.last == first and not self.used[first]:
                    self._cannot(name, name.first, last)

    def _cannot(self, name: Name, first: int, last: int) -> None:
        ids = self.lexicon.numeric(name.called, None) or name.called.exact or name.called.loose
        if len(ids) == 1:
            self.cannot.append(Fragment(first, self._text(first, last), ids[0]))
        else:
            self._ask(first, last, "Which reading cannot be taken?", ids)
        self._use(first, last)

    def _ask(self, first: int, last: int, message: str, ids: Sequence[str], values: Sequence[str] = ()) -> None:
        self.doubts.append(Asked(first, self._text(first, last), message, tuple(ids), tuple(values)))

    # -- sayings ----------------------------------------------------------------------------

    def _sayings(self) -> None:
        for form, measurement, values in self.lexicon.sayings:
            canons = self._canons()
            for first in range(len(canons) - len(form) + 1):
                last = first + len(form)
                if tuple(canons[first:last]) == form and not self._said_of_other(first, form, measurement):
                    self._say(first, last, measurement, values, canons)

    def _said_of_other(self, first: int, form: tuple[str, ...], measurement: str) -> bool:
        """"Just clicks" behind the name of another observation that can have this value is its value."""
        begin, _ = self._sentence(first)
        before = self._names(begin, first)
        others = self.lexicon.observed(before[-1].called) if before else ()
        taken = any(begin <= t.at < first for t in self.taken)
        return not taken and any(
            m != measurement and any(_within(said, form) for said, _ in self.lexicon.values[m]) for m in others
        )

    def _say(self, first: int, last: int, measurement: str, values: Sequence[str], canons: list[str]) -> None:
        label = self.lexicon.measurements[measurement].label
        if self._negated(canons, first):
            message = f"Says what it did not do; which is it for {label}?"
            self._ask(max(first - 1, 0), last, message, (measurement,), self.lexicon.measurements[measurement].bands)
        elif len(values) > 1:
            self._ask(first, last, f"{label}: {' or '.join(values)}?", (measurement,), values)
        else:
            text = self._text(first, last)
            self.taken.append(Taken(first, measurement, text, Understood(values[0], text)))
        self._use(first, last)

    def _negated(self, canons: list[str], first: int) -> bool:
        begin = self._clause(first)[0]
        return any(c in words.NOT for c in canons[max(begin, first - 3) : first])

    # -- names --------------------------------------------------------------------------------

    def _names(self, first: int = 0, last: int | None = None) -> list[Name]:
        """Every name in a stretch, each as long as it can be."""
        end = len(self.pieces) if last is None else last
        names: list[Name] = []
        at = first
        while at < end:
            name = self._name(at, end)
            if name is None:
                at += 1
            else:
                names.append(name)
                at = name.last
        return names

    def _name(self, at: int, end: int) -> Name | None:
        stop = at
        while stop < end and stop - at < 8 and self._nameable(stop):
            stop += 1
        if stop == at or self.pieces[at].canon in words.JOIN:
            return None
        for last in range(stop, at, -1):
            said = tuple(p.canon for p in self.pieces[at:last])
            called = self.lexicon.named(said)
            if called.all and (said[-1] not in words.JOIN or said in self.lexicon.calls):
                return Name(at, last, called, said)
        return None

    def _nameable(self, at: int) -> bool:
        return self.pieces[at].kind == "word" and not self.used[at] and not self.blocked[at]

    # -- numbers ------------------------------------------------------------------------------

    def _numbers(self, names: list[Name]) -> list[Name]:
        """Take every number that has a name; the names left over."""
        items = self._items(names)
        rows = listed(items)
        in_rows = {v for v, _ in rows}, {n for _, n in rows}
        rest = [i for i in items if i.index not in in_rows[i.kind == "name"]]
        links = [*rows, *pair(rest)]
        loose = [n for at, n in enumerate(names) if at not in {name for _, name in links}]
        groups: dict[int, list[int]] = {}
        for value, name in sorted(links):
            groups.setdefault(name, []).append(value)
        for name_at, values in groups.items():
            self._number(names[name_at], values, loose)
        for at, piece in enumerate(self.pieces):
            if piece.kind == "value" and not self.used[at]:
                self._nameless(at, bool(names))
        return [n for n in loose if not any(self.used[n.first : n.last])]

    def _items(self, names: list[Name]) -> list[Item]:
        starts = {n.first: (at, n) for at, n in enumerate(names)}
        items: list[Item] = []
        plain = soft = hard = 0
        joined = False
        at = 0
        while at < len(self.pieces):
            piece = self.pieces[at]
            if at in starts or (piece.kind in ("value", "zero") and not self.used[at]):
                index, name = starts.get(at, (at, None))
                kind = "name" if name else "value"
                items.append(Item(kind, index, plain, soft, hard, joined, piece.kind == "zero"))
                plain = soft = hard = 0
                joined = False
                at = name.last if name else at + 1
                continue
            soft += piece.kind == "soft"
            hard += piece.kind == "hard"
            plain += piece.kind == "talk" or (piece.kind == "word" and piece.canon not in words.JOIN)
            joined = (joined or piece.canon in words.PREPOSITIONS) and piece.kind == "word"
            at += 1
        return items

    def _number(self, name: Name, values: list[int], loose: list[Name]) -> None:
        """Take the values of one name; those of different units are different readings."""
        by_kind: dict[str, list[int]] = {}
        for value in values:
            unit = _unit(self.pieces[value].text)
            by_kind.setdefault(unit.dimension if unit else "", []).append(value)
        if "" in by_kind and len(by_kind) == 2:
            by_kind = {"": values}
        for group in by_kind.values():
            self._take(name, group, loose)

    def _take(self, name: Name, values: list[int], loose: list[Name]) -> None:
        text = " ".join(self.pieces[v].text for v in values)
        unit = _unit(text)
        ids = self._meant(name, unit, self._beside(name, values, loose))
        if unit and len(ids) > 1:
            ids = tuple(m for m in ids if self._possible(m, text)) or ids
        first, shown = min(name.first, values[0]), self._shown(name, values)
        for at in (*range(name.first, name.last), *values):
            self.used[at] = True
        if len(ids) != 1:
            message = "Which reading is it?" if ids else f"No reading named so can be {text}."
            self.doubts.append(Asked(first, shown, message, ids or name.called.all))
            return
        m = self.lexicon.measurements[ids[0]]
        if m.id in self.lexicon.absent:
            message = f"This machine has no {m.label}, as it was told."
            self.doubts.append(Asked(first, shown, message, (m.id,)))
            return
        try:
            self.taken.append(Taken(first, m.id, shown, understand(m, text, self.facts)))
        except DoubtfulReading as doubt:
            suggested = (doubt.suggestion,) if doubt.suggestion else ()
            self.doubts.append(Asked(first, shown, str(doubt), (m.id,), suggested))
        except ReadingError as slip:
            self.doubts.append(Asked(first, shown, str(slip), (m.id,)))

    def _possible(self, measurement: str, text: str) -> bool:
        try:
            understand(self.lexicon.measurements[measurement], text, self.facts)
        except ReadingError:
            return False
        return True

    def _shown(self, name: Name, values: list[int]) -> str:
        """The fragment as written, or name and values alone if others stand between them."""
        own = {*range(name.first, name.last), *values}
        first, last = min(own), max(own) + 1
        between = [p for at, p in enumerate(self.pieces[first:last], first) if at not in own]
        if all(p.kind == "word" and p.canon in words.JOIN for p in between):
            return self._text(first, last)
        said = self._text(name.first, name.last) if name.last > name.first else ""
        return " ".join([said, *(self.pieces[v].text for v in values)]).strip()

    def _beside(self, name: Name, values: list[int], loose: list[Name]) -> Name | None:
        """Another name in the same clause, right beside the name or the value, that narrows it."""
        edges = {name.first, name.last, values[0], values[-1] + 1}
        begin, end = self._clause(name.first)
        for other in loose:
            if not (begin <= other.first and other.last <= end):
                continue
            for low, high in ((other.last, min(edges)), (max(edges), other.first)):
                between = self.pieces[low:high] if low <= high else None
                if between is not None and all(p.canon in words.JOIN and p.kind == "word" for p in between):
                    return other
        return None

    def _meant(self, name: Name, unit: Unit | None, beside: Name | None) -> tuple[str, ...]:
        """The readings that a name with a unit can be, narrowed by a name beside it."""
        if beside is None:
            return self.lexicon.numeric(name.called, unit)
        for said in ((*name.stems, *beside.stems), (*beside.stems, *name.stems)):
            both = self.lexicon.numeric(Called(self.lexicon.named(said).exact, ()), unit)
            if both:
                return both
        own, other = name.called, beside.called
        for one, two in ((own, other), (other, own)):
            sure = self.lexicon.numeric(one, unit)
            shared = tuple(m for m in sure if m in (*two.exact, *two.context))
            if shared:
                return shared
        wide = [self.lexicon.numeric(Called((), (*c.exact, *c.context)), unit) for c in (own, other)]
        shared = tuple(m for m in wide[0] if m in wide[1])
        return shared or tuple(dict.fromkeys((*self.lexicon.numeric(own, unit), *self.lexicon.numeric(other, unit))))

    def _nameless(self, at: int, named: bool) -> None:
        """A number without a name answers what was asked for, if it is the only thing said."""
        alone = sum(p.kind == "value" for p in self.pieces) == 1 and not named
        if self.expecting in self.lexicon.measurements and alone:
            m = self.lexicon.measurements[str(self.expecting)]
            self._number(Name(at, at, Called((m.id,), ()), ()), [at], [])
            return
        first, last = self._clause(at)
        low, high = max(first, at - 3), min(last, at + 4)
        while low < at and self.used[low]:
            low += 1
        stop = next((i for i in range(at + 1, high) if self.used[i]), high)
        self.unknown.append(Fragment(at, self._text(low, stop)))
        self._use(low, stop)

    # -- observations ---------------------------------------------------------------------------

    def _observations(self, names: list[Name]) -> None:
        for name in names:
            ids = self.lexicon.observed(name.called)
            if any(self.used[name.first : name.last]):
                continue
            found = {m: value for m in ids if (value := self._value_of(m, name, names))}
            if found:
                self._observe(name, found)
            elif len(name.stems) > 1 and name.called.exact and not self._sentence_told(name):
                self.unknown.append(Fragment(name.first, self._text(name.first, name.last)))
                self._use(name.first, name.last)

    def _sentence_told(self, name: Name) -> bool:
        """Something was understood in the sentence, or it is about what is still to be done."""
        first, last = self._sentence(name.first)
        if any(p.canon in words.LATER for p in self.pieces[first:last]):
            return True
        return any(self.used[i] and self.pieces[i].kind not in ("hard", "soft") for i in range(first, last))

    def _value_of(self, measurement: str, name: Name, names: list[Name]) -> tuple[int, int, str, bool] | None:
        """(first, last, value, negated) of a value said of a name: behind it first, then before."""
        begin, end = self._clause(name.first)
        if end == name.last < len(self.pieces) and self.pieces[end].kind == "soft":
            end = self._clause(end + 1)[1] if end + 1 < len(self.pieces) else end
        canons = self._canons()
        for low, high in ((name.last, end), (begin, name.first)):
            for form, value in self.lexicon.values[measurement]:
                for at in range(low, high - len(form) + 1):
                    if tuple(canons[at : at + len(form)]) == form:
                        negated = any(c in words.NOT for c in canons[max(low, at - 2) : at])
                        return at, at + len(form), value, negated
        return None

    def _observe(self, name: Name, found: dict[str, tuple[int, int, str, bool]]) -> None:
        first = min(name.first, *(f[0] for f in found.values()))
        last = max(name.last, *(f[1] for f in found.values()))
        begin, end = self._clause(name.first)
        both = any(self.pieces[i].canon in words.BOTH for i in range(begin, end))
        text = self._text(first, last)
        negated = [m for m, f in found.items() if f[3]]
        if negated or (len(found) > 1 and not both):
            values = dict.fromkeys(v for m in found for v in ((found[m][2],) if not negated else self._bands(m)))
            message = "Says what it is not; what is it?" if negated else "Which one is it?"
            self._ask(first, last, message, tuple(found), tuple(values))
        else:
            for m, (_, _, value, _) in found.items():
                self.taken.append(Taken(first, m, text, Understood(value, text)))
        self._use(first, last)

    def _bands(self, measurement: str) -> tuple[str, ...]:
        return self.lexicon.measurements[measurement].bands


def _within(part: tuple[str, ...], whole: tuple[str, ...]) -> bool:
    return any(whole[i : i + len(part)] == part for i in range(len(whole) - len(part) + 1))


def _unit(text: str) -> Unit | None:
    try:
        phrase = parse(text)
    except ReadingError:
        return None
    return phrase.unit or next((n.unit for n in phrase.numbers if n.unit), None)
