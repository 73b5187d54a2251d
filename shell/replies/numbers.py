"""The numbers of a reply, each with the name it goes with."""

from __future__ import annotations

from crankpath.engine.errors import DoubtfulReading, ReadingError
from crankpath.engine.likeness import POSSIBLE, nearest
from crankpath.engine.typed.phrase import parse
from crankpath.engine.typed.reading import understand
from crankpath.engine.typed.units import Unit
from crankpath.shell.replies import words
from crankpath.shell.replies.names import Called
from crankpath.shell.replies.page import Asked, Fragment, Name, Page, ParsedReading
from crankpath.shell.replies.pairs import Item, listed, pair


def take_numbers(page: Page, names: list[Name]) -> list[Name]:
    """Take every number that has a name; the names left over."""
    items = _items(page, names)
    rows = listed(items)
    in_rows = {v for v, _ in rows}, {n for _, n in rows}
    rest = [i for i in items if i.index not in in_rows[i.kind == "name"]]
    links = [*rows, *pair(rest)]
    loose = [n for at, n in enumerate(names) if at not in {name for _, name in links}]
    groups: dict[int, list[int]] = {}
    for value, name in sorted(links):
        groups.setdefault(name, []).append(value)
    for name_at, values in groups.items():
        _number(page, names[name_at], values, loose)
    for at, piece in enumerate(page.pieces):
        if piece.kind == "value" and not page.used[at]:
            _nameless(page, at, bool(names))
    return [n for n in loose if not any(page.used[n.first : n.last])]


def _items(page: Page, names: list[Name]) -> list[Item]:
    starts = {n.first: (at, n) for at, n in enumerate(names)}
    items: list[Item] = []
    plain = soft = hard = 0
    joined = False
    at = 0
    while at < len(page.pieces):
        piece = page.pieces[at]
        if at in starts or (piece.kind in ("value", "zero") and not page.used[at]):
            index, name = starts.get(at, (at, None))
            kind = "name" if name else "value"
            items.append(Item(kind, index, plain, soft, hard, joined, piece.kind == "zero"))
            plain = soft = hard = 0
            joined = False
            at = name.last if name else at + 1
            continue
        soft += piece.kind == "soft"
        hard += piece.kind == "hard"
        plain += piece.kind == "talk" or (piece.kind == "word" and piece.canon not in words.JOIN)
        joined = (joined or piece.canon in words.PREPOSITIONS) and piece.kind == "word"
        at += 1
    return items


def _number(page: Page, name: Name, values: list[int], loose: list[Name]) -> None:
    """Take the values of one name; those of different units are different readings."""
    by_kind: dict[str, list[int]] = {}
    for value in values:
        unit = _unit(page.pieces[value].text)
        by_kind.setdefault(unit.dimension if unit else "", []).append(value)
    typed = next((u for u in map(_unit, (page.pieces[v].text for v in values)) if u), None)
    if "" in by_kind and len(by_kind) == 2 and page.lexicon.numeric(name.called, typed):
        by_kind = {"": values}
    for group in by_kind.values():
        _take(page, name, group, loose)


def _take(page: Page, name: Name, values: list[int], loose: list[Name]) -> None:
    text = " ".join(page.pieces[v].text for v in values)
    unit = _unit(text)
    ids = _meant(page, name, unit, _beside(page, name, values, loose)) or _by_unit(page, name, unit)
    if unit and len(ids) > 1:
        ids = tuple(m for m in ids if _possible(page, m, text)) or ids
    first, shown = min(name.first, values[0]), _shown(page, name, values)
    for at in (*range(name.first, name.last), *values):
        page.used[at] = True
    lost = _lost_word(page, name, values[0])
    if len(ids) == 1 and lost:
        page.doubts.append(Asked(first, shown, f"What is meant by '{lost}'?", name.called.all))
    elif len(ids) == 1 and _other_side(page, name):
        page.doubts.append(Asked(first, shown, f"On which side of what is named was {text} read?", ids))
    elif len(ids) == 1:
        _understand(page, first, shown, ids[0], text)
    else:
        message = "Which reading is it?" if ids else f"No reading named so can be {text}."
        page.doubts.append(Asked(first, shown, message, ids or name.called.all))


def _other_side(page: Page, name: Name) -> bool:
    """ "Into the key switch" is not its output: a word just before the name turns its meaning."""
    before = [p.canon for p in page.pieces[max(0, name.first - 2) : name.first]]
    return any(word in words.OTHER_SIDE for word in before)


def _lost_word(page: Page, name: Name, value: int) -> str | None:
    """A word between name and number that may be a misspelt part of the name."""
    for piece in page.pieces[name.last : value]:
        everyday = piece.canon in words.JOIN or piece.text.lower() in words.COMMON
        if piece.kind == "word" and not everyday and piece.canon not in page.lexicon.vocabulary:
            near = nearest(piece.canon, page.lexicon.vocabulary, POSSIBLE)
            if near and near[0][0] == piece.canon[:1] and len(piece.canon) > 3:
                return piece.text
    return None


def _by_unit(page: Page, name: Name, unit: Unit | None) -> tuple[str, ...]:
    """Readings with this unit taken in the same state as what was named ("85 rpm at 900 A")."""
    named = page.lexicon.numeric(name.called, None)
    states = {page.lexicon.measurements[m].state for m in named}
    every = tuple(page.lexicon.measurements)
    fitting = page.lexicon.numeric(Called((), every), unit) if unit and len(states) == 1 else ()
    return tuple(m for m in fitting if page.lexicon.measurements[m].state in states)


def _understand(page: Page, first: int, shown: str, measurement: str, text: str) -> None:
    m = page.lexicon.measurements[measurement]
    if m.id in page.lexicon.absent:
        message = f"This machine has no {m.label}, as it was told."
        page.doubts.append(Asked(first, shown, message, (m.id,)))
        return
    try:
        page.taken.append(ParsedReading(first, m.id, shown, understand(m, text, page.facts)))
    except DoubtfulReading as doubt:
        suggested = (doubt.suggestion,) if doubt.suggestion else ()
        page.doubts.append(Asked(first, shown, str(doubt), (m.id,), suggested))
    except ReadingError as slip:
        page.doubts.append(Asked(first, shown, str(slip), (m.id,)))


def _possible(page: Page, measurement: str, text: str) -> bool:
    try:
        understand(page.lexicon.measurements[measurement], text, page.facts)
    except ReadingError:
        return False
    return True


def _shown(page: Page, name: Name, values: list[int]) -> str:
    """The fragment as written, or name and values alone if others stand between them."""
    own = {*range(name.first, name.last), *values}
    first, last = min(own), max(own) + 1
    between = [p for at, p in enumerate(page.pieces[first:last], first) if at not in own]
    if all(p.kind == "word" and p.canon in words.JOIN for p in between):
        return page.text(first, last)
    said = page.text(name.first, name.last) if name.last > name.first else ""
    return " ".join([said, *(page.pieces[v].text for v in values)]).strip()


def _beside(page: Page, name: Name, values: list[int], loose: list[Name]) -> Name | None:
    """Another name in the same clause, right beside the name or the value, that narrows it."""
    edges = {name.first, name.last, values[0], values[-1] + 1}
    begin, end = page.clause(name.first)
    for other in loose:
        if not (begin <= other.first and other.last <= end):
            continue
        for low, high in ((other.last, min(edges)), (max(edges), other.first)):
            between = page.pieces[low:high] if low <= high else None
            if between is not None and all(p.canon in words.JOIN and p.kind == "word" for p in between):
                return other
    return None


def _meant(page: Page, name: Name, unit: Unit | None, beside: Name | None) -> tuple[str, ...]:
    """The readings that a name with a unit can be, narrowed by a name beside it."""
    if beside is None:
        return page.lexicon.numeric(name.called, unit)
    for said in ((*name.stems, *beside.stems), (*beside.stems, *name.stems)):
        both = page.lexicon.numeric(Called(page.lexicon.named(said).exact, ()), unit)
        if both:
            return both
    own, other = name.called, beside.called
    for one, two in ((own, other), (other, own)):
        sure = page.lexicon.numeric(one, unit)
        shared = tuple(m for m in sure if m in (*two.exact, *two.context))
        if shared:
            return shared
    wide = [page.lexicon.numeric(Called((), (*c.exact, *c.context)), unit) for c in (own, other)]
    shared = tuple(m for m in wide[0] if m in wide[1])
    either = (*page.lexicon.numeric(own, unit), *page.lexicon.numeric(other, unit))
    return shared or tuple(dict.fromkeys(either))


def _nameless(page: Page, at: int, named: bool) -> None:
    """A number without a name answers what was asked for, if it is the only thing said."""
    alone = sum(p.kind == "value" for p in page.pieces) == 1 and not named
    if page.expecting in page.lexicon.measurements and alone:
        m = page.lexicon.measurements[str(page.expecting)]
        _number(page, Name(at, at, Called((m.id,), ()), ()), [at], [])
        return
    first, last = page.clause(at)
    low, high = max(first, at - 3), min(last, at + 4)
    while low < at and page.used[low]:
        low += 1
    stop = next((i for i in range(at + 1, high) if page.used[i]), high)
    page.unknown.append(Fragment(at, page.text(low, stop)))
    page.use(low, stop)


def _unit(text: str) -> Unit | None:
    try:
        phrase = parse(text)
    except ReadingError:
        return None
    return phrase.unit or next((n.unit for n in phrase.numbers if n.unit), None)
