"""When a complaint shows: what a text says of heat, cold, wet, standing, shaking."""

from __future__ import annotations

from collections.abc import Iterable

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.reader.pieces.language import language_of
from crankpath.shell.reader.pieces.lexicon import Lexicon
from crankpath.shell.reader.pieces.stemming import WORD


def when_said(kb: Knowledge, text: str) -> frozenset[str]:
    """The equipment facts whose phrases a text holds as a whole: "clicks after I turn the key" holds none."""
    lexicon = language_of(text, kb)
    keys = _keys(text, lexicon)
    return frozenset(
        fact
        for phrase, fact in lexicon.when
        if any(keys[at : at + len(phrase)] == phrase for at in range(len(keys)))
    )


def when_named(kb: Knowledge, text: str, facts: Iterable[str]) -> frozenset[str]:
    """The facts that an answer names: a phrase, or one word that stands for one of them alone."""
    lexicon, known = language_of(text, kb), frozenset(facts)
    named = {
        word: {fact for phrase, fact in lexicon.when if word in phrase and fact in known}
        for word in _keys(text, lexicon)
    }
    single = {fact for found in named.values() if len(found) == 1 for fact in found}
    return frozenset(single | (when_said(kb, text) & known))


def _keys(text: str, lexicon: Lexicon) -> tuple[str, ...]:
    return tuple(lexicon.key(word) for word in WORD.findall(text))
