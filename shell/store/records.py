"""The records of the store: a case is its ordered events, and nothing else.

What each kind of event carries in its body (other keys are kept and left alone; ``imported`` is
true of what came from a file, under the name and at the time that the file gave):

========== =========================================================================
opened     ``name``; optionally ``machine``
equipment  ``facts`` {fact id: value}; optionally ``machine``, the name of the machine, ``lacks``,
           tools that are not at hand, ``round_trip``, minutes from a question to its answer
complaint  ``text``, the operator's words
reading    ``measurement``, ``text`` or ``value``; ``symptom`` true, false or none; ``crank``,
           a number that readings of one crank written by the same shell share
cannot     ``measurement``
skip       ``measurement``
tries      ``failures``, ``of``; ``waiting`` true: made only to read a failure
repaired   ``repair``; ``cured`` true, false or none while the proof is due
note       ``text``
caution_shown ``caution``
taken_back ``event``, the id of the event that no longer counts
closed     ``causes``, the confirmed fault ids (empty: none was confirmed)
reopened   nothing
renamed    ``name``
sent       ``text``, ``step``, its number; optionally ``waits_for``, what the answer must bring, and
           ``measurements``, the readings it asks for, in the order of its questions
promised   ``text``; optionally ``due``, when; ``kept``, the id of the promise that was kept; where meters
           stay on, ``watch``, their readings, ``until``, the day to look again, ``call``, whom to call
given      ``to``, who has the case from now on ("": nobody)
papers     ``label``, ``text``: what the shop's papers ask for
attached   ``file``, its name; ``size`` in bytes; ``digest``, the SHA-256 of its content, under which it is
           kept beside the store; optionally ``event``, the id of the entry that it belongs to
========== =========================================================================
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

KINDS = (
    "opened",
    "equipment",
    "complaint",
    "reading",
    "cannot",
    "skip",
    "tries",
    "repaired",
    "note",
    "caution_shown",
    "taken_back",
    "closed",
    "reopened",
    "renamed",
    "sent",
    "promised",
    "given",
    "attached",
    "papers",
)
SOURCES = ("technician", "operator", "advisor", "field")


@dataclass(frozen=True, slots=True)
class Event:
    """One entry of a case; never changed and never deleted once it is written.

    id: 32 hexadecimal digits, made by the writer. sequence: number of arrival in this
    store, growing from 1 within the case; 0 while the entry still waits for the store.
    at: the writer's clock, UTC, ISO 8601. stamp: `at`, moved on where the clock stood
    still or went back, so that it is later than every entry the writer could see; the
    order of a case is by stamp, in every copy of it. by: who said it. origin: id of the
    shell that wrote it.
    """

    id: str
    case_id: str
    sequence: int
    kind: str
    body: Mapping[str, Any]
    at: str
    stamp: str
    by: str
    origin: str


@dataclass(frozen=True, slots=True)
class Write:
    """An entry to be written: kind and body as above, who says so, and when ("": now)."""

    kind: str
    body: Mapping[str, Any]
    by: str = "technician"
    at: str = ""


@dataclass(frozen=True, slots=True)
class CaseSummary:
    """What a list of cases shows of one; derived from its events at every write.

    state: open | repaired (proof is due) | closed. waits_for: what must come before the
    case can go on, or "". causes: confirmed fault ids. entries: number of events. asked_at: when the message
    went out that is not answered yet. promised: what was promised and is not kept, the first that is due;
    due: when. holder: who has the case. Times in UTC, ISO 8601; "" where there is none.
    """

    id: str
    name: str
    machine: str
    complaint: str
    state: str
    opened_at: str
    updated_at: str
    waits_for: str
    causes: tuple[str, ...]
    entries: int
    asked_at: str = ""
    promised: str = ""
    due: str = ""
    holder: str = ""

    def age_seconds(self, now: str) -> float:
        """Return the seconds from the opening of the case to `now` (ISO 8601, UTC)."""
        return (datetime.fromisoformat(now) - datetime.fromisoformat(self.opened_at)).total_seconds()


@dataclass(frozen=True, slots=True)
class MergeConflict:
    """Two copies of a case that say different things of one matter; both are kept.

    about: the measurement, fact or repair, or "" where the kind says it all.
    """

    kind: str
    about: str
    ours: Event
    theirs: Event


@dataclass(frozen=True, slots=True)
class MergeReport:
    """What merging brought: events new to the store, how many it had, and conflicts."""

    case_id: str
    added: tuple[Event, ...]
    already: int
    conflicts: tuple[MergeConflict, ...]
