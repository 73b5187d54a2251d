"""The one reader of what people type and send: text in, proposals out.

In this order: the text's language, its tokens, figures and sentences; what cannot be
taken; figures with their words; observations; whether the fault was there. Only what is
sure is taken; the rest is asked about with the likely meanings, or kept as a note.
"""

from __future__ import annotations

import re
from typing import Final

from crankpath.engine.knowledge.condition import Facts, FactValue
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.reader.figure_readings import read_figures
from crankpath.shell.reader.naming import Naming
from crankpath.shell.reader.observations.observing import read_observations
from crankpath.shell.reader.page import Page
from crankpath.shell.reader.pieces.language import language_of
from crankpath.shell.reader.pieces.lexicon import lexicons
from crankpath.shell.reader.pieces.tokens import LONGEST
from crankpath.shell.reader.proposals import Note, Understanding
from crankpath.shell.reader.said import take_cannots, take_symptoms, with_symptoms

DECIMAL_COMMA: Final = re.compile(r"(?<![\d.,])\d{1,3},\d{1,2}(?![\d,])")
"""A figure with a decimal comma."""


def read_text(
    text: str,
    knowledge: Knowledge,
    facts: Facts | None = None,
    asked: str | None = None,
    decimal_comma: bool | None = None,
) -> Understanding:
    """The readings and doubts found in a text.

    Args:
        text: as typed or pasted, one thing a line or all in one.
        knowledge: names, values, complaints and words come from here.
        facts: what is known of the machine; its defaults if not given.
        asked: the measurement that was asked for; a text that names none answers it.
        decimal_comma: the habit of the case; what the text shows itself comes first.

    Raises:
        nothing for any text: what is not understood is in the result.
    """
    known = facts or default_facts(knowledge)
    lexicon = language_of(text, knowledge)
    comma = bool(DECIMAL_COMMA.search(text[:LONGEST])) or lexicon.decimal_comma or bool(decimal_comma)
    naming = Naming(lexicon, known, asked, comma)
    page = Page(text, lexicon, known)
    told = take_symptoms(page)
    take_cannots(page, naming)
    read_figures(page, naming)
    read_observations(page, naming, asked)
    with_symptoms(page, told)
    notes = page.notes + _unread(page)
    return Understanding(
        tuple(sorted(page.taken, key=lambda t: t.at)),
        tuple(sorted(page.asked, key=lambda d: d.at)),
        tuple((m, words) for _, m, words in sorted(page.cannot)),
        tuple(sorted(notes, key=lambda n: n.at)),
        page.talk(),
        page.unread,
    )


def _unread(page: Page) -> list[Note]:
    """Figures that led to no reading and no doubt."""
    noted = {note.at for note in page.notes}
    return [
        Note(token.text, "not clear what was read", token.start)
        for token, used in zip(page.tokens, page.used, strict=True)
        if token.kind == "figure" and not used and token.start not in noted and not _within(page, token.start)
    ]


def _within(page: Page, at: int) -> bool:
    return any(note.at <= at < note.at + len(note.words) for note in page.notes)


def knows(word: str, knowledge: Knowledge) -> bool:
    """True for a word that means something in a text, or is an everyday one."""
    return any(
        lexicon.stemmer.stem(word) in lexicon.vocabulary | lexicon.everyday for lexicon in lexicons(knowledge)
    )


def default_facts(knowledge: Knowledge) -> Facts:
    """The equipment facts that the knowledge base takes when nothing was said."""
    values: dict[str, FactValue] = {
        e.id: e.default for e in knowledge.equipment.values() if e.default is not None
    }
    return Facts(values)
