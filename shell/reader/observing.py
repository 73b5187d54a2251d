"""Observations of a text: the one asked for, those named with a value, phrases that speak for themselves."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Measurement
from crankpath.shell.reader.choosing import answered, ask_values, take_value
from crankpath.shell.reader.clauses import DOUBTED, ELSEWHERE, Sentence
from crankpath.shell.reader.naming import Naming
from crankpath.shell.reader.page import Page
from crankpath.shell.reader.pieces.lexicon import Keys
from crankpath.shell.reader.pieces.phrases import Run, View
from crankpath.shell.reader.proposals import Doubt, Interpretation, Note
from crankpath.shell.reader.said import negated

_TALK: Final = 5  # words of no meaning beside a single word, from which on it is asked about
_REACH: Final = 12  # tokens between a name and its value, at most


@dataclass(frozen=True, slots=True)
class Hit:
    """Words that say a value, or one of several, of an observation."""

    first: int
    last: int
    values: tuple[str, ...]
    negated: bool
    roles: frozenset[str]


def read_observations(page: Page, naming: Naming, asked: str | None) -> None:
    """Read the observations; what is asked for first, then what is named, then what speaks for itself."""
    kb = page.lexicon.knowledge
    m = kb.measurements.get(asked or "")
    if m is not None and not m.numeric:
        if answered(page, m):
            page.notes.clear()  # a figure in it is the number of the answer
            return
        _asked_for(page, naming, m)
    _named(page, naming, asked)
    _sayings(page, naming, asked)


# -- the one asked for --------------------------------------------------------------------


def _asked_for(page: Page, naming: Naming, m: Measurement) -> None:
    hits = _hits_of_asked(page, m)
    if HISTORY_KIND in m.kinds and any(hit.roles & {"condition"} for hit in hits):
        ask_values(page, m, m.choices, hits[0].first, hits[-1].last, "")  # "always when it rains"
        return
    if not hits:
        _speaks_of_it(page, m)
        return
    first, last = min(h.first for h in hits), max(h.last for h in hits)
    positive = [h for h in hits if not h.negated]
    values = list(dict.fromkeys(v for h in positive for v in h.values))
    certain = [h for h in positive if len(h.values) == 1]
    if certain and all(certain[0].values[0] in h.values for h in positive):
        values = [certain[0].values[0]]  # "one click ... clicks": the fuller phrase tells
    if not positive:
        denied = {v for h in hits for v in h.values}
        ask_values(
            page,
            m,
            [b for b in m.choices if b not in denied],
            first,
            last,
            "Says what it is not; what is it?",
        )
    elif len(values) == 1 and not _in_doubt(page, m, values[0], positive) and not _lost(page, positive):
        take_value(page, m, values[0], first, last)
        _use_name(page, m, first)
    else:
        order = values[::-1] if len(certain) == len(positive) else values
        ask_values(page, m, order, first, last, f"{m.label}: which is it?" if len(values) > 1 else "")


def _speaks_of_it(page: Page, m: Measurement) -> None:
    """What was asked for is named, or words of its values are said, but none of them whole: ask which."""
    lexicon = page.lexicon
    quiet = lexicon.unsaid | lexicon.single("prepositions") | lexicon.single("not") | lexicon.everyday
    words = {key for form, _ in lexicon.values[m.id] for key in form} - quiet
    for sentence in page.sentences:
        tokens = page.tokens[sentence.first : sentence.last]
        named = [m.id in ids for _, ids in _names(page, sentence)]
        spoken = all(named) and (named or any(t.kind == "word" and t.key in words for t in tokens))
        elsewhere = any(clause.roles & (ELSEWHERE | {"works", "helped"}) for clause in sentence.clauses)
        figures = any(t.kind in ("figure", "aside") for t in tokens)
        if spoken and not elsewhere and not figures and not page.cannot:
            ask_values(page, m, m.choices, sentence.first, sentence.last, "")
            return


def _use_name(page: Page, m: Measurement, at: int) -> None:
    """The name of what was asked for is told with its value."""
    for run, ids in _names(page, page.sentences[page.sentence_of(at)]):
        if m.id in ids:
            page.use(*run)


def _in_doubt(page: Page, m: Measurement, value: str, hits: Sequence[Hit]) -> bool:
    """Said with a doubt, or of a machine that is said to crank as well."""
    works = SYMPTOM_KIND in m.kinds and value != _sound(m) and (page.away or _says_works(page))
    return bool(works) or any(h.roles & _doubts_of(m) for h in hits)


def _doubts_of(m: Measurement) -> frozenset[str]:
    """What was found out with another source or a bridge is no complaint, and no doubt."""
    return DOUBTED if {SYMPTOM_KIND, HISTORY_KIND} & set(m.kinds) else DOUBTED - {"helped"}


def _sound(m: Measurement) -> str | None:
    """The value of the complaint that says there is none."""
    return m.bands[0] if SYMPTOM_KIND in m.kinds else None


def _says_works(page: Page) -> bool:
    return any("works" in clause.roles for sentence in page.sentences for clause in sentence.clauses)


def _hits_of_asked(page: Page, m: Measurement) -> list[Hit]:
    """Where a value of what was asked for is said of this machine, now."""
    found = []
    for sentence in page.sentences:
        names = _names(page, sentence) if SYMPTOM_KIND in m.kinds else []
        for hit in _hits(page, m, sentence.first, sentence.last, sentence, own=True):
            works = m.bands[0] in hit.values and _works(m, hit.roles)
            said = (t.key for t in page.tokens[hit.first : hit.last] if t.kind == "word")
            alone = len(page.lexicon.saying(said)) <= 1
            if not (hit.roles & ELSEWHERE or works or (alone and _of_another(names, sentence, m, hit))):
                found.append(hit)
    return found


def _of_another(
    names: Sequence[tuple[Run, tuple[str, ...]]], sentence: Sentence, m: Measurement, hit: Hit
) -> bool:
    """The word stands in a clause that names another observation."""
    clause = sentence.clause(hit.first)
    return any(
        clause
        and clause.first <= run[0] < clause.last
        and m.id not in ids
        and not run[0] <= hit.first < run[1]
        for run, ids in names
    )


def _lost(page: Page, hits: Sequence[Hit]) -> bool:
    """One short word among many that have nothing to do with it."""
    if len(hits) > 1 or hits[0].last - hits[0].first > 1:
        return False
    sentence = page.sentences[page.sentence_of(hits[0].first)]
    clause = sentence.clause(hits[0].first)
    words = page.tokens[clause.first : clause.last] if clause else ()
    known = page.lexicon.trade | page.lexicon.vocabulary
    return sum(t.kind == "word" and t.key not in known for t in words) >= _TALK


# -- named ones ---------------------------------------------------------------------------


def _named(page: Page, naming: Naming, asked: str | None) -> None:
    kb = page.lexicon.knowledge
    answers = {p.at for p in page.taken if p.measurement == asked}
    answers |= {d.at for d in page.asked if asked in d.measurements}
    for sentence in page.sentences:
        names = [name for name in _names(page, sentence) if not _beside(page, sentence, name[0], answers)]
        hits = {m: _hits(page, kb.measurements[m], sentence.first, sentence.last, sentence)
                for m in {m for _, ids in names for m in ids} - {asked}}  # fmt: skip
        for run, ids in names:
            if any(page.used[run[0] : run[1]]):
                continue
            others = [other for other, _ in names if other != run]
            near = {m: _nearest(page, hits[m], run, others, sentence) for m in ids if m in hits}
            found = {m: hit for m, hit in near.items() if hit is not None}
            if found:
                _tell_named(page, found, run)


def _beside(page: Page, sentence: Sentence, name: Run, answers: Collection[int]) -> bool:
    """One word in the clause that answers what was asked tells of that: "the jumper made it better"."""
    clause = sentence.clause(name[0])
    starts = {page.tokens[at].start for at in range(clause.first, clause.last)} if clause else set()
    return name[1] - name[0] == 1 and not starts.isdisjoint(answers)


def _names(page: Page, sentence: Sentence) -> list[tuple[Run, tuple[str, ...]]]:
    """Names of observations in a sentence, the longest at each place."""
    lexicon, kb = page.lexicon, page.lexicon.knowledge
    words = _view(page, sentence.first, sentence.last, lexicon.unsaid | lexicon.single("prepositions"))
    found = []
    for run in words.runs(lexicon.observed):
        keys = lexicon.naming(t.key for t in page.tokens[run[0] : run[1]] if t.kind == "word")
        ids = tuple(m for m in lexicon.called(keys) if not kb.measurements[m].numeric)
        if ids:
            found.append((run, ids))
    return found


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


def _tell_named(page: Page, found: dict[str, Hit], run: Run) -> None:
    kb = page.lexicon.knowledge
    first = min(run[0], *(h.first for h in found.values()))
    last = max(run[1], *(h.last for h in found.values()))
    roles = frozenset().union(*(h.roles for h in found.values()))
    doubted = any(roles & _doubts_of(kb.measurements[m]) for m in found)
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


# -- phrases that speak for themselves -------------------------------------------------------


def _sayings(page: Page, naming: Naming, asked: str | None) -> None:
    kb, lexicon = page.lexicon.knowledge, page.lexicon
    read = any(kb.measurements[t.measurement].numeric for t in page.taken)
    read = read or bool(naming.asked)
    done = {t.measurement for t in page.taken} | {m for d in page.asked for m in d.measurements}
    said: dict[str, list[Hit]] = {}
    for sentence in page.sentences:
        words = _view(page, sentence.first, sentence.last, lexicon.unsaid)
        for run in words.runs(lexicon.sayings):
            keys = lexicon.saying(t.key for t in page.tokens[run[0] : run[1]] if t.kind == "word")
            measurement, values = lexicon.sayings[keys]
            roles = sentence.roles(run[0])
            m = kb.measurements[measurement]
            hidden = read and _sound(m) in values  # it tells that the fault was away
            skipped = measurement in done or measurement == asked or roles & ELSEWHERE or hidden
            if skipped or negated(page, run[0]) or _works(m, roles):
                continue
            said.setdefault(measurement, []).append(Hit(run[0], run[1], values, False, roles))
    for measurement, hits in said.items():
        sure = asked is None or not _denies(page, hits)
        if asked is not None and not naming.asked and asked not in done:  # "nada" may be the answer
            sure = sure and any(hit.last - hit.first > 1 for hit in hits)
        _say(page, kb.measurements[measurement], hits, sure)


def _denies(page: Page, hits: Sequence[Hit]) -> bool:
    """ "No click" beside another answer may only say what was not noticed."""
    return any(page.tokens[hit.first].key in page.lexicon.single("not") for hit in hits)


def _works(m: Measurement, roles: frozenset[str]) -> bool:
    """ "Starts every time" says how often it works."""
    return HISTORY_KIND in m.kinds and bool(roles & {"works", "helped"})


def _say(page: Page, m: Measurement, hits: Sequence[Hit], sure: bool) -> None:
    certain = [h for h in hits if len(h.values) == 1]
    values = list(dict.fromkeys(v for h in (certain or hits) for v in h.values))
    first, last = hits[0].first, hits[-1].last if len(values) > 1 else hits[0].last
    if sure and len(values) == 1 and values != [_sound(m)] and not any(h.roles & DOUBTED for h in hits):
        take_value(page, m, values[0], first, last)
    else:
        ask_values(page, m, values, first, last, "")


# -- shared ------------------------------------------------------------------------------------


def _hits(
    page: Page, m: Measurement, first: int, last: int, sentence: Sentence, own: bool = False
) -> list[Hit]:
    """Where values of an observation are said in a stretch, longest first, none over another."""
    lexicon = page.lexicon
    said: dict[Keys, tuple[str, ...]] = {}
    if own:
        said |= {keys: values for keys, (about, values) in lexicon.sayings.items() if about == m.id}
    said |= {keys: (value,) for keys, value in lexicon.values[m.id]}
    worn: dict[Keys, tuple[str, ...]] = {}
    if own:
        worn |= {keys: (value,) for keys, value in lexicon.worn.get(m.id, ())}
    runs = [(run, said) for run in _view(page, first, last, lexicon.unsaid).runs(said)]
    runs += [(run, worn) for run in _view(page, first, last, frozenset()).runs(worn)]
    found: list[Hit] = []
    end = first
    for (low, high), said in sorted(runs, key=lambda run: run[0]):
        if low < end or _done_to_it(page, low) or _word_of_phrase(page, low, high):
            continue
        whole = (t.key for t in page.tokens[low:high] if t.kind == "word")
        keys = tuple(whole) if said is worn else lexicon.saying(whole)
        # "no codes, no messages": its own "no" is part of the value
        denied = page.tokens[low].key not in lexicon.single("not") and negated(page, low)
        uncertain = _nearly(page, low, high) or _one_of_many(page, high)
        values = m.choices if uncertain else said[keys]
        found.append(Hit(low, high, values, denied, sentence.roles(low)))
        end = high
    return found


def _word_of_phrase(page: Page, first: int, last: int) -> bool:
    """One word of "cranked well", which says how the machine was meanwhile, is no answer of its own."""
    return any(
        low <= first and last <= high and last - first < high - low for low, high in page.phrases
    )


def _nearly(page: Page, first: int, last: int) -> bool:
    """ "Almost dark" is not dark; how much it is must be asked."""
    return any(t.key in page.lexicon.single("nearly") for t in page.tokens[max(first - 1, 0) : last])


def _one_of_many(page: Page, end: int) -> bool:
    """ "Every 3rd time" is not every time."""
    behind = page.tokens[end] if end < len(page.tokens) else None
    return behind is not None and behind.kind == "aside" and bool(re.fullmatch(r"\d+[a-z]+", behind.text))


def _done_to_it(page: Page, at: int) -> bool:
    """ "I cleaned it": work done, not what was found."""
    lexicon = page.lexicon
    able = page.tokens[at].key in lexicon.single("able")  # "I can twist it" was found
    return at > 0 and page.tokens[at - 1].key in lexicon.single("doer") and not able


def _view(page: Page, first: int, last: int, skipped: frozenset[str]) -> View:
    """The words of a stretch; figures and words that are used up stand as gaps."""
    keys: list[str] = []
    at: list[int] = []
    for i in range(first, last):
        token = page.tokens[i]
        if token.kind == "soft" or (token.kind == "word" and not page.used[i] and token.key in skipped):
            continue
        keys.append(token.key if token.kind == "word" and not page.used[i] else "\0")
        at.append(i)
    return View(tuple(keys), tuple(at))
