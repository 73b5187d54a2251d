"""What the card for the cab says: what is connected, what to do when it fails, what each picture means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from crankpath.engine.advice.waiting.provoke import Provocation
from crankpath.engine.advice.waiting.watch import Watch
from crankpath.engine.advice.waiting.watch_table import WatchRow, watch_table
from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.outlets.messages.preparations import answer_example, sent_words
from crankpath.shell.outlets.reports.words import percent
from crankpath.shell.session.screens.figures import bands_words

USUAL_METERS: Final = 2
MOST_METERS: Final = 4
_LETTERS: Final = "ABCD"
_MOST_ROWS: Final = 12
_METERS_ON: Final = "Before each try see that the meters are on: many switch themselves off."
_CALL_WHEN: Final = (
    "as soon as it has failed and the figures are written down. At once if it fails at every try, does "
    "something new, or if anything gets hot, smells or smokes."
)
ELSE: Final = "Anything else does not decide it alone. Send the figures."
STAYS_AWAY: Final = (
    "If it does not come, that rules out little: no more than the share named, most of which may still hide."
)


@dataclass(frozen=True, slots=True)
class Connected:
    """A meter that stays on. letter: its name on the card. places: where its leads go."""

    letter: str
    measurement: str
    label: str
    unit: str
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Noted:
    """What is seen or heard when it fails, without a meter. choices: one of these."""

    measurement: str
    label: str
    asks: str
    choices: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Meaning:
    """What may show, and the repair it points to, with its chance then."""

    shows: str
    repair: str
    probability: str


@dataclass(frozen=True, slots=True)
class BringOnLine:
    """A way to bring the fault on. chance: that it moves the fault. from_the_seat: the operator can do it."""

    how: str
    moves: str
    chance: str
    from_the_seat: bool
    mind: str


@dataclass(frozen=True, slots=True)
class WatchCard:
    """The card.

    cautions: each in short and in full. bring_on: ways to make it fail, the safest first; stays_away: what it
    means where it does not. answer: how to send a failure. call: when to call, and whom, if that was said.
    look_again: on which day to look at it, failed or not; "" where none was named.
    """

    name: str
    stops: tuple[str, ...]
    cautions: tuple[tuple[str, str], ...]
    connected: tuple[Connected, ...]
    noted: tuple[Noted, ...]
    when: tuple[str, ...]
    bring_on: tuple[BringOnLine, ...]
    stays_away: str
    meanings: tuple[Meaning, ...]
    otherwise: str
    answer: str
    call: str
    look_again: str
    version: str


def watch_of(case: Case, meters: int = USUAL_METERS, standing: Sequence[str] = ()) -> Watch:
    """What is left connected already, or else what to leave connected for so many meters.

    Raises:
        CaseError: a stop forbids it, it does not come and go, a repair is to be proven, or no lead that
            may stay on would tell anything.
    """
    found: list[Watch] = []
    if case.guard.tries:
        why = "Nothing may be left connected to wait for a failure."
    elif not _unrepaired(case):
        why = "A repair was made and has not failed: there is no failure to wait for."
    elif not case.assessment.intermittent:
        why = "It fails every time: take the readings now. Waiting is for a fault that comes and goes."
    else:
        left_on = case.watched(standing)
        found = [left_on] if left_on else case.watch(meters)
        why = "No reading with leads left on would tell more at the next failure."
    if not found:
        raise CaseError(" ".join((*(f"STOP: {reason}" for reason in case.stops()), why)))
    return found[0]


def waits(case: Case) -> bool:
    """Is waiting for the next failure the best act now?"""
    return _unrepaired(case) and case.verdict().action == "watch"


def _unrepaired(case: Case) -> bool:
    repairs = case.assessment.repairs
    return not repairs or repairs[-1].cured is False


def watch_card(
    case: Case, meters: int = USUAL_METERS, name: str = "", call: str = "", standing: Sequence[str] = (),
    look_again: str = "",
) -> WatchCard:  # fmt: skip
    """The card for the cab.

    Args:
        case: the case.
        meters: how many are at hand.
        name: what the card is headed with.
        call: whom to call, and how.
        standing: what is left connected already.
        look_again: the day on which to look at it, failed or not.

    Raises:
        CaseError: as `watch_of`.
    """
    watch = watch_of(case, meters, standing)
    here = [case.assessment.model.measurements[m] for m in watch.measurements]
    connected = _connected(case, [m for m in here if m.numeric])
    noted = tuple(_noted(m) for m in here if not m.numeric)
    cautions = (case.kb.cautions[c] for c in case.guard.cautions_of_watch(here))
    rows = watch_table(watch, here)[:_MOST_ROWS]
    return WatchCard(
        name,
        case.stops(),
        tuple((c.short, c.text) for c in cautions),
        connected,
        noted,
        tuple(_when(case.kb.about.how_to_try, connected, noted)),
        tuple(_bringing(one) for one in case.provoke() if one.telling),
        STAYS_AWAY,
        tuple(_meaning(case, row, here, connected) for row in rows),
        ELSE,
        f"it failed: {', '.join(answer_example(case, m)[1] for m in here)}",
        f"Call{f' {call},' if call else ''} {_CALL_WHEN}",
        f"Look again on {look_again} at what stays connected, failed or not." if look_again else "",
        case.kb.version,
    )


def _connected(case: Case, metered: Sequence[Measurement]) -> tuple[Connected, ...]:
    lettered = zip(_LETTERS, metered, strict=False)
    return tuple(Connected(letter, m.id, m.label, m.unit or "", _places(case, m)) for letter, m in lettered)


def _places(case: Case, m: Measurement) -> tuple[str, ...]:
    """Where each lead goes, or what the reading says of them."""
    points = [case.kb.points[point] for point in m.between or ()]
    each = (f"{colour}: {p.label}. {p.touch}" for colour, p in zip(("red", "black"), points, strict=False))
    return tuple(text.rstrip() for text in each) or (m.leads,)


def _noted(m: Measurement) -> Noted:
    return Noted(m.id, m.label, m.asks, tuple(sent_words(band) for band in m.choices))


def _when(how: str, connected: Sequence[Connected], noted: Sequence[Noted]) -> list[str]:
    """What the operator does when it happens."""
    letters = " and ".join(c.letter for c in connected)
    found = [_METERS_ON, f"{how} to read {letters}. Write the figures with their units."]
    found += [f"Note {n.label}: {', '.join(n.choices)}." for n in noted]
    return [
        *found,
        "Write down the time, hot or cold, wet or dry, what the machine did just before, what you heard.",
        "Leave a figure blank if you did not see it while it failed. The other notes still help.",
        "Count the tries: how many failed, of how many.",
    ]


def _bringing(one: Provocation) -> BringOnLine:
    way = one.way
    return BringOnLine(way.how, way.moves, percent(one.chance), way.from_the_seat, way.mind)


def _meaning(
    case: Case, row: WatchRow, here: Sequence[Measurement], connected: Sequence[Connected]
) -> Meaning:
    letters = {c.measurement: c.letter for c in connected}
    facts = case.assessment.now.facts

    def words(m: Measurement, bands: Sequence[str]) -> str:
        said = bands_words(m, facts, bands) if m.numeric else " or ".join(map(sent_words, bands))
        return f"{letters.get(m.id, m.label)} {said}"

    shows = [
        words(m, bands)
        for m, bands in zip(here, row.shown, strict=True)
        if len(bands) < len(m.bands)
    ]
    repair = case.kb.repairs[row.repair].label
    if row.probability < case.kb.settings["likely_enough"]:
        repair = f"not proven, likeliest: {repair}"
    return Meaning(", ".join(shows) or "anything", repair, percent(row.probability))
