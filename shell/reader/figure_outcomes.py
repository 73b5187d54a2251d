"""What comes of a figure that was read: a reading taken, something to ask, or a note."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from crankpath.engine.errors import ReadingError
from crankpath.engine.typed.reading import understand
from crankpath.shell.reader.clauses import DOUBTED
from crankpath.shell.reader.linking import Linked
from crankpath.shell.reader.naming import FINE, Candidate, Naming
from crankpath.shell.reader.page import Page
from crankpath.shell.reader.pieces.tokens import Figure
from crankpath.shell.reader.proposals import Doubt, Interpretation, Note, Proposal

MAYBE: Final = 1.0
"""From this mark on a reading is asked about."""
ZERO: Final = Figure("0")
"""What words for nothing say."""
DEAD: Final = Figure("0", bound=True)
"""What words may say that mean nothing where nothing can be read: to be asked."""
ENDLESS: Final = Figure("OL")
"""What words for no way through say."""
WITH_BEFORE: Final = "taken with the one before"
"""Why a figure is not told by itself."""
_NEAR: Final = 1.3  # options are at most this much behind the best
_LOOSE: Final = 0.35  # without a name: the least for asking
_MOST: Final = 5
_FEW: Final = 3  # readings that a figure with nothing but a unit may be, to be asked about


@dataclass
class ReadFigure:
    """A figure read: what it may be, and what its sentence makes of it."""

    link: Linked
    candidates: tuple[Candidate, ...]
    roles: frozenset[str]
    bare: bool  # no word names it
    sure: bool = False
    dropped: str = ""  # why it is no reading of this machine now
    also: tuple[str, ...] = ()  # further figures of the same reading, as typed
    words: str = ""

    @property
    def best(self) -> Candidate | None:
        """The likeliest reading."""
        return self.candidates[0] if self.candidates else None


def tell(page: Page, found: ReadFigure, naming: Naming) -> None:
    """Put what comes of a figure on the page: taken, asked about, or a note why not."""
    at = page.tokens[found.link.at].start
    if found.dropped:
        if found.dropped != WITH_BEFORE:
            page.notes.append(Note(found.words, found.dropped, at))
        return
    options = _options(found, naming)
    best = found.best
    if (
        best
        and found.sure
        and best.understood
        and not found.roles & DOUBTED
        and naming.here(best.measurement)
    ):
        _take(page, found, best, naming, at)
    elif options and (naming.asked or not found.bare or (found.link.figure.unit and len(options) <= _FEW)):
        page.asked.append(Doubt(_message(found, options, naming), options, found.words, at))
        _use(page, found)
    elif found.link.figure not in (ZERO, DEAD, ENDLESS):
        page.notes.append(Note(found.words, "not clear what was read", at))


def _use(page: Page, found: ReadFigure) -> None:
    page.use(found.link.at, found.link.at + 1)
    for first, last in found.link.runs:
        page.use(first, last)


def _take(page: Page, found: ReadFigure, best: Candidate, naming: Naming, at: int) -> None:
    m = naming.lexicon.knowledge.measurements[best.measurement]
    text = " and ".join((best.text, *found.also))
    text = f"about {text}" if found.link.figure.rough and not found.also else text
    page.taken.append(Proposal(m.id, text, understand(m, text, naming.facts), None, found.words, at))
    _use(page, found)


def _options(found: ReadFigure, naming: Naming) -> tuple[Interpretation, ...]:
    """What the figure may be, likeliest first."""
    if not found.candidates:
        return ()
    top = found.candidates[0].score
    first = found.candidates[0]
    least = _LOOSE if not first.called and first.measurement != naming.asked else MAYBE
    if found.bare and found.link.figure.unit and found.link.figure.unit.dimension not in FINE:
        least = 0.0  # few readings have such a unit
    near = [c for c in found.candidates if c.score >= max(least, top - _NEAR)]
    near = [c for c in near if c.measurement == naming.asked or not _unlikely(c, found, naming)][:_MOST]
    if any(c.understood for c in near):
        near = [c for c in near if c.understood or c is near[0]]
    made = []
    for candidate in near:
        typed = (
            f"{found.link.figure.text} {naming.lexicon.knowledge.measurements[candidate.measurement].unit}"
        )
        as_typed = (typed,) if candidate.trouble and not found.link.figure.unit else ()
        texts = (candidate.text, *as_typed, *found.link.figure.others, *found.also)
        made += [o for text in texts if (o := _option(candidate.measurement, text, naming))]
    return tuple(dict.fromkeys(made))


def _unlikely(candidate: Candidate, found: ReadFigure, naming: Naming) -> bool:
    """Its unit alone, as of "the coil draws 1.8 amps", makes no reading so small, nor with other names."""
    figure = found.link.figure
    small = candidate.stray > 0 or naming.fit(candidate.measurement, figure).score < 0
    return small and not candidate.called and figure.unit is not None


def _option(measurement: str, text: str, naming: Naming) -> Interpretation | None:
    m = naming.lexicon.knowledge.measurements[measurement]
    try:
        return Interpretation(measurement, text, understand(m, text, naming.facts).value)
    except ReadingError:
        return None


def _message(found: ReadFigure, options: Sequence[Interpretation], naming: Naming) -> str:
    readings = list(dict.fromkeys(option.measurement for option in options))
    labels = [naming.lexicon.knowledge.measurements[m].label for m in readings]
    best = found.best
    if best and best.trouble and len(readings) == 1:
        return best.trouble
    if len(readings) == 1 and not naming.here(readings[0]):
        return f"This machine has no {labels[0]}, as it was told."
    if len(readings) > 1:
        return "Which reading is it?"
    return f"Is this the {labels[0]}, read here and now?" if len(options) == 1 else "Which figure is right?"
