"""Taking a reply in: its lines gathered, what is doubtful asked back, the rest confirmed with one key."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from crankpath.engine.errors import CaseError
from crankpath.shell.desk.exchange import Answering, Sent, answering, awaited, letters_of, messages
from crankpath.shell.desk.incoming import Ask, Incoming, ReplyItem, incoming, reading_item
from crankpath.shell.desk.table import title
from crankpath.shell.session.input.answers import NO, YES
from crankpath.shell.session.outcome import Outcome, Scene, refused
from crankpath.shell.session.questions import AskReading, AskRepair, AskSafe
from crankpath.shell.store.order import local_time
from crankpath.shell.text.clean import one_line
from crankpath.shell.text.columns import wrapped

FIELD, OPERATOR = "field", "operator"
WHO: Final = {FIELD: "from the field technician", OPERATOR: "from the operator"}
_DROP: Final = re.compile(r"(?:drop|x|-)?\s*(\d{1,3})(?:[\s,]+(\d{1,3}))*")
_TOLD: Final = re.compile(r"o(?:p|perator)?((?:[\s,]+\d{1,3})*)")
_LINES: Final = 200  # a reply with more is no reply
_SEARCHED: Final = 1000  # open cases that a reply may be of


def pasted(scene: Scene, text: str, by: str = FIELD) -> Outcome:
    """Several lines that came at once; a word `reply` or `told` in front says who speaks."""
    word, _, rest = text.strip().partition(" ")
    first, _, more = word.partition("\n")
    if first.lower() in ("reply", "told"):
        by, text = FIELD if first.lower() == "reply" else OPERATOR, f"{more} {rest}" if more else rest
    return begun(scene, text, by)


def begun(scene: Scene, text: str, by: str) -> Outcome:
    """The reply taken apart, up to the first thing that must be asked."""
    named = answering(text)
    if named is not None and named.letters != letters_of(scene.state.id):
        elsewhere = _other_case(scene, named)
        if elsewhere:
            return refused(*wrapped(elsewhere, scene.width, "? ", "  "))
        named = None  # a part number, or the like
    sent, older = _answered(scene, named)
    here = scene.state.case.assessment.model.measurements
    asked = scene.asked.measurement if isinstance(scene.asked, AskReading | AskSafe) else None
    expecting = sent.measurements if sent is not None else (asked,) if asked else ()
    if not set(expecting) <= here.keys():
        expecting = (asked,) if asked else ()
    repair = scene.asked.repair if isinstance(scene.asked, AskRepair) else None
    found: Incoming = incoming(scene.state, named.text if named else text, expecting, repair, older)
    told = (f"This reply answers {older}.",) if older else ()
    return _going_on(scene, Confirming(by, found.items, found.asks, (*told, *found.unknown), of=_of(scene)))


def _of(scene: Scene) -> str:
    state = scene.state
    return ", ".join(one_line(name, 40) for name in dict.fromkeys((state.machine, state.name)) if name)


def _answered(scene: Scene, named: Answering | None) -> tuple[Sent | None, str]:
    """The message that a reply answers, and how it is called if it is not the newest."""
    sent = messages(scene.state.events)
    if named is None:
        return awaited(scene.state.events), ""
    meant = next((one for one in reversed(sent) if one.number == named.number), None)
    mark = f"{named.letters}-{named.number}"
    if meant is None:
        return None, f"message {mark}, which was never sent"
    if meant.number == sent[-1].number:
        return meant, ""
    return meant, f"message {mark} of {local_time(meant.event.at)}, not the newest, {sent[-1].number}"


def _other_case(scene: Scene, named: Answering) -> str:
    """Which other case a reply is of; "" if none has these letters."""
    shown = scene.numbered
    for case in scene.shelf.cases(limit=_SEARCHED):
        if letters_of(case.id) == named.letters:
            word = shown.index(case.id) + 1 if case.id in shown else case.machine or case.name
            return (
                f"This reply is of another case, {title(case)}: nothing was taken. "
                f"@{one_line(str(word), 60)} goes there; then paste it again."
            )
    return ""


@dataclass(frozen=True, slots=True)
class Gathering:
    """The lines of a reply so far; an empty line ends it."""

    by: str
    lines: tuple[str, ...] = ()
    prompt: str = "reply line"

    def take(self, scene: Scene, line: str) -> Outcome:
        """Keep a line, or take the reply apart at its end."""
        if line.strip() and len(self.lines) < _LINES:
            more = (*self.lines, *line.splitlines())
            return Outcome(pending=replace(self, lines=more), again=False)
        if not self.lines:
            return Outcome(lines=("-- no reply was pasted.",))
        return begun(scene, "\n".join((*self.lines, line)), self.by)


@dataclass(frozen=True, slots=True)
class Confirming:
    """A reply taken apart: doubts are settled one by one, then everything is confirmed at once.

    dropped: places of items that are left out. operator: places of those the operator told. of: the case
    and its machine.
    """

    by: str
    items: tuple[ReplyItem, ...]
    asks: tuple[Ask, ...] = ()
    unknown: tuple[str, ...] = ()
    dropped: frozenset[int] = frozenset()
    operator: frozenset[int] = frozenset()
    of: str = ""

    @property
    def prompt(self) -> str:
        """The keys that matter most."""
        return "which" if self.asks else "Enter = take"

    def take(self, scene: Scene, line: str) -> Outcome:
        """Settle a doubt, or take, drop or mark items; anything else is asked again."""
        word = line.strip().lower().rstrip(".!")
        if self.asks:
            return self._settled(scene, word, line.strip())
        if word in YES | {""}:
            return self._taken()
        if word in NO:
            return Outcome(lines=("-- Stopped: nothing from this reply was taken.",))
        if told := _TOLD.fullmatch(word):
            marked = _numbers(told[1]) or frozenset(range(1, len(self.items) + 1))
            return _going_on(scene, replace(self, operator=self.operator ^ marked))
        if _DROP.fullmatch(word) and _numbers(word) <= set(range(1, len(self.items) + 1)):
            return _going_on(scene, replace(self, dropped=self.dropped ^ _numbers(word)))
        return replace(
            refused(*wrapped(f"Nothing was taken yet. {_KEYS}", scene.width, "? ", "  ")), pending=self
        )

    def _settled(self, scene: Scene, word: str, typed: str) -> Outcome:
        ask, rest = self.asks[0], self.asks[1:]
        if word in NO:
            left = f"Left out: {ask.message}."
            return _going_on(scene, replace(self, asks=rest, unknown=(*self.unknown, left)))
        option = _picked(ask, word) or _again(scene, ask, typed)
        if option is None:
            slip = wrapped(
                "Type a number of the list, the value again, or n to leave it out.", scene.width, "? ", "  "
            )
            return replace(refused(*slip), pending=self)
        return _going_on(scene, replace(self, items=(*self.items, option), asks=rest))

    def _taken(self) -> Outcome:
        kept = [(n, item) for n, item in enumerate(self.items, 1) if n not in self.dropped]
        writes = tuple(replace(item.write, by=self._by(n)) for n, item in kept)
        count = f"{len(writes)} entr{'y' if len(writes) == 1 else 'ies'}"
        said = f"-- {count} taken, {WHO[self.by]}." if writes else "-- Nothing was taken."
        return Outcome(lines=(said,), writes=writes)

    def _by(self, number: int) -> str:
        return OPERATOR if number in self.operator else self.by

    def shown(self, width: int) -> Iterator[str]:
        """What was understood, numbered; what was not; the keys."""
        on = f" on {self.of}" if self.of else ""
        yield from wrapped(f"The reply {WHO[self.by]}{on}:", width, ">> ", "   ")
        for number, item in enumerate(self.items, 1):
            mark = "left out: " if number in self.dropped else ""
            who = f", {WHO[OPERATOR]}" if number in self.operator and self.by != OPERATOR else ""
            yield from wrapped(f"{mark}{item.says}{who}", width, f"{number:>4} ", "     ")
        for sentence in self.unknown:
            yield from wrapped(sentence, width, "! ", "  ")
        yield from wrapped(_KEYS, width, "   ")


_KEYS: Final = (
    "Enter takes it; 2 leaves number 2 out (or in again); o 2: the operator told it; n: none of it."
)


def _going_on(scene: Scene, reply: Confirming) -> Outcome:
    """Ask the next doubt; else show everything, or say that there is nothing."""
    width = scene.width
    if reply.asks:
        return Outcome(lines=tuple(_asked(reply.asks[0], width, reply.of)), pending=reply, again=False)
    if not reply.items:
        lines = [line for text in reply.unknown for line in wrapped(text, width, "! ", "  ")]
        return refused(
            *lines, *wrapped("There is no reading in this reply; nothing was taken.", width, "? ", "  ")
        )
    return Outcome(lines=tuple(reply.shown(width)), pending=reply, again=False)


def _asked(ask: Ask, width: int, of: str) -> Iterator[str]:
    yield from wrapped(ask.message, width, "? ", "  ")
    yield from wrapped(f"For {of}:", width, "   ") if of else ()
    for number, option in enumerate(ask.options, 1):
        yield from wrapped(option.says, width, f"{number:>4} ", "     ")
    key = "y takes it" if len(ask.options) == 1 else "Number of the right one"
    yield from wrapped(f"{key}, the value again, or n to leave it out.", width, "   ")


def _picked(ask: Ask, word: str) -> ReplyItem | None:
    if word.isdecimal() and 1 <= int(word[:6]) <= len(ask.options):
        return ask.options[int(word) - 1]
    return ask.options[0] if len(ask.options) == 1 and word in YES else None


def _again(scene: Scene, ask: Ask, typed: str) -> ReplyItem | None:
    """The value typed again, where it is clear which reading it is."""
    about = {str(option.write.body["measurement"]) for option in ask.options}
    if len(about) != 1 or not typed or re.fullmatch(r"\d", typed):  # a digit is a number of the list
        return None
    m = scene.state.kb.measurements[about.pop()]
    try:
        return reading_item(scene.state.case, m, typed, None, typed)
    except CaseError:
        return None


def _numbers(text: str) -> frozenset[int]:
    return frozenset(map(int, re.findall(r"\d{1,3}", text)))
