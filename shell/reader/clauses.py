"""What the words around a reading make of it: another machine, yesterday, a limit, a guess, a plan."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from crankpath.shell.reader.pieces.lexicon import Lexicon
from crankpath.shell.reader.pieces.phrases import Run, View, view
from crankpath.shell.reader.pieces.tokens import Token, spans

_ROLES: Final = (
    "now", "other", "past", "earlier", "should", "planned", "hedge", "told", "correction", "helped", "works",
    "unloaded", "condition", "meter_fault",
)  # fmt: skip
_CARRIED: Final = frozenset({"other", "past", "told"})
"""Hold to the end of the sentence, or until a word that says now, this one."""
ELSEWHERE: Final = frozenset({"other", "past", "should", "planned", "asks back", "meter_fault"})
"""What stands in such a clause is no reading of this machine now."""
DOUBTED: Final = frozenset({"hedge", "told", "question", "helped", "earlier", "unloaded"})
"""What stands in such a clause is asked, not taken."""
_WIDE: Final = frozenset({"helped", "unloaded", "meter_fault"})
"""Hold for the whole sentence."""
LONGEST_SENTENCE: Final = 120
"""Tokens; a longer stretch without a full stop is read in pieces."""
_NAME_ALONE: Final = 4  # words of a line that can be the name of the figure in the next


@dataclass(frozen=True, slots=True)
class Clause:
    """A stretch of tokens that says one thing, and what its words make of it."""

    first: int
    last: int
    roles: frozenset[str]


@dataclass(frozen=True, slots=True)
class Sentence:
    """Tokens between two full stops or line ends, in clauses."""

    first: int
    last: int
    clauses: tuple[Clause, ...]

    def roles(self, at: int) -> frozenset[str]:
        """What the words around a token make of it."""
        clause = self.clause(at)
        return clause.roles if clause else frozenset()

    def clause(self, at: int) -> Clause | None:
        """The clause a token stands in; None for one between two."""
        place = bisect_right(self.clauses, at, key=lambda c: c.first) - 1
        return self.clauses[place] if place >= 0 and at < self.clauses[place].last else None


def sentences(found: Sequence[Token], lexicon: Lexicon) -> list[Sentence]:
    """The sentences of a text; a line with a name alone belongs to the next."""
    made: list[Sentence] = []
    runs = [run for whole in spans(found, ("hard",)) for run in _bounded(found, *whole)]
    for first, last in _joined(runs, found, lexicon):
        asks = last < len(found) and found[last].text == "?"
        made.append(Sentence(first, last, tuple(_clauses(found, first, last, asks, lexicon))))
    return made


def _bounded(found: Sequence[Token], first: int, last: int) -> Iterator[Run]:
    """The stretch in pieces that take a bounded time to read, parted at a break where there is one."""
    while last - first > LONGEST_SENTENCE:
        middle = first + LONGEST_SENTENCE // 2
        soft = (at for at in range(first + LONGEST_SENTENCE, middle, -1) if found[at].kind == "soft")
        cut = next(soft, first + LONGEST_SENTENCE)
        yield first, cut
        first = cut
    yield first, last


def _joined(runs: list[Run], found: Sequence[Token], lexicon: Lexicon) -> Iterator[Run]:
    waiting: int | None = None
    for at, (first, last) in enumerate(runs):
        begin = first if waiting is None else waiting
        behind = runs[at + 1] if at + 1 < len(runs) else None
        if behind and last - begin <= LONGEST_SENTENCE and _name_alone(found, begin, last, lexicon):
            waiting = begin
            continue
        if behind and last - begin <= LONGEST_SENTENCE and _goes_on(found, first, behind, lexicon):
            waiting = begin
            continue
        waiting = None
        yield begin, last
    if waiting is not None:
        yield waiting, runs[-1][1]


def _goes_on(found: Sequence[Token], first: int, behind: Run, lexicon: Lexicon) -> bool:
    """ "2.1 volts!!! On the neg side": the next begins with a preposition and has no figure of its own."""
    low, high = behind
    figures = _has_figure(found, low, high)
    on = found[low].key in lexicon.single("place") and high - low <= 2 * _NAME_ALONE
    return on and not figures and _has_figure(found, first, low)


def _name_alone(found: Sequence[Token], first: int, last: int, lexicon: Lexicon) -> bool:
    if last - first > _NAME_ALONE or any(token.kind in ("figure", "aside") for token in found[first:last]):
        return False
    keys = lexicon.naming(token.key for token in found[first:last] if token.kind == "word")
    return bool(keys) and bool(lexicon.called(keys)) and keys not in lexicon.sayings


def _clauses(found: Sequence[Token], first: int, last: int, asks: bool, lexicon: Lexicon) -> Iterator[Clause]:
    carried: frozenset[str] = frozenset()
    runs = list(_parts(found, first, last, lexicon))
    told = [_roles(found, low, high, lexicon) for low, high in runs]
    wide = _WIDE.intersection(*[frozenset().union(*told)])
    if _asks_back(found, first, last, lexicon):
        wide |= {"asks back"}
    for at, ((low, high), own) in enumerate(zip(runs, told, strict=True)):
        if "now" in own and not own & _CARRIED:
            carried = frozenset()
        roles = own | carried | wide
        if at and "correction" in told[at - 1] and not _has_figure(found, *runs[at - 1]):
            roles |= {"correction"}
        if asks and at == len(runs) - 1:
            roles |= {"question"}
        carried = roles & _CARRIED
        yield Clause(low, high, roles)


def _has_figure(found: Sequence[Token], first: int, last: int) -> bool:
    return any(token.kind == "figure" for token in found[first:last])


def _asks_back(found: Sequence[Token], first: int, last: int, lexicon: Lexicon) -> bool:
    """ "Which terminal is 50": the sentence begins as a question."""
    begins = view(found, first, min(first + 4, last)).runs(lexicon.roles.get("questions", frozenset()))
    return bool(begins) and begins[0][0] <= first + 1


def _parts(found: Sequence[Token], first: int, last: int, lexicon: Lexicon) -> Iterator[Run]:
    """Stretches between commas, "and", "but", and before a word that turns the time behind a figure."""
    begin, seen = first, False
    now = lexicon.single("now")
    turning = now | lexicon.single("turn") | lexicon.single("actual")
    for at in range(first, last):
        token = found[at]
        turn = turning if seen else now
        turns = token.kind == "word" and at > begin and token.key in turn
        turns = turns and any(t.kind == "figure" for t in found[at:last])
        joins = token.kind == "word" and token.key in lexicon.single("joining")
        if token.kind == "soft" or joins or turns:
            if at > begin:
                yield begin, at
            begin = at if turns else at + 1
            seen = False
        seen = seen or token.kind == "figure"
    if last > begin:
        yield begin, last


def _roles(found: Sequence[Token], first: int, last: int, lexicon: Lexicon) -> frozenset[str]:
    words = view(found, first, last)
    if not words.keys:
        return frozenset()
    begun = frozenset[str]().union(*map(lexicon.roles_begun, words.keys))
    roles = {role for role in begun.intersection(_ROLES) if _says(found, words, role, lexicon)}
    if any(_of_other(found, at, lexicon) for at in range(first, last)):
        roles.add("other")
    for at in range(first, last):
        if found[at].key in lexicon.single("if"):  # "9.8 if it is dark" was read, "if it is 10" was not
            roles.add("hedge" if _has_figure(found, first, at) else "should")
    if any(_somebody_tells(found, at, last, lexicon) for at in range(first, last)):
        roles.add("told")
    return frozenset(roles)


def _says(found: Sequence[Token], words: View, role: str, lexicon: Lexicon) -> bool:
    """Whether a phrase of a role stands there; "than the other one" and "jumps up to" only compare."""
    compares = lexicon.single({"other": "than", "should": "change"}.get(role, ""))
    return any(
        not compares.intersection(token.key for token in found[max(first - 3, 0) : first])
        for first, _ in words.runs(lexicon.roles[role])
    )


def _somebody_tells(found: Sequence[Token], at: int, last: int, lexicon: Lexicon) -> bool:
    """ "The dealer wrote 0.3"."""
    behind = (token.key for token in found[at + 1 : min(at + 4, last)])
    return found[at].key in lexicon.single("people") and not lexicon.single("tells").isdisjoint(behind)


def _of_other(found: Sequence[Token], at: int, lexicon: Lexicon) -> bool:
    """ "Jim's tractor": a machine that belongs to somebody who is named."""
    token = found[at]
    behind = found[at + 1] if at + 1 < len(found) else None
    if behind is None or token.kind != "word":
        return False
    known = (lexicon.trade, lexicon.vocabulary, lexicon.everyday, lexicon.unsaid)
    strange = behind.kind == "word" and not any(behind.key in words for words in known)
    machines = lexicon.single("machine")
    owned = token.text.lower().endswith("'s") and token.key not in lexicon.unsaid | machines
    if owned and (strange or behind.key in machines):
        return True  # "my brother's baler"
    if behind.key not in machines:
        return False
    return token.text.lower().endswith("s") and not any(token.key in words for words in known)
