"""The order of a case's events, which of them are in force, and where copies disagree.

Pure functions. The order must be the same in every copy of a case, must never put an
entry before one its writer had seen, and must not follow a clock that goes back. So
each event carries a stamp: its time, but always later than the stamps already in the
case. Sorting by stamp then gives one order whichever copy was merged into which.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from crankpath.engine.knowledge.problems import quoted
from crankpath.shell.store.errors import BadEvent
from crankpath.shell.store.records import Event, MergeConflict

_TICK = timedelta(microseconds=1)


def utc(at: str) -> datetime:
    """Return the moment an ISO 8601 text means; a text without zone is taken as UTC.

    Raises:
        BadEvent: the text is no ISO 8601 time.
    """
    try:
        moment = datetime.fromisoformat(at)
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
    except (ValueError, TypeError, OverflowError):
        raise BadEvent(f"{quoted(at)} is not a time. Write it like 2031-05-04T08:30:00Z.") from None


def local_time(at: str, now: str = "") -> str:
    """A time of the store as the clock on the wall shows it; what is no time stays as it is.

    The day is left out where it is that of `now`.
    """
    try:
        moment, today = utc(at).astimezone(), utc(now).astimezone().date() if now else None
    except (BadEvent, OverflowError):
        return at
    return moment.strftime("%H:%M" if moment.date() == today else "%Y-%m-%d %H:%M")


def stamp_of(moment: datetime) -> str:
    """Return a moment as text of fixed width, so that text order is time order."""
    # strftime leaves out the leading zeros of years before 1000
    return moment.replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


def next_stamp(at: str, last: str) -> str:
    """Return the stamp of an event written at `at` into a case whose latest stamp is `last` ("" if none)."""
    moment = utc(at)
    if last:
        before = utc(last)
        try:
            moment = max(moment, before + _TICK)
        except OverflowError:  # the end of year 9999
            moment = before
    return stamp_of(moment)


def stamped(events: Iterable[Event], last: str) -> tuple[Event, ...]:
    """Return events with stamps in this order, all later than `last`, the case's latest ("" if none)."""
    found = []
    for event in events:
        last = next_stamp(event.at, last)
        found.append(replace(event, stamp=last))
    return tuple(found)


def order_key(event: Event) -> tuple[str, str, str]:
    """Return what events of one case are sorted by."""
    return event.stamp, event.origin, event.id


def ordered(events: Iterable[Event]) -> tuple[Event, ...]:
    """Return the events in the case's order, each id once; the numbered one of two is kept."""
    found: dict[str, Event] = {}
    for event in events:
        known = found.get(event.id)
        if known is None or known.sequence == 0:
            found[event.id] = event
    return tuple(sorted(found.values(), key=order_key))


def live_events(events: Iterable[Event]) -> tuple[Event, ...]:
    """Return the events in force, in order: those not taken back.

    A taking back can itself be taken back; then its event counts again. The entries of
    kind "taken_back" are not among those returned.
    """
    in_order = ordered(events)
    gone: set[str] = set()
    for event in reversed(in_order):  # a later taking back decides over an earlier one
        if event.kind == "taken_back" and event.id not in gone:
            gone.add(str(event.body.get("event")))
    return tuple(event for event in in_order if event.id not in gone and event.kind != "taken_back")


def conflicts(ours: Sequence[Event], theirs: Sequence[Event]) -> tuple[MergeConflict, ...]:
    """Return where two whole copies of a case, worked on apart, last said different things.

    Only what each copy has and the other lacks is compared, and only what is in force.
    """
    our_ids, their_ids = {e.id for e in ours}, {e.id for e in theirs}
    our_last = dict(_said(e for e in live_events(ours) if e.id not in their_ids))
    their_last = dict(_said(e for e in live_events(theirs) if e.id not in our_ids))
    return tuple(
        MergeConflict(kind, about, event, their_last[kind, about][1])
        for (kind, about), (value, event) in our_last.items()
        if (kind, about) in their_last and their_last[kind, about][0] != value
    )


def _said(events: Iterable[Event]) -> Iterator[tuple[tuple[str, str], tuple[object, Event]]]:
    """Yield (kind, matter) -> (what was said of it, event)."""
    for event in events:
        body = event.body
        if event.kind == "reading":
            said = (body.get("value", body.get("text")), body.get("symptom"))
            yield ("reading", str(body.get("measurement"))), (said, event)
        elif event.kind == "equipment" and isinstance(body.get("facts"), dict):
            for fact, value in body["facts"].items():
                yield ("equipment", fact), (value, event)
        elif event.kind == "repaired":
            yield ("repaired", str(body.get("repair"))), (body.get("cured"), event)
        elif event.kind in ("complaint", "closed", "renamed"):
            yield (event.kind, ""), (dict(body), event)
