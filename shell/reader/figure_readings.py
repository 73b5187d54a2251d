"""Figures with their words made readings: taken, asked about, or kept as a note."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from crankpath.engine.errors import ReadingError
from crankpath.engine.typed.reading import understand
from crankpath.engine.typed.units import UNITS
from crankpath.shell.reader.clauses import ELSEWHERE, Sentence
from crankpath.shell.reader.figure_outcomes import (
    DEAD,
    ENDLESS,
    ZERO,
    ReadFigure,
    tell,
)
from crankpath.shell.reader.linking import Linked, linked
from crankpath.shell.reader.naming import FINE, Candidate, Naming
from crankpath.shell.reader.page import Page
from crankpath.shell.reader.pieces.phrases import view
from crankpath.shell.reader.pieces.tokens import Figure, Token
from crankpath.shell.reader.proposals import Note, Proposal
from crankpath.shell.reader.repeated import settle_difference, settle_same

# Marks: from _SURE on a reading is taken where the next is _CLEAR behind; from MAYBE on it is asked about.
_SURE: Final = 1.9
_SURE_WITH_STRAY: Final = 2.9  # where another reading is named as well
_CLEAR: Final = 0.75
_TALK: Final = 0.4  # a word that has nothing to do with a reading, where nothing is named
_NAMED_TOO: Final = 2  # other readings that words near a figure name, to be asked about
_TALK_FAR: Final = 0.05  # in another clause of the sentence
_AROUND: Final = 30  # tokens on either side that are looked at
_MOST_TALK: Final = 1.6
_MAYBE_A_COUNT: Final = 0.8  # a whole number where readings seldom are whole
_WRITTEN_OUT: Final = 0.4  # a figure with a point or a unit is hardly a count
_SAID_IN: Final = {ZERO: "V", DEAD: "V", ENDLESS: "ohm"}  # the unit of what can be read so in words
MOST_FIGURES: Final = 100
"""Figures of one text that are read."""


def read_figures(page: Page, naming: Naming) -> None:
    """Read every figure of the text; the tokens that were understood are marked as used."""
    if _answered(page, naming):
        return
    found: list[ReadFigure] = []
    for sentence in page.sentences:
        figures = _few(page, _figures(page, sentence, naming), found)
        for link in linked(page.linkable, sentence.first, sentence.last, figures, naming):
            found.append(_found(page, sentence, link, naming, found))
    _settle_by_neighbours(found, naming)
    settle_difference(found, naming)
    settle_same(page, found, naming)
    for each in found:
        tell(page, each, naming)


def _answered(page: Page, naming: Naming) -> bool:
    """A word or two that the grammar of a reading takes as a whole: "open", "over range"."""
    words = [t for t in page.tokens if t.kind != "hard"]
    if naming.asked is None or not 0 < len(words) <= 2 or any(t.kind != "word" for t in words):
        return False
    m = naming.lexicon.knowledge.measurements[naming.asked]
    text = page.source.strip(" .!\n")
    try:
        read = understand(m, text, naming.facts)
    except ReadingError:
        return False
    page.taken.append(Proposal(m.id, text, read, None, text, words[0].start))
    page.use(0, len(page.tokens))
    return True


def _figures(page: Page, sentence: Sentence, naming: Naming) -> list[tuple[int, Figure]]:
    """Figures of a sentence, and words for nothing or no way through where that can be read."""
    at = [(i, t.figure) for i, t in enumerate(page.tokens[sentence.first : sentence.last], sentence.first)
          if t.kind == "figure" and t.figure is not None and not page.used[i]]  # fmt: skip
    told = {id(sentence.clause(i)) for i, _ in at}
    readings = naming.lexicon.knowledge.measurements
    ohms = naming.asked and readings[naming.asked].unit == "ohm"
    zeros = () if naming.observing else page.zeros
    seems = page.dead if naming.asked and "none" in readings[naming.asked].bands and not page.figures else ()
    places, names = naming.lexicon.single("place"), naming.lexicon.names
    for said, runs in ((ZERO, zeros), (DEAD, seems), (ENDLESS, page.endless if ohms else ())):
        own = [
            first
            for first, end in runs
            if sentence.first <= first < sentence.last
            and not page.used[first]
            and (
                id(sentence.clause(first)) not in told
                or page.key(end) in places  # "nothing at the relay"
                or (page.key(end),) in names
            )
        ]
        at += [(own[0], said)] if len(own) == 1 else []
    return sorted(at, key=lambda pair: pair[0])


def _few(
    page: Page, figures: list[tuple[int, Figure]], found: Sequence[ReadFigure]
) -> list[tuple[int, Figure]]:
    """The figures that are still read; a text with more is no message, and says so once."""
    room = MOST_FIGURES - len(found)
    if len(figures) > room >= 0:
        at = page.tokens[figures[room][0]].start
        page.notes.append(Note(page.source[at : at + 60], f"more than {MOST_FIGURES} figures", at))
        page.use(figures[room][0], len(page.tokens))
    return figures[: max(room, 0)]


def _found(
    page: Page, sentence: Sentence, link: Linked, naming: Naming, before: Sequence[ReadFigure]
) -> ReadFigure:
    roles = sentence.roles(link.at)
    bare = not naming.telling(link.keys)
    state = ""
    if bare:
        named = [b.best.measurement for b in before[-4:] if b.link.at >= sentence.first and b.best]
        state = naming.lexicon.knowledge.measurements[named[-1]].state if named else ""
    candidates = naming.candidates(link.keys, link.figure, link.context, state)
    if link.context:  # "Relay: coil 12.1, contacts 0.9": the word before the colon is part of each name
        headed = naming.candidates((*link.context, *link.keys), link.figure, (), state)
        candidates = headed if headed and headed[0].called and not headed[0].stray else candidates
    # "bench 4800 rpm 88 amps": the state that was told goes on
    readings = naming.lexicon.knowledge.measurements
    goes_on = bool(state and candidates) and readings[candidates[0].measurement].state == state
    with_unit = (*link.keys, link.figure.unit_word)
    called = bool(candidates) and candidates[0].called
    if naming.lexicon.called(with_unit[-1:]) and not called and not goes_on and not (bare and naming.asked):
        named_too = naming.candidates(with_unit, link.figure, link.context, state)
        if not candidates or (named_too and named_too[0].score > candidates[0].score):
            candidates, bare = named_too, False
    if unit := _SAID_IN.get(link.figure):
        candidates = tuple(
            c
            for c in candidates
            if (c.measurement == naming.asked and (unit == "V" or readings[c.measurement].unit == unit))
            or (c.called and readings[c.measurement].unit == unit)
        )
    if bare and naming.asked:
        candidates = tuple(_weighed(page, sentence, link, c, naming) for c in candidates)
        candidates = tuple(sorted(candidates, key=lambda c: -c.score))
    made = ReadFigure(link, candidates, roles, bare, words=_words(page, link))
    made.sure = _sure(made, naming, bool(before)) and not (bare and _of_unknown(page, link, naming))
    _consider_asked(made, naming)
    _consider_strange(page, sentence, made, naming)
    made.dropped = _dropped(page, made, naming)
    return made


def _consider_strange(page: Page, sentence: Sentence, found: ReadFigure, naming: Naming) -> None:
    """ "Starter 10.8", where the battery was asked for: words nearby that name something else make doubt."""
    clause = sentence.clause(found.link.at)
    if clause is None or found.best is None or naming.asked is None:
        return
    lexicon, asked = naming.lexicon, naming.asked
    alone = sum(t.kind == "figure" for t in page.tokens[sentence.first : sentence.last]) == 1
    within = sentence if alone else clause
    if view(page.tokens, within.first, within.last).runs(lexicon.foreign[found.best.measurement]):
        found.sure = False
        if found.best.measurement != asked and (own := naming.fit(asked, found.link.figure)).understood:
            found.candidates = (replace(own, score=found.best.score), *found.candidates)
    if not found.bare or found.best.measurement != asked:
        return
    of_asked = lexicon.bags[asked] | lexicon.states[asked] | lexicon.ends[asked]
    near = [t.key for t in page.linkable[clause.first : clause.last] if t.kind == "word"]
    strange = tuple(key for key in naming.telling(tuple(near)) if key not in of_asked)
    alike = [m for m in lexicon.knowledge.measurements.values() if m.unit == naming.unit and m.id != asked]
    known = frozenset().union(*(lexicon.bags[m.id] for m in alike)) - naming.common
    strange = tuple(key for key in strange if key in known)
    others = {m.id for m in alike}
    named = naming.candidates(strange, found.link.figure) if strange else ()
    more = [replace(c, score=found.best.score) for c in named if c.score > 0 and c.measurement in others]
    if strange:
        found.sure = False
        found.candidates = (*found.candidates[:1], *more[:_NAMED_TOO])


def _consider_asked(found: ReadFigure, naming: Naming) -> None:
    """A figure that is unlikely for what is named, and likely for what was asked for, may be either."""
    best = found.best
    if best is None or naming.asked in (None, best.measurement) or naming.asked is None:
        return
    readings = naming.lexicon.knowledge.measurements
    own = naming.fit(naming.asked, found.link.figure)
    figure = found.link.figure
    unit = readings[naming.asked].unit
    told = naming.telling(found.link.keys)
    apart = readings[naming.asked].between != readings[best.measurement].between
    state = apart and all(key in naming.lexicon.states[best.measurement] for key in told)  # "10.9 cranking"
    unlikely = best.understood is None or naming.fit(best.measurement, figure).score < 0
    unlikely = unlikely or (unit in FINE and unit != readings[best.measurement].unit)  # "14.4 revved"
    if own.score > 0 and (unlikely or state) and figure.unit in (None, UNITS.get(unit or "")):
        found.sure = False
        others = [c for c in found.candidates if c.measurement != naming.asked]
        asked = replace(own, score=best.score)
        found.candidates = (asked, *others) if readings[naming.asked].numeric else found.candidates


def _weighed(page: Page, sentence: Sentence, link: Linked, candidate: Candidate, naming: Naming) -> Candidate:
    """The reading that was asked for, less for every word that has nothing to do with it."""
    if candidate.measurement != naming.asked:
        return candidate
    clause = sentence.clause(link.at)
    near = range(clause.first, clause.last) if clause else range(0)
    around = range(max(sentence.first, link.at - _AROUND), min(sentence.last, link.at + _AROUND))
    talk = sum(
        _weight(page.tokens[i], naming) * (_TALK if i in near else _TALK_FAR)
        for i in around
        if page.tokens[i].kind == "word"
    )
    counts = talk > 0 and link.figure.whole and link.figure.unit is None and link.figure.text != "0"
    if counts and naming.lexicon.knowledge.measurements[candidate.measurement].unit in FINE:
        talk += _MAYBE_A_COUNT
    written = link.figure.unit is not None or not link.figure.whole or link.figure.text == "0"
    return replace(candidate, score=candidate.score - min(talk, _MOST_TALK) + _WRITTEN_OUT * written)


def _weight(token: Token, naming: Naming) -> float:
    lexicon = naming.lexicon
    if token.key in lexicon.single("filler") | lexicon.single("prepositions") or token.key in lexicon.trade:
        return 0.0
    return 0.4 if token.key in lexicon.everyday or token.key in lexicon.vocabulary else 1.0


def _sure(found: ReadFigure, naming: Naming, others: bool) -> bool:
    best = found.best
    if best is None or best.understood is None or found.link.figure.others or found.link.figure.bound:
        return False
    if naming.observing and found.link.figure.whole and found.link.figure.unit is None:
        return False
    behind = found.candidates[1].score if len(found.candidates) > 1 else -9.0
    if found.bare and best.measurement != naming.asked:
        by_unit = found.link.figure.unit is not None and found.link.figure.unit.dimension in ("A", "rpm", "%")
        return by_unit and others and best.score >= 0.5 and best.score - behind >= 0.3
    if best.stray and best.score < _SURE_WITH_STRAY:
        return False
    if best.measurement != naming.asked and naming.fit(best.measurement, found.link.figure).score < 0:
        return False
    return best.score >= _SURE and best.score - behind >= _CLEAR


def _of_unknown(page: Page, link: Linked, naming: Naming) -> bool:
    """A figure without a unit, and right behind it a word that nobody knows: it may count such things."""
    behind = page.tokens[link.at + 1] if link.at + 1 < len(page.tokens) else None
    if behind is None or behind.kind != "word" or link.figure.unit is not None:
        return False
    lexicon = naming.lexicon
    known = (lexicon.vocabulary, lexicon.everyday, lexicon.unsaid, lexicon.single("prepositions"))
    return not any(behind.key in words for words in known)


def _dropped(page: Page, found: ReadFigure, naming: Naming) -> str:
    """Why a figure is no reading of this machine now; "" if it is one."""
    if found.roles & ELSEWHERE:
        return "of another machine, another time, or a limit"
    before = page.tokens[found.link.at - 1] if found.link.at else None
    if before and before.key in naming.lexicon.single("negates"):
        return "said not to be it"
    if _of_a_consumer(page, found, naming):
        return "of something else"
    before_it = tuple(t.key for t in page.tokens[max(found.link.at - 2, 0) : found.link.at])
    if any(before_it[-len(said) :] == said for said in naming.lexicon.roles.get("instead", ())):
        return "corrected, or from before"
    return ""


def _of_a_consumer(page: Page, found: ReadFigure, naming: Naming) -> bool:
    """ "Glow plugs take 80 amps", where volts were asked for: only its unit and a verb speak of a reading."""
    lexicon, unit = naming.lexicon, found.link.figure.unit
    quantity = lexicon.single("quantity")
    apart = unit and unit.dimension not in FINE and naming.unit in FINE
    clause = page.sentences[page.sentence_of(found.link.at)].clause(found.link.at)
    named = any(c.called and c.stray == 0 for c in found.candidates)
    if not apart or clause is None or (named and not quantity.issuperset(found.link.keys)):
        return False
    roles = ("prepositions", "now", "reads", "people")
    quiet = lexicon.unsaid.union(quantity, *(lexicon.single(role) for role in roles))
    return any(t.kind == "word" and t.key not in quiet for t in page.tokens[clause.first : found.link.at])


def _words(page: Page, link: Linked) -> str:
    """The figure with its words, as written; the words alone where others stand between."""
    runs = sorted([*link.runs, (link.at, link.at + 1)])
    first, last = runs[0][0], runs[-1][1]
    own = sum(b - a for a, b in runs)
    if last - first - own <= 3 and not any(
        t.kind == "figure" for i, t in enumerate(page.tokens[first:last], first) if i != link.at
    ):
        return page.text(first, last)
    return " ".join(page.text(a, b) for a, b in runs)


def _settle_by_neighbours(found: Sequence[ReadFigure], naming: Naming) -> None:
    """ "730 A cranking 145 rpm": a unit that few readings have, and what the machine does by what follows."""
    readings = naming.lexicon.knowledge.measurements
    for each, behind in itertools.pairwise(found):
        best = behind.best
        if not each.bare or each.sure or each.link.figure.unit is None or best is None or not behind.sure:
            continue
        state = readings[best.measurement].state
        candidates = naming.candidates(each.link.keys, each.link.figure, each.link.context, state)
        other = naming.asked is None or not any(c.measurement == naming.asked for c in candidates)
        if candidates and readings[candidates[0].measurement].state == state and other:
            each.candidates = candidates
            each.sure = _sure(each, naming, True)
