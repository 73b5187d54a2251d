"""What the reader makes of a text: readings taken, readings to ask about, what cannot be read, notes."""

from __future__ import annotations

from dataclasses import dataclass

from crankpath.engine.typed.reading import Understood


@dataclass(frozen=True, slots=True)
class Interpretation:
    """One way to understand some words: a reading, and its text as the case's entry takes it.

    value: in the measurement's unit, or the name of an observation's value; None if it must be read again.
    """

    measurement: str
    text: str
    value: float | str | None


@dataclass(frozen=True, slots=True)
class Proposal:
    """One reading understood.

    Attributes:
        measurement: its id.
        text: the reading as the case's entry takes it.
        understood: its value, with what was assumed.
        symptom: was the fault there while it was read; None: not told.
        words: what it rests on, as written.
        at: place of these words in the text.
    """

    measurement: str
    text: str
    understood: Understood
    symptom: bool | None
    words: str
    at: int = 0


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something to ask about: the sentence that asks, and what the words may mean, likeliest first."""

    message: str
    options: tuple[Interpretation, ...]
    words: str
    at: int = 0
    symptom: bool | None = None

    @property
    def measurements(self) -> tuple[str, ...]:
        """The readings it may be."""
        return tuple(dict.fromkeys(option.measurement for option in self.options))


@dataclass(frozen=True, slots=True)
class Note:
    """Words that carry a figure or a name and were not taken, and why."""

    words: str
    why: str = ""
    at: int = 0


@dataclass(frozen=True, slots=True)
class Understanding:
    """A text taken apart; every tuple in the order of the text.

    cannot: (measurement, words) that cannot be taken there. talk: what carries no reading.
    cut: characters at the end that were too many to be read.
    """

    taken: tuple[Proposal, ...] = ()
    asked: tuple[Doubt, ...] = ()
    cannot: tuple[tuple[str, str], ...] = ()
    notes: tuple[Note, ...] = ()
    talk: tuple[str, ...] = ()
    cut: int = 0
