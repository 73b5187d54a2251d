"""Every reading, value and state of the shipped bases has words in every language that they are read in."""

from __future__ import annotations

import pytest
from shipped_base import shipped_knowledge

from crankpath.engine.knowledge.folders import shipped_bases
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge

UNSAID = {"parked", "interview", "in_use"}
"""States that nobody tells."""
BASES = [shipped_knowledge(), *(load_knowledge(base, shipped=False) for base in shipped_bases())]
CASES = [(kb, language) for kb in BASES for language in sorted({w.language for w in kb.words.values()})]


def tables(kb: Knowledge, language: str, kind: str) -> set[str]:
    """What one table of a language has words for."""
    return {key for words in kb.words.values() if words.language == language for key in getattr(words, kind)}


@pytest.mark.parametrize(("kb", "language"), CASES, ids=[f"{kb.about.id}-{lang}" for kb, lang in CASES])
def test_nothing_that_can_be_asked_for_is_without_words(kb: Knowledge, language: str) -> None:
    names, values, states = (tables(kb, language, kind) for kind in ("names", "values", "states"))
    sayings = [key.split(".") for key in tables(kb, language, "sayings")]
    said = values | {f"{m}.{value}" for m, *several in sayings for value in several}
    observed = [(m, v) for m in kb.measurements.values() if not m.numeric for v in m.choices]
    assert not [m.id for m in kb.measurements.values() if m.id not in names]
    assert not [f"{m.id}.{v}" for m, v in observed if not {v, f"{m.id}.{v}"} & said]
    assert not {m.state for m in kb.measurements.values()} - UNSAID - states
