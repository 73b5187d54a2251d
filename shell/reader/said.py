"""What a text says beside its readings: whether the fault was there, and what cannot be taken."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import replace

from crankpath.shell.reader.linking import Stretch, stretches_in
from crankpath.shell.reader.naming import Naming
from crankpath.shell.reader.page import Page
from crankpath.shell.reader.pieces.phrases import view
from crankpath.shell.reader.proposals import Doubt, Interpretation, Proposal

_REACH = 3  # words before a phrase in which a "not" turns it


def take_symptoms(page: Page) -> list[tuple[int, bool]]:
    """Where the text says that the symptom was there (True) or away (False); these words name nothing."""
    lexicon = page.lexicon
    words = view(page.tokens, 0, len(page.tokens), lexicon.unsaid)
    found = []
    for role, there in (("present", True), ("away", False)):
        phrases = {
            p for said in lexicon.roles.get(role, ()) if len(p := lexicon.saying(said)) > 1 or p == said
        }
        for first, last in words.runs(phrases):
            if not there and (negated(page, first) or (last - first == 1 and not _alone(page, first))):
                continue
            page.silence(first, last)
            page.phrases.append((first, last))
            found.append((first, there))
            page.away = page.away or not there
    return sorted(found)


def _alone(page: Page, at: int) -> bool:
    """A word that says it only by itself: "0.3 V, away"."""
    ends = ("soft", "hard", "figure")
    before = at == 0 or page.tokens[at - 1].kind in ends
    return before and (at + 1 == len(page.tokens) or page.tokens[at + 1].kind in ends)


def negated(page: Page, first: int) -> bool:
    """A "not" stands shortly before, in the same clause."""
    nots = page.lexicon.single("not")
    parts = page.lexicon.single("joining") - page.lexicon.single("with")  # "not loose but dirty"
    seen = 0
    for token in reversed(page.tokens[max(first - 6, 0) : first]):
        if token.kind in ("hard", "soft", "figure") or token.key in parts:
            return False
        if token.key in nots:
            return True
        seen += token.key not in page.lexicon.unsaid
        if seen >= _REACH:
            return False
    return False


def with_symptoms(page: Page, told: Sequence[tuple[int, bool]]) -> None:
    """The sentence decides; else a statement that stands alone in its own sentence speaks for all."""
    near: dict[int, set[bool]] = {}
    for at, there in told:
        near.setdefault(page.sentence_of(at), set()).add(there)
    numeric = page.lexicon.knowledge.measurements
    places = [page.tokens[sentence.first].start for sentence in page.sentences]
    items: list[Proposal | Doubt] = [*page.taken, *page.asked]
    homes = {id(item): max(bisect_right(places, item.at) - 1, 0) for item in items}
    read = {homes[id(t)] for t in page.taken if numeric[t.measurement].numeric}
    alone = set().union(*(said for sentence, said in near.items() if sentence not in read))

    def symptom(item: Proposal | Doubt) -> bool | None:
        said = near.get(homes[id(item)], alone)
        return next(iter(said)) if len(said) == 1 else None

    page.taken = [replace(t, symptom=symptom(t)) for t in page.taken]
    page.asked = [replace(d, symptom=symptom(d)) for d in page.asked]


def take_cannots(page: Page, naming: Naming) -> None:
    """Take what the text says cannot be measured."""
    lexicon = page.lexicon
    words = view(page.tokens, 0, len(page.tokens))
    figures = any(token.kind == "figure" for token in page.tokens)
    for first, last in words.runs(lexicon.roles.get("cannot", frozenset())):
        name = next(_names_from(page, last), None)
        if name is not None:
            _cannot(page, naming, name, min(first, name.first), max(last, name.last))
        elif naming.wanted and not figures:
            page.cannot.append((page.tokens[first].start, naming.wanted, page.text(first, last)))
            page.use(first, last)
    for first, last in words.runs(lexicon.roles.get("cannot_after", frozenset())):
        behind = [s for s in _names(page, max(first - 6, 0), first) if s.last == first]
        if behind and not page.used[first] and not page.used[behind[0].first]:
            _cannot(page, naming, behind[0], behind[0].first, last)
        elif naming.wanted and not figures and not page.used[first] and _begins_clause(page, first):
            page.cannot.append((page.tokens[first].start, naming.wanted, page.text(first, last)))
            page.use(first, last)


def _begins_clause(page: Page, at: int) -> bool:
    return at == 0 or page.tokens[at - 1].kind in ("soft", "hard")


def _names_from(page: Page, first: int) -> Iterator[Stretch]:
    """Names that stand in the same clause behind a place."""
    end = first
    while end < len(page.tokens) and end < first + 8 and page.tokens[end].kind == "word":
        end += 1
    return iter(_names(page, first, end))


def _names(page: Page, first: int, last: int) -> list[Stretch]:
    """Names in a stretch: those called exactly so, of an observation too; else words of names."""
    lexicon = page.lexicon
    words = view(page.tokens, first, last, lexicon.single("filler") | lexicon.single("prepositions"))
    exact = [
        Stretch(low, high, lexicon.naming(t.key for t in page.tokens[low:high] if t.kind == "word"))
        for low, high in words.runs(lexicon.names)
    ]
    return exact or list(stretches_in(page.tokens, first, last, lexicon))


def _cannot(page: Page, naming: Naming, name: Stretch, first: int, last: int) -> None:
    said = sorted(naming.words(name.keys, ()).items(), key=lambda w: -w[1][0])
    likely = [m for m, (score, *_) in said if said and score >= max(said[0][1][0] - 0.3, 0.5)][:4]
    exact = page.lexicon.called(name.keys)
    numeric = [m for m in exact if page.lexicon.knowledge.measurements[m].numeric]
    ids = numeric or list(exact) or likely
    text = page.text(first, last)
    if len(ids) == 1:
        page.cannot.append((page.tokens[first].start, ids[0], text))
    elif ids:
        options = tuple(Interpretation(m, "", None) for m in ids)
        page.asked.append(Doubt("Which reading cannot be taken?", options, text, page.tokens[first].start))
    page.use(first, last)
    page.silence(first, last)
