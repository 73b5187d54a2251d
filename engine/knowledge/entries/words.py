"""How people write and speak of readings: one entry a language, and one for a shop's own words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from crankpath.engine.knowledge.building.fields import record, says
from crankpath.engine.knowledge.building.lists import ListOf
from crankpath.engine.knowledge.building.phrases import PhrasesFor
from crankpath.engine.knowledge.building.shapes import FLAG, TEXT
from crankpath.engine.knowledge.entries.values import Origin

PHRASE_ROLES: Final = (
    "able", "acts", "actual", "among", "answer", "apiece", "article", "away", "between", "both", "bound",
    "bound_after", "broad", "cannot", "cannot_after", "change", "choice", "clock", "condition",
    "correction", "counted", "dead", "described", "difference", "doer", "earlier", "endless", "everyday",
    "filler", "first_lead", "from", "hedge", "helped", "highest", "idle", "if", "instead", "joining",
    "lowest", "machine", "meter_fault", "nearly", "negates", "no", "not", "nothing", "now", "numbered",
    "numbered_small", "of", "or", "other", "over", "past", "people", "place", "planned", "point",
    "prepositions", "present", "quantity", "questions", "rated", "reads", "second_lead", "should", "signed",
    "switched", "tallied", "tells", "than", "to", "told", "turn", "unloaded", "unsaid", "was", "with",
    "works",
)  # fmt: skip
"""What phrases of a language do to the sentence they stand in; ``kb/words/en.yaml`` has each of them."""

Phrases = Mapping[str, tuple[str, ...]]


@record
class Words:
    """What the reader of texts knows of one language, or of one shop's way of speaking."""

    id: str
    language: str = says("the language of the texts that it helps to read, as `en`", TEXT)
    endings: tuple[str, ...] = says("endings taken off before words are compared", ListOf(TEXT), absent=())
    decimal_comma: bool = says("`true` where 1,5 is one and a half", FLAG, absent=False)
    names: Phrases = says("more names of a measurement", PhrasesFor("measurements"), absent={})
    values: Phrases = says(
        "ways to say a value of an observation that is asked for or named: `loose`, `open`, or "
        "`wiggle_test.no_change` for one observation only",
        PhrasesFor("values"),
        absent={},
    )
    sayings: Phrases = says(
        "phrases that are an observation by themselves: `behaviour.slow`; with several values "
        "it is asked which: `behaviour.slow.silent`",
        PhrasesFor("sayings"),
        absent={},
    )
    states: Phrases = says("words for what the machine does meanwhile", PhrasesFor("states"), absent={})
    when: Phrases = says("phrases that tell when the complaint shows", PhrasesFor("equipment"), absent={})
    spellings: Phrases = says("other spellings of a word", PhrasesFor(), absent={})
    numbers: Phrases = says("words for a number", PhrasesFor("numbers"), absent={})
    ordinals: Phrases = says("words for a place in a list", PhrasesFor("numbers"), absent={})
    phrases: Phrases = says(
        "words that change the meaning of a sentence, by their effect",
        PhrasesFor("", PHRASE_ROLES),
        absent={},
    )
    origin: Origin

    def tables(self) -> tuple[tuple[str, ...], ...]:
        """The phrases of all tables."""
        every = (self.names, self.values, self.sayings, self.states, self.when, self.spellings, self.numbers)
        return tuple(said for table in (*every, self.ordinals, self.phrases) for said in table.values())
