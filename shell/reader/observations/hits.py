"""Where a text says a value of an observation, or names one."""

from __future__ import annotations

import re
from dataclasses import dataclass

from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Measurement
from crankpath.shell.reader.clauses import DOUBTED, Sentence
from crankpath.shell.reader.page import Page
from crankpath.shell.reader.pieces.lexicon import Keys
from crankpath.shell.reader.pieces.phrases import Run, View
from crankpath.shell.reader.said import negated


@dataclass(frozen=True, slots=True)
class Hit:
    """Words that say a value, or one of several, of an observation."""

    first: int
    last: int
    values: tuple[str, ...]
    negated: bool
    roles: frozenset[str]


Named = tuple[Run, tuple[str, ...]]
"""Where observations are named, and which."""


def is_value(page: Page, measurement: str, keys: Keys) -> bool:
    """True where these words say a value of an observation."""
    return any(form == keys for form, _ in page.lexicon.values[measurement])


def names_in(page: Page, sentence: Sentence) -> list[Named]:
    """Names of observations in a sentence, the longest at each place."""
    lexicon, kb = page.lexicon, page.lexicon.knowledge
    words = words_of(page, sentence.first, sentence.last, lexicon.unsaid | lexicon.single("prepositions"))
    found = []
    for run in words.runs(lexicon.observed):
        keys = lexicon.naming(t.key for t in page.tokens[run[0] : run[1]] if t.kind == "word")
        ids = tuple(m for m in lexicon.called(keys) if not kb.measurements[m].numeric)
        if ids:
            found.append((run, ids))
    return found


def hits_in(
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
    runs = [(run, said) for run in words_of(page, first, last, lexicon.unsaid).runs(said)]
    runs += [(run, worn) for run in words_of(page, first, last, frozenset()).runs(worn)]
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


def switched(page: Page, first: int, last: int) -> bool:
    """ "Left the lights off": a stretch that tells what somebody did with a switch."""
    lexicon = page.lexicon
    acts = lexicon.single("acts")
    quiet = (lexicon.unsaid | lexicon.single("doer") | lexicon.single("not")) - acts
    said = [t.key for t in page.tokens[first:last] if t.key not in quiet]
    return bool(said) and said[0] in acts and not lexicon.single("switched").isdisjoint(said[1:])


def _done_to_it(page: Page, at: int) -> bool:
    """ "I cleaned it": work done, not what was found."""
    lexicon = page.lexicon
    clause = page.sentences[page.sentence_of(at)].clause(at)
    if clause and switched(page, clause.first, at + 1):
        return True
    able = page.tokens[at].key in lexicon.single("able")  # "I can twist it" was found
    return at > 0 and page.tokens[at - 1].key in lexicon.single("doer") and not able


def words_of(page: Page, first: int, last: int, skipped: frozenset[str]) -> View:
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


def doubts_of(m: Measurement) -> frozenset[str]:
    """What was found out with another source or a bridge is no complaint, and no doubt."""
    return DOUBTED if {SYMPTOM_KIND, HISTORY_KIND} & set(m.kinds) else DOUBTED - {"helped"}


def sound_value(m: Measurement) -> str | None:
    """The value of the complaint that says there is none."""
    return m.bands[0] if SYMPTOM_KIND in m.kinds else None


def tells_work(m: Measurement, roles: frozenset[str]) -> bool:
    """ "Starts every time" says how often it works."""
    return HISTORY_KIND in m.kinds and bool(roles & {"works", "helped"})
