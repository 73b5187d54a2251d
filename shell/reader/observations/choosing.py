"""A whole text that answers an observation: a place in the list, a value written out, its beginning."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from crankpath.engine.knowledge.records import HISTORY_KIND, Measurement
from crankpath.engine.typed import spelling
from crankpath.engine.typed.reading import Understood
from crankpath.shell.reader.page import Page
from crankpath.shell.reader.pieces.tallies import tally_in
from crankpath.shell.reader.pieces.tokens import Token
from crankpath.shell.reader.proposals import Doubt, Interpretation, Proposal

_SHORT: Final = 6  # words of an answer that may be a beginning or a misspelling of a value


def answered(page: Page, m: Measurement) -> bool:
    """Take the whole text as the answer, if it is one; else leave the page as it is."""
    if _told_in_tries(page, m):
        return True
    words = [t for t in page.tokens if t.kind not in ("hard", "soft")]
    parted = any(t.kind == "hard" and t is not page.tokens[-1] for t in page.tokens)
    said = spelling.plain_name(page.source)
    for value in m.choices:
        if said in (spelling.plain_name(value), spelling.plain_name(m.band_labels.get(value, value))):
            take_value(page, m, value, 0, len(page.tokens))
            return True
    if not words or parted or len(words) > _SHORT:
        return False
    choice = page.lexicon.single("choice")
    rest = [t for t in words if t.key not in choice and t.key not in page.lexicon.single("filler")]
    index = _place(page, rest)
    if 1 <= index <= len(m.choices):
        take_value(page, m, m.choices[index - 1], 0, len(page.tokens))
        return True
    if any(t.key in page.lexicon.single("nearly") for t in words):
        return False
    text = page.source.strip(" .!\n")
    keys = page.lexicon.saying(t.key for t in words) or tuple(t.key for t in words[:1])
    forms = [value for form, value in page.lexicon.values[m.id] if form == keys]
    if forms:
        take_value(page, m, forms[0], 0, len(page.tokens))
        return True
    if len(words) == 1 and words[0].key in page.lexicon.single("answer"):
        return False
    about, values = page.lexicon.sayings.get(keys, ("", ()))
    if about == m.id and len(values) > 1:
        ask_values(page, m, values, 0, len(page.tokens), "")
        return True
    found = spelling.match_name(text, {band: (band, m.band_labels.get(band, "")) for band in m.choices})
    denied = len(words) > 1 and any(t.key in page.lexicon.single("not") for t in words) and not found.exact
    if found.sure is None or denied or any(t.kind in ("figure", "aside") for t in words):
        return False
    take_value(page, m, found.sure, 0, len(page.tokens))
    return True


def _place(page: Page, words: Sequence[Token]) -> int:
    """The place in the list that an answer tells: 3, "#3", "three", "the third one"; 0 if it tells none."""
    lexicon = page.lexicon
    places = [lexicon.ordinals[t.key] for t in words if t.key in lexicon.ordinals]
    if len(places) == 1 and all(t.key in lexicon.ordinals or t.key in lexicon.numbers for t in words):
        return places[0]
    if len(words) != 1:
        return 0
    token = words[0]
    figure = token.figure.text if token.figure and token.figure.unit is None else ""
    number = re.fullmatch(r"#?\s*(\d{1,2})[).]?", figure or token.text.strip())
    return int(number[1]) if number else int(lexicon.numbers.get(token.key, 0.0))


def _told_in_tries(page: Page, m: Measurement) -> bool:
    """ "Two or three of ten", where it was asked whether it fails at every try."""
    tally = tally_in(page.source, page.lexicon.knowledge) if HISTORY_KIND in m.kinds else None
    if tally is None or tally.low == 0:
        return False
    values = m.choices[:1] if tally.low == tally.of else m.choices[1:]
    if len(values) == 1:
        take_value(page, m, values[0], 0, len(page.tokens))
    return len(values) == 1


def take_value(page: Page, m: Measurement, value: str, first: int, last: int) -> None:
    """Take a value told by these tokens; it is asked about where this machine has no such thing."""
    only = m.only
    words = page.text(first, last)
    if only is not None and only.holds(page.facts) is False:
        ask_values(page, m, [value], first, last, f"This machine has no {m.label}, as it was told.")
        return
    page.taken.append(Proposal(m.id, value, Understood(value, value), None, words, page.tokens[first].start))
    page.use(first, last)


def ask_values(
    page: Page, m: Measurement, values: Sequence[str], first: int, last: int, message: str = ""
) -> None:
    """Ask which of these values is meant by these tokens; message: how it is asked."""
    options = tuple(Interpretation(m.id, value, value) for value in values)
    asked = message or (
        f"Is this what is meant by {m.label}?" if len(options) == 1 else f"{m.label}: which is it?"
    )
    page.asked.append(Doubt(asked, options, page.text(first, last), page.tokens[first].start))
    page.use(first, last)
