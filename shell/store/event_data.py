"""Events as plain data: made, checked, written and read; pure functions."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Mapping
from dataclasses import replace
from hashlib import blake2b
from typing import Any

from crankpath.engine.knowledge.problems import quoted
from crankpath.shell.store.errors import BadEvent
from crankpath.shell.store.event_bodies import flaw
from crankpath.shell.store.order import next_stamp, utc
from crankpath.shell.store.records import KINDS, SOURCES, Event

FORMAT = "crankpath case events"
FORMAT_VERSION = 1
_ID = re.compile(r"[0-9a-f]{32}")
_NAME = re.compile(r"[a-z0-9_.:-]{1,64}")


def new_id() -> str:
    """Return a fresh id: 32 hexadecimal digits."""
    return uuid.uuid4().hex


def is_id(text: object) -> bool:
    """Tell whether something has the shape of an id."""
    return isinstance(text, str) and _ID.fullmatch(text) is not None


def body_text(body: Mapping[str, Any], *, sort: bool = False) -> str:
    """Return a body as JSON in ASCII, so that any database keeps any character.

    With `sort` the keys are sorted, so that equal bodies give equal texts.

    Raises:
        BadEvent: something in it has no place in JSON.
    """
    if not isinstance(body, Mapping):
        raise BadEvent(f"The body of an entry is a mapping, not {type(body).__name__}.")
    try:
        return json.dumps(dict(body), ensure_ascii=True, allow_nan=False, sort_keys=sort)
    except (TypeError, ValueError, RecursionError) as slip:
        raise BadEvent(f"The entry cannot be written down: {slip}.") from None


def draft(case_id: str, kind: str, body: Mapping[str, Any], at: str, by: str, origin: str) -> Event:
    """Return a new event, not yet numbered and stamped with its own time only.

    Raises:
        BadEvent: unknown kind or source, no time, or a body that JSON cannot hold.
    """
    if kind not in KINDS:
        raise BadEvent(f"{quoted(kind)} is no kind of entry. Use one of {', '.join(KINDS)}.")
    if by not in SOURCES:
        raise BadEvent(f"{quoted(by)} is no source of an entry. Use one of {', '.join(SOURCES)}.")
    if kind == "taken_back" and not is_id(body.get("event")):
        raise BadEvent("Taking back names the entry taken back: body {'event': its id}.")
    moment = utc(at).isoformat().replace("+00:00", "Z")
    kept = json.loads(body_text(body))  # what a reader gets is what the writer holds
    return Event(new_id(), case_id, 0, kind, kept, moment, next_stamp(at, ""), by, origin)


def digest(event: Event) -> str:
    """Return 16 hexadecimal digits over everything but the sequence, which is the store's own."""
    parts = (event.id, event.case_id, event.kind, body_text(event.body, sort=True))
    said = "\x1f".join((*parts, event.at, event.stamp, event.by, event.origin))
    return blake2b(said.encode("utf-8", "surrogatepass"), digest_size=8).hexdigest()


def to_plain(event: Event) -> dict[str, Any]:
    """Return an event as a mapping for JSON or YAML."""
    return {
        "id": event.id,
        "kind": event.kind,
        "at": event.at,
        "by": event.by,
        "body": json.loads(body_text(event.body)),
        "sequence": event.sequence,
        "stamp": event.stamp,
        "origin": event.origin,
    }


def from_plain(case_id: str, data: object) -> Event:
    """Return the event a mapping stands for, not numbered in this store.

    A missing stamp is made from `at`. An unknown kind is kept: a newer program may have
    written it.

    Raises:
        BadEvent: a part is missing or misshapen; the message names it.
    """
    if not isinstance(data, Mapping):
        raise BadEvent("An entry must be a mapping with id, kind, at, by, origin and body.")
    where = f"Entry {str(data.get('id'))[:40]!r}"
    if not is_id(data.get("id")) or not is_id(case_id):
        raise BadEvent(f"{where}: its id and its case's are 32 hexadecimal digits each.")
    for part in ("kind", "by", "origin"):
        if not isinstance(data.get(part), str) or not _NAME.fullmatch(data[part]):
            raise BadEvent(f"{where}: {part} is missing or no plain name.")
    body, at = data.get("body", {}), data.get("at")
    if not isinstance(body, Mapping):
        raise BadEvent(f"{where}: body must be a mapping.")
    if not isinstance(at, str):
        raise BadEvent(f"{where}: at must be a time like 2031-05-04T08:30:00Z.")
    moment = utc(at).isoformat().replace("+00:00", "Z")
    stamp = next_stamp(str(data.get("stamp") or at), "")
    kept = json.loads(body_text(body))
    return Event(data["id"], case_id, 0, data["kind"], kept, moment, stamp, data["by"], data["origin"])


def case_to_plain(case_id: str, name: str, events: tuple[Event, ...]) -> dict[str, Any]:
    """Return a whole case as one mapping that `case_from_plain` reads back."""
    return {
        "format": FORMAT,
        "version": FORMAT_VERSION,
        "case": case_id,
        "name": name,
        "events": [to_plain(event) for event in events],
    }


def case_from_plain(data: object) -> tuple[str, tuple[Event, ...]]:
    """Return (case id, events) of a mapping made by `case_to_plain`.

    Raises:
        BadEvent: it is not such a mapping, or a newer program wrote it.
    """
    if not isinstance(data, Mapping) or data.get("format") != FORMAT:
        raise BadEvent(f"This is no exported case: 'format' must be {FORMAT!r}.")
    version = data.get("version")
    if not isinstance(version, int) or version < 1:
        raise BadEvent("This exported case has no version number.")
    if version > FORMAT_VERSION:
        raise BadEvent(
            f"This exported case has version {version}; this program reads up to {FORMAT_VERSION}. "
            "Install the newer program, or export again with this one."
        )
    case_id, entries = data.get("case"), data.get("events")
    if not isinstance(case_id, str) or not is_id(case_id):
        raise BadEvent("This exported case has no id: 'case' must be 32 hexadecimal digits.")
    if not isinstance(entries, list) or not entries:
        raise BadEvent("This exported case has no events.")
    events = tuple(from_plain(case_id, entry) for entry in entries)
    for number, event in enumerate(events, 1):
        if slip := flaw(event.kind, event.body):
            raise BadEvent(f"Entry {number} ({event.kind}) cannot be used: {slip}. Nothing was taken in.")
    return case_id, events


def as_stranger(event: Event) -> Event:
    """Return an event under an id made from its content.

    Two entries that say different things under one id are both kept: the second goes in
    under this id, which is the same however often it is merged.
    """
    return replace(event, id=blake2b(digest(event).encode(), digest_size=16).hexdigest())
