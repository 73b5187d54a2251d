"""Bodies of entries from elsewhere: those that a store of ours may hold, and those that none can."""

from __future__ import annotations

import pytest

from crankpath.shell.store import BadEvent, case_from_plain
from crankpath.shell.store.event_bodies import flaw

READING = {"measurement": "m", "text": "12 V"}


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("reading", READING | {"symptom": None, "crank": 3, "of a newer program": [1]}),
        ("reading", {"measurement": "m", "value": 12.5}),
        ("equipment", {"facts": {"volts": 12, "cables": {"positive": {"gauge": "50 mm2", "length": "3 m"}}}}),
        ("tries", {"failures": 2, "of": 10}),
        ("of a newer program", {}),
        ("reopened", {}),
    ],
)
def test_what_a_store_may_hold_has_no_flaw(kind: str, body: dict[str, object]) -> None:
    assert flaw(kind, body) == ""


@pytest.mark.parametrize(
    ("kind", "body", "said"),
    [
        ("reading", {"text": "12 V"}, "its 'measurement' is missing"),
        ("reading", {"measurement": "m"}, "its 'text' is missing"),
        ("reading", {"measurement": "m", "value": 10**4000}, "its 'value' cannot be"),
        ("reading", READING | {"crank": -1}, "its 'crank' cannot be -1"),
        ("reading", READING | {"symptom": "no"}, "its 'symptom' cannot be 'no'"),
        ("note", {"text": "x" * 20_001}, "its 'text' cannot be"),
        ("tries", {"failures": 3, "of": 2}, "it cannot have failed 3 of 2 times"),
        ("tries", {"failures": True, "of": 2}, "its 'failures' cannot be True"),
        ("equipment", {"facts": {"a": {"b": {"c": {}}}}}, "its 'facts' cannot be"),
        ("equipment", {"facts": [1]}, "its 'facts' cannot be"),
        ("closed", {"causes": "all"}, "its 'causes' cannot be"),
    ],
)
def test_a_flaw_is_named(kind: str, body: dict[str, object], said: str) -> None:
    assert flaw(kind, body).startswith(said)


def test_a_case_with_a_flaw_is_refused_whole_and_the_entry_is_named() -> None:
    entry = {"kind": "note", "at": "2031-05-04T12:00:00Z", "by": "field", "origin": "0" * 32, "body": {}}
    events = [entry | {"id": f"{n:032x}"} for n in (1, 2)]
    events[0] |= {"kind": "opened", "body": {"name": "x"}}
    data = {"format": "crankpath case events", "version": 1, "case": "0" * 32, "events": events}
    with pytest.raises(BadEvent, match=r"Entry 2 \(note\) .* 'text' is missing\. Nothing was taken in\."):
        case_from_plain(data)
