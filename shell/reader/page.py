"""A text on the table while it is read: its tokens, which of them are used, and what was found so far."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from crankpath.engine.knowledge.condition import Facts
from crankpath.shell.reader.clauses import Sentence, sentences
from crankpath.shell.reader.pieces.figures import figured
from crankpath.shell.reader.pieces.lexicon import Lexicon
from crankpath.shell.reader.pieces.phrases import Run, view
from crankpath.shell.reader.pieces.tokens import LONGEST, MOST, Token, folded, rewritten, tokens
from crankpath.shell.reader.proposals import Doubt, Note, Proposal


class Page:
    """The state of reading one text; the modules that read it fill the lists.

    zeros, dead, endless: where words say that nothing was read, may say so, or say no way through.
    linkable: the tokens, with those that say something else than a name ("it cranked fine") kept
    from being part of one.
    """

    def __init__(self, text: str, lexicon: Lexicon, facts: Facts) -> None:
        self.source = folded(text)
        self.lexicon, self.facts = lexicon, facts
        written = tokens(text, lexicon)
        self.unread = max(len(text) - LONGEST, 0)  # characters
        if len(written) >= MOST:
            self.unread += len(self.source) - written[-1].end
        self.tokens: Sequence[Token] = figured(written, lexicon)
        self.sentences: Sequence[Sentence] = sentences(self.tokens, lexicon)
        self.linkable: list[Token] = list(self.tokens)
        self.used = [token.kind in ("hard", "soft") for token in self.tokens]
        self._starts = [sentence.first for sentence in self.sentences]
        words = view(self.tokens, 0, len(self.tokens))
        self.zeros: Sequence[Run] = words.runs(lexicon.roles.get("nothing", frozenset()))
        self.dead: Sequence[Run] = words.runs(lexicon.roles.get("dead", frozenset()))
        self.figures = any(token.kind == "figure" for token in self.tokens)
        self.endless: Sequence[Run] = words.runs(lexicon.roles.get("endless", frozenset()))
        self.away = False  # the text says that it cranked well meanwhile
        self.phrases: list[Run] = []  # what says so, or that the fault was there
        self.taken: list[Proposal] = []
        self.asked: list[Doubt] = []
        self.cannot: list[tuple[int, str, str]] = []
        self.notes: list[Note] = []

    def sentence_of(self, at: int) -> int:
        """Which sentence a token stands in."""
        return max(bisect_right(self._starts, at) - 1, 0)

    def key(self, at: int) -> str:
        """The key of a token; "" before the first and behind the last."""
        return self.tokens[at].key if 0 <= at < len(self.tokens) else ""

    def text(self, first: int, last: int) -> str:
        """The text from token `first` to the one before `last`, as written."""
        return self.source[self.tokens[first].start : self.tokens[last - 1].end]

    def use(self, first: int, last: int) -> None:
        """Mark tokens as used."""
        self.used[first:last] = [True] * (last - first)

    def silence(self, first: int, last: int) -> None:
        """Keep tokens from being part of a name."""
        for at in range(first, last):
            if self.tokens[at].kind == "word":
                self.linkable[at] = rewritten(self.tokens[at], "said")

    def talk(self) -> tuple[str, ...]:
        """What carries no reading, a sentence or what is left of one each."""
        parts: list[list[str]] = [[]]
        for token, used in zip(self.tokens, self.used, strict=True):
            if token.kind == "hard" or (used and token.kind != "soft"):
                parts.append([])
            elif token.kind != "soft":
                parts[-1].append(token.text)
        quiet = self.lexicon.single("filler") | self.lexicon.single("prepositions")
        return tuple(" ".join(p) for p in parts if any(self.lexicon.stemmer.stem(w) not in quiet for w in p))
