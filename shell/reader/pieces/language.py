"""Which language a text is in."""

from __future__ import annotations

from typing import Final

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.typed.units import unit_called
from crankpath.shell.reader.pieces.lexicon import Lexicon, lexicons
from crankpath.shell.reader.pieces.stemming import WORD
from crankpath.shell.reader.pieces.tokens import LONGEST

_SAMPLED: Final = 400  # words that tell the language of a text


def language_of(text: str, knowledge: Knowledge) -> Lexicon:
    """The lexicon that knows most words of the text, units aside; the first of them where several do."""
    words = [w for w in WORD.findall(text[:LONGEST])[:_SAMPLED] if unit_called(w) is None]

    def known(lexicon: Lexicon) -> int:
        return sum(lexicon.stemmer.stem(word) in lexicon.spoken for word in words)

    return max(lexicons(knowledge), key=known)
