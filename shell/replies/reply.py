"""A reply as pasted from a message: what was understood, what must be asked, what is talk.

Nothing is guessed silently: a fragment that can mean more than one thing is a `Doubt` with
the candidates, and a number whose measurement is not told is in ``unknown``.
"""

from __future__ import annotations

from dataclasses import dataclass

from crankpath.engine.knowledge.condition import Facts, FactValue
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.typed.reading import Understood
from crankpath.shell.replies.names import Lexicon, lexicon
from crankpath.shell.replies.numbers import take_numbers
from crankpath.shell.replies.observations import settle, take_observations
from crankpath.shell.replies.page import Page
from crankpath.shell.replies.sayings import symptoms, take_cannots, take_sayings, tell_symptoms


@dataclass(frozen=True, slots=True)
class ReplyReading:
    """One reading understood; symptom: was the fault there while it was taken (None: not told)."""

    measurement: str
    text: str
    understood: Understood
    symptom: bool | None


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something to ask about.

    Attributes:
        text: the fragment.
        message: what is not clear, in a sentence.
        measurements: the ids it may be (one: the measurement is clear, its value is not).
        values: what the value may be: names of an observation's values, or one text with
            another unit ("310 mV"); empty if it must be read again.
    """

    text: str
    message: str
    measurements: tuple[str, ...]
    values: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ParsedReply:
    """A reply taken apart; every tuple is in the order of the text.

    cannot: (measurement, fragment) that cannot be taken there. unknown: fragments that
    carry a number or name a measurement and were not understood. talk: the rest.
    """

    readings: tuple[ReplyReading, ...]
    doubtful: tuple[Doubt, ...]
    cannot: tuple[tuple[str, str], ...]
    unknown: tuple[str, ...]
    talk: tuple[str, ...]


def parse_reply(
    text: str,
    knowledge: Knowledge,
    facts: Facts | None = None,
    expecting: str | None = None,
    words: Lexicon | None = None,
) -> ParsedReply:
    """What a pasted reply says.

    Args:
        text: the message, one thing a line or all in one.
        knowledge: names, values and complaints come from here.
        facts: what is known of the machine; its defaults if not given.
        expecting: the measurement that was asked for; a reply that names none answers it.
        words: `lexicon(knowledge, facts)`, to parse many replies for one machine.

    Raises:
        nothing for any text: what is not understood is in the result.
    """
    known = facts or default_facts(knowledge)
    page = Page(text, words or lexicon(knowledge, known), known, expecting)
    _read(page)
    return ParsedReply(
        tuple(
            ReplyReading(f.measurement, f.text, f.understood, f.symptom) for f in page.in_order(page.taken)
        ),
        tuple(Doubt(d.text, d.message, d.measurements, d.values) for d in page.in_order(page.doubts)),
        tuple((c.measurement, c.text) for c in page.in_order(page.cannot)),
        tuple(u.text for u in page.in_order(page.unknown)),
        page.talk(),
    )


def _read(page: Page) -> None:
    """Everything, in the order that leaves the least to chance: whole phrases first."""
    stated = symptoms(page)
    take_cannots(page)
    take_sayings(page)
    take_observations(page, take_numbers(page, page.names()))
    settle(page)
    tell_symptoms(page, stated)


def default_facts(knowledge: Knowledge) -> Facts:
    """The equipment facts that the knowledge base takes when nothing was said."""
    values: dict[str, FactValue] = {
        e.id: e.default for e in knowledge.equipment.values() if e.default is not None
    }
    return Facts(values)
