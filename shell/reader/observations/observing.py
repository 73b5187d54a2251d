"""Observations of a text: the one asked for, those named with a value, phrases that speak for themselves."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Final

from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.reader.clauses import DOUBTED, ELSEWHERE, Sentence
from crankpath.shell.reader.naming import Naming
from crankpath.shell.reader.observations.asked_for import read_asked_for
from crankpath.shell.reader.observations.choosing import answered, ask_values, take_value
from crankpath.shell.reader.observations.hits import (
    Hit,
    doubts_of,
    hits_in,
    names_in,
    sound_value,
    tells_work,
    words_of,
)
from crankpath.shell.reader.page import Page
from crankpath.shell.reader.pieces.phrases import Run
from crankpath.shell.reader.proposals import Doubt, Interpretation, Note
from crankpath.shell.reader.said import negated

_REACH: Final = 12  # tokens between a name and its value, at most


def read_observations(page: Page, naming: Naming, asked: str | None) -> None:
    """Read the observations; what is asked for first, then what is named, then what speaks for itself."""
    kb = page.lexicon.knowledge
    m = kb.measurements.get(asked or "")
    if m is not None and not m.numeric and all(cannot != asked for _, cannot, _ in page.cannot):
        if answered(page, m):
            page.notes.clear()  # a figure in it is the number of the answer
            return
        read_asked_for(page, m)
    _named(page, naming, asked)
    _sayings(page, naming, asked)


def _named(page: Page, naming: Naming, asked: str | None) -> None:
    kb = page.lexicon.knowledge
    for sentence in page.sentences:
        names = names_in(page, sentence)
        hits = {m: hits_in(page, kb.measurements[m], sentence.first, sentence.last, sentence)
                for m in {m for _, ids in names for m in ids} - {asked}}  # fmt: skip
        for run, ids in names:
            if any(page.used[run[0] : run[1]]):
                continue
            others = [other for other, _ in names if other != run]
            near = {m: _nearest(page, hits[m], run, others, sentence) for m in ids if m in hits}
            found = {m: hit for m, hit in near.items() if hit is not None}
            if found:
                _tell_named(page, found, run, asked)


def _nearest(
    page: Page, hits: Sequence[Hit], name: Run, others: Sequence[Run], sentence: Sentence
) -> Hit | None:
    """The value said of a name: behind it first, then before it; in its clause, or alone in the next."""
    size = name[1] - name[0]
    whole = [h for h in hits if h.first <= name[0] and name[1] <= h.last and h.last - h.first > size]
    hits = [h for h in hits if h.last <= name[0] or h.first >= name[1]]
    hits = [h for h in hits if not any(page.used[h.first : h.last])]
    behind = [
        h for h in hits if name[1] <= h.first <= name[1] + _REACH and not _between(others, name[1], h.first)
    ]
    before = [
        h for h in hits if name[0] - _REACH <= h.last <= name[0] and not _between(others, h.last, name[0])
    ]
    here = sentence.clause(name[0])
    same = [h for h in (*behind, *before[::-1]) if here and here.first <= h.first < here.last]
    return next(iter((*whole, *same, *behind)), None)


def _between(runs: Sequence[Run], first: int, last: int) -> bool:
    return any(first <= run[0] and run[1] <= last for run in runs)


def _tell_named(page: Page, found: dict[str, Hit], run: Run, asked: str | None) -> None:
    """Take or ask; beside another question only what stands for itself: "lights dim"."""
    kb = page.lexicon.knowledge
    first = min(run[0], *(h.first for h in found.values()))
    last = max(run[1], *(h.last for h in found.values()))
    roles = frozenset().union(*(h.roles for h in found.values()))
    doubted = asked is not None and not _stands_alone(page, run, found.values())
    doubted = doubted or any(roles & doubts_of(kb.measurements[m]) for m in found)
    both = any(t.key in page.lexicon.single("both") for t in page.tokens[max(first - 2, 0) : last])
    if roles & ELSEWHERE:
        page.notes.append(
            Note(page.text(first, last), "of another machine or time", page.tokens[first].start)
        )
    elif any(h.negated for h in found.values()):
        for m, hit in found.items():
            rest = [b for b in kb.measurements[m].choices if b not in hit.values]
            ask_values(page, kb.measurements[m], rest, first, last, "Says what it is not; what is it?")
    elif doubted or (len(found) > 1 and not both) or any(len(h.values) > 1 for h in found.values()):
        options = tuple(Interpretation(m, v, v) for m, h in found.items() for v in h.values)
        page.asked.append(Doubt("Which is meant?", options, page.text(first, last), page.tokens[first].start))
    else:
        for m, hit in found.items():
            take_value(page, kb.measurements[m], hit.values[0], first, last)
    page.use(first, last)




def _stands_alone(page: Page, name: Run, hits: Collection[Hit]) -> bool:
    """The clauses of a name and what is said of it say nothing else."""
    lexicon = page.lexicon
    quiet = lexicon.unsaid | lexicon.single("prepositions")
    sentence = page.sentences[page.sentence_of(name[0])]
    clauses = {sentence.clause(at) for at in (name[0], *(hit.first for hit in hits))}
    told = {at for first, last in (name, *((h.first, h.last) for h in hits)) for at in range(first, last)}
    return all(
        page.tokens[at].key in quiet or at in told
        for clause in clauses
        for at in (range(clause.first, clause.last) if clause else ())
    )


def _sayings(page: Page, naming: Naming, asked: str | None) -> None:
    kb, lexicon = page.lexicon.knowledge, page.lexicon
    read = any(kb.measurements[t.measurement].numeric for t in page.taken)
    read = read or bool(naming.asked)
    done = {t.measurement for t in page.taken} | {m for d in page.asked for m in d.measurements}
    said: dict[str, list[Hit]] = {}
    for sentence in page.sentences:
        words = words_of(page, sentence.first, sentence.last, lexicon.unsaid)
        for run in words.runs(lexicon.sayings):
            keys = lexicon.saying(t.key for t in page.tokens[run[0] : run[1]] if t.kind == "word")
            measurement, values = lexicon.sayings[keys]
            roles = sentence.roles(run[0])
            m = kb.measurements[measurement]
            hidden = read and sound_value(m) in values  # it tells that the fault was away
            skipped = measurement in done or measurement == asked or roles & ELSEWHERE or hidden
            if skipped or negated(page, run[0]) or tells_work(m, roles):
                continue
            said.setdefault(measurement, []).append(Hit(run[0], run[1], values, False, roles))
    for measurement, hits in said.items():
        if asked not in done or any(hit.last - hit.first > 1 for hit in hits):  # "0 V, nada"
            _say(page, kb.measurements[measurement], hits, asked is None)


def _say(page: Page, m: Measurement, hits: Sequence[Hit], sure: bool) -> None:
    certain = [h for h in hits if len(h.values) == 1]
    values = list(dict.fromkeys(v for h in (certain or hits) for v in h.values))
    first, last = hits[0].first, hits[-1].last if len(values) > 1 else hits[0].last
    if sure and len(values) == 1 and values != [sound_value(m)] and not any(h.roles & DOUBTED for h in hits):
        take_value(page, m, values[0], first, last)
    else:
        ask_values(page, m, values, first, last, "")
