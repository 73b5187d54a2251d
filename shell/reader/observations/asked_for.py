"""The observation that was asked for: taken, asked back, or nothing said of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Measurement
from crankpath.shell.reader.clauses import ELSEWHERE, Sentence
from crankpath.shell.reader.observations.choosing import ask_values, take_value
from crankpath.shell.reader.observations.hits import (
    Hit,
    Named,
    doubts_of,
    hits_in,
    is_value,
    names_in,
    sound_value,
    switched,
    tells_work,
)
from crankpath.shell.reader.page import Page
from crankpath.shell.reader.pieces.lexicon import Keys

_TALK: Final = 5  # words of no meaning beside a single word, from which on it is asked about
_LOOSE: Final = 3  # other words within those of a value, at most


def read_asked_for(page: Page, m: Measurement) -> None:
    """Take or ask what the text says of the observation that was asked for."""
    hits = _hits_of_asked(page, m)
    if HISTORY_KIND in m.kinds and any(hit.roles & {"condition"} for hit in hits):
        ask_values(page, m, m.choices, hits[0].first, hits[-1].last, "")  # "always when it rains"
        return
    if not hits:
        if not _said_to_work(page, m) and not _said_loosely(page, m):
            _speaks_of_it(page, m)
        return
    first, last = min(h.first for h in hits), max(h.last for h in hits)
    positive = [h for h in hits if not h.negated]
    values = list(dict.fromkeys(v for h in positive for v in h.values))
    certain = [h for h in positive if len(h.values) == 1]
    if certain and all(certain[0].values[0] in h.values for h in positive):
        values = [certain[0].values[0]]  # "one click ... clicks": the fuller phrase tells
    if not positive:
        rest = [b for b in m.choices if not any(b in h.values for h in hits)]
        nothing = page.lexicon.single("nothing") | page.lexicon.single("not")  # "no nothing" denies nothing
        plain = all(t.key not in nothing for h in hits for t in page.tokens[h.first : h.last])
        clear = plain and len(rest) == 1 and len(m.choices) == 2
        clear = clear and not _in_doubt(page, m, rest[0], hits) and not _lost(page, hits)
        if clear:
            take_value(page, m, rest[0], first, last)
        else:
            ask_values(page, m, rest, first, last, "Says what it is not; what is it?")
    elif len(values) == 1 and (_figure_beside(page, positive) or _half_said(page, m, values[0], positive)):
        ask_values(page, m, list(dict.fromkeys((*values, *m.choices))), first, last)
    elif len(values) == 1 and not _in_doubt(page, m, values[0], positive) and not _lost(page, positive):
        take_value(page, m, values[0], first, last)
        _use_name(page, m, first)
    else:
        order = values[::-1] if len(certain) == len(positive) else values
        ask_values(page, m, order, first, last, f"{m.label}: which is it?" if len(values) > 1 else "")


def _said_to_work(page: Page, m: Measurement) -> bool:
    """ "Fires right up" is asked about where it was asked what the machine does."""
    told = [(sentence, clause.roles) for sentence in page.sentences for clause in sentence.clauses]
    works = [sentence for sentence, roles in told if "works" in roles or page.away]
    value = sound_value(m)
    if value is None or not works or any(roles & (ELSEWHERE | {"helped"}) for _, roles in told):
        return False
    ask_values(page, m, [value], works[0].first, works[0].last)
    return True


def _not_said(m: Measurement) -> frozenset[str]:
    """What stands in a clause of such a role is not what was asked for."""
    return ELSEWHERE | {"works"} | (doubts_of(m) & {"helped"})


def _said_loosely(page: Page, m: Measurement) -> bool:
    """ "Goes right away up" may be "goes up": the words of a value with others between are asked."""
    lexicon, unsaid = page.lexicon, _not_said(m)
    said: list[tuple[Keys, tuple[str, ...]]] = [
        (form, (value,)) for form, value in (*lexicon.values[m.id], *lexicon.worn.get(m.id, ()))
    ]
    said += [(form, values) for form, (about, values) in lexicon.sayings.items() if about == m.id]
    begins: dict[str, list[tuple[Keys, tuple[str, ...]]]] = {}
    for form, values in said:
        if len(form) > 1:
            begins.setdefault(form[0], []).append((form, values))
    for clause in (clause for sentence in page.sentences for clause in sentence.clauses):
        for at in range(clause.first, clause.last if not clause.roles & unsaid else clause.first):
            for form, values in begins.get(page.tokens[at].key, ()):
                near = page.tokens[at : min(at + len(form) + _LOOSE, clause.last)]
                left = iter(token.key for token in near)
                if all(word in left for word in form):
                    ask_values(page, m, values, at, at + len(near))
                    return True
    return False


def _speaks_of_it(page: Page, m: Measurement) -> None:
    """What was asked for is named, or words of its values are said, but none of them whole: ask which."""
    lexicon = page.lexicon
    quiet = lexicon.unsaid | lexicon.single("prepositions") | lexicon.single("not") | lexicon.everyday
    words = {key for form, _ in lexicon.values[m.id] for key in form} - quiet
    for sentence in page.sentences:
        tokens = page.tokens[sentence.first : sentence.last]
        named = [m.id in ids for _, ids in names_in(page, sentence)]
        spoken = all(named) and (named or any(t.kind == "word" and t.key in words for t in tokens))
        unsaid = _not_said(m) | {"question"}
        elsewhere = any(clause.roles & unsaid for clause in sentence.clauses)
        figures = any(t.kind in ("figure", "aside") for t in tokens)
        elsewhere = elsewhere or switched(page, sentence.first, sentence.last) or _not_there(page, sentence)
        if spoken and not elsewhere and not figures and not page.cannot:
            ask_values(page, m, m.choices, sentence.first, sentence.last, "")
            return


def _not_there(page: Page, sentence: Sentence) -> bool:
    """ "No lights on this thing", "what lights"."""
    names = (run for run, _ in names_in(page, sentence))
    asking = {phrase[0] for phrase in page.lexicon.roles.get("questions", ())}
    none = any(page.key(first - 1) in page.lexicon.single("no") for first, _ in names)
    asks = any("asks back" in clause.roles for s in page.sentences for clause in s.clauses)
    return none or asks or page.key(sentence.first) in asking


def _use_name(page: Page, m: Measurement, at: int) -> None:
    """The name of what was asked for is told with its value."""
    for run, ids in names_in(page, page.sentences[page.sentence_of(at)]):
        if m.id in ids:
            page.use(*run)


def _in_doubt(page: Page, m: Measurement, value: str, hits: Sequence[Hit]) -> bool:
    """Said with a doubt, or of a machine that is said to crank as well."""
    works = SYMPTOM_KIND in m.kinds and value != sound_value(m) and (page.away or _says_works(page))
    doubted = any(h.roles & (doubts_of(m) | {"should"}) for h in hits)
    return bool(works) or doubted or _more_said(page, m, hits)


def _more_said(page: Page, m: Measurement, hits: Sequence[Hit]) -> bool:
    """ "Hot on the lug, others cold": another clause names it as well and says nothing that is understood."""
    homes = {page.sentence_of(hit.first) for hit in hits if hit.last - hit.first == 1}
    for sentence in (page.sentences[home] for home in homes):
        told = {sentence.clause(hit.first) for hit in hits}
        named = {sentence.clause(run[0]) for run, ids in names_in(page, sentence) if m.id in ids}
        known = page.lexicon.bags[m.id] | page.lexicon.unsaid | page.lexicon.single("prepositions")
        others = (page.tokens[clause.first : clause.last] for clause in named - told if clause)
        if any(t.kind == "word" and t.key not in known for tokens in others for t in tokens):
            return True
    return False


def _figure_beside(page: Page, hits: Sequence[Hit]) -> bool:
    """A figure of no known reading stands in the sentence: "five good ones, one at 1120"."""
    homes = [page.sentences[page.sentence_of(hit.first)] for hit in hits if hit.last - hit.first == 1]
    return any(
        page.tokens[i].kind == "figure" and not page.used[i]
        for home in homes
        for i in range(home.first, home.last)
    )


def _half_said(page: Page, m: Measurement, value: str, hits: Sequence[Hit]) -> bool:
    """ "Cranks fine when cold", "park no, neutral yes": that it is well, or yes and no, and more beside."""
    lexicon = page.lexicon
    words = {t.key for h in hits for t in page.tokens[h.first : h.last]} - lexicon.unsaid
    least = 1 if value == sound_value(m) else 0 if words <= lexicon.single("no") else None
    said = {i for h in hits for i in range(h.first, h.last)} | {i for p in page.phrases for i in range(*p)}
    quiet = lexicon.unsaid.union(*(lexicon.single(role) for role in ("prepositions", "now", "quantity")))
    beside = [
        i
        for i, t in enumerate(page.tokens)
        if t.kind == "word" and t.key not in quiet and i not in said
    ]
    return least is not None and len(beside) > least


def _says_works(page: Page) -> bool:
    return any("works" in clause.roles for sentence in page.sentences for clause in sentence.clauses)


def _hits_of_asked(page: Page, m: Measurement) -> list[Hit]:
    """Where a value of what was asked for is said of this machine, now."""
    found = []
    for sentence in page.sentences:
        names = names_in(page, sentence)
        for hit in hits_in(page, m, sentence.first, sentence.last, sentence, own=True):
            works = m.bands[0] in hit.values and tells_work(m, hit.roles)
            said = (t.key for t in page.tokens[hit.first : hit.last] if t.kind == "word")
            alone = len(page.lexicon.saying(said)) <= 1
            elsewhere = hit.roles & (ELSEWHERE - ({"past"} if HISTORY_KIND in m.kinds else {"should"}))
            if not (elsewhere or works or (alone and _of_another(page, names, sentence, m, hit))):
                found.append(hit)
    now = [hit for hit in found if not hit.roles & ELSEWHERE]
    return now or found


def _of_another(page: Page, names: Sequence[Named], sentence: Sentence, m: Measurement, hit: Hit) -> bool:
    """The word is said of another observation, named before it or else behind it in its clause."""
    clause = sentence.clause(hit.first)
    own = [(run, ids) for run, ids in names if clause and clause.first <= run[0] < clause.last]
    own = [(run, ids) for run, ids in own if not run[0] <= hit.first < run[1]]
    if SYMPTOM_KIND in m.kinds:
        return any(m.id not in ids for _, ids in own)
    words = page.lexicon.bags[m.id]  # "lamp" is one of the names of the one asked for, too
    own = [n for n in own if m.id in n[1] or any(page.tokens[at].key not in words for at in range(*n[0]))]
    near = [ids for run, ids in own if run[1] <= hit.first][-1:] or [ids for _, ids in own][:1]
    said = page.lexicon.saying(t.key for t in page.tokens[hit.first : hit.last] if t.kind == "word")
    return any(m.id not in ids and any(is_value(page, n, said) for n in ids) for ids in near)


def _lost(page: Page, hits: Sequence[Hit]) -> bool:
    """One short word among many that have nothing to do with it."""
    if len(hits) > 1 or hits[0].last - hits[0].first > 1:
        return False
    sentence = page.sentences[page.sentence_of(hits[0].first)]
    clause = sentence.clause(hits[0].first)
    words = page.tokens[clause.first : clause.last] if clause else ()
    known = page.lexicon.trade | page.lexicon.vocabulary
    return sum(t.kind == "word" and t.key not in known for t in words) >= _TALK
