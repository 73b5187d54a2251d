"""What is said of the knowledge itself: settings, references, complaints, silences."""

from __future__ import annotations

from typing import Final

from crankpath.engine.knowledge.building.fields import record, says
from crankpath.engine.knowledge.building.lists import ListOf
from crankpath.engine.knowledge.building.shapes import ID, NUMBER, TEXT, Ref, Word
from crankpath.engine.knowledge.entries.values import Origin

_STANDINGS: Final = ("published", "summary", "common_practice", "from_memory", "computed")


@record
class Setting:
    """A policy number, under the name that the program calls it by."""

    value: float = says("the number", NUMBER)
    about: str = says("what it is for", TEXT, absent="")
    origin: Origin


@record
class Reference:
    """A document, or the statement that there is none (``standing``)."""

    id: str
    title: str = says("the document's title", TEXT)
    standing: str = says("how far it can be trusted", Word(_STANDINGS))
    note: str = says("anything else worth knowing about it", TEXT, absent="")
    origin: Origin


@record
class Complaint:
    """What an operator's words mean: a value of an observation."""

    measurement: str = says("the observation that the words report", Ref("measurements"))
    value: str = says("what was observed", ID)


@record
class Silence:
    """Findings of one check that are meant to be so: of these entries, for this reason.

    folder: where it is written. Its id is the name of the check.
    """

    id: str
    entries: tuple[str, ...] = says("ids, `section/id`, or a whole section", ListOf(TEXT, 1))
    because: str = says("why the findings are intended", TEXT)
    folder: str
    origin: Origin
