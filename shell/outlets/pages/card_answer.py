"""What a card lets a technician tap, and the words that each tap puts into the reply."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import SYMPTOM_KIND, Measurement
from crankpath.shell.outlets.messages.preparations import (
    FAILING,
    answer_example,
    asks_whether_it_failed,
    sent_words,
)

UNITS: Final = {"V": ("V", "mV"), "mA": ("mA", "A"), "ohm": ("ohm", "mohm")}
"""Units that a meter may show for a measurement's unit; any other unit stands alone."""
OFF_SCALE: Final = "OL"
"""What a resistance is sent as when the circuit is open, as a reply understands it."""


@dataclass(frozen=True, slots=True)
class Tap:
    """One button. shown, about: its words and a smaller explanation; says: its words in the reply."""

    shown: str
    says: str
    about: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """The buttons and fields of a card; an empty part is not shown.

    Attributes:
        called: name of a reading that is a figure, as the reply says it. units: to choose from.
        choices: values of an observation, off the scale, or that the repair is done.
        how: whether the fault was there. must_say_how: the reply is not whole without it.
        cannot: the button for a reading that cannot be taken.
        outcomes: what came of the repair. tries: tries at the key to be counted; 0 for none.
    """

    called: str = ""
    units: tuple[str, ...] = ()
    choices: tuple[Tap, ...] = ()
    how: tuple[Tap, ...] = ()
    must_say_how: bool = False
    cannot: tuple[Tap, ...] = ()
    outcomes: tuple[Tap, ...] = ()
    tries: int = 0


DONE: Final = Answer(choices=(Tap("The repair is done", "done"),))
CURED: Final = (Tap("Cured", "cured"), Tap("Not cured", "not cured"))


def answer_of(case: Case, m: Measurement) -> Answer:
    """The answer to a reading."""
    called, _ = answer_example(case, m)
    must = asks_whether_it_failed(case, m)
    failed = (Tap("It failed on this try", FAILING),) if must else ()
    good = case.kb.about.went_well
    well = (Tap(f"It {good} this time", good),) if must or _can_be_away(case, m) else ()
    unit = m.unit or ""
    open_circuit = (Tap("Open: the meter shows OL", f"{called} {OFF_SCALE}"),) if unit == "ohm" else ()
    choices = tuple(
        Tap(sent_words(band), f"{called} {sent_words(band)}", m.band_labels.get(band, ""))
        for band in (() if m.numeric else m.choices)
    )
    return Answer(
        called=called if m.numeric else "",
        units=UNITS.get(unit, (unit,)) if m.numeric else (),
        choices=(*open_circuit, *choices),
        how=(*failed, *well),
        must_say_how=must,
        cannot=(Tap("It cannot be taken here", f"{called} n/a"),),
    )


def _can_be_away(case: Case, m: Measurement) -> bool:
    """True if the reading is worth less when the fault was away while it was taken."""
    itself = SYMPTOM_KIND in m.kinds or any(s.finer_as == m.id for s in case.assessment.model.symptoms)
    return case.assessment.shows(m) and not itself
