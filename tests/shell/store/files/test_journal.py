from __future__ import annotations

import os
from dataclasses import replace

import pytest

from crankpath.shell.store.event_data import draft
from crankpath.shell.store.files.journal import Journal, read_lines

CASE = "c" * 32


def note(text: str, sequence: int = 0):
    event = draft(CASE, "note", {"text": text}, "2031-05-04T12:00:00Z", "field", "a" * 32)
    return replace(event, sequence=sequence)


@pytest.fixture
def journal(tmp_path):
    return Journal(tmp_path / "new folder" / "x.jsonl")


def add(journal, *events):
    with journal.opened() as pages:
        pages.add(events)


def texts(journal, start=0):
    with journal.opened() as pages:
        lines = pages.read(start)
    return [event.body["text"] for event in lines.events.values()], len(lines.unread)


def test_entries_come_back_as_they_were_added(journal):
    events = [note("a \u0000 \ud800 電池", 3), note("b")]
    add(journal, *events)
    with journal.opened() as pages:
        assert list(pages.read().events.values()) == events


def test_an_entry_added_again_counts_as_it_was_written_last(journal):
    first = note("a")
    add(journal, first, note("b"))
    add(journal, replace(first, sequence=7))
    with journal.opened() as pages:
        assert pages.read().events[first.id].sequence == 7


def test_entries_are_read_from_any_length_on(journal):
    add(journal, note("a"))
    length = journal.size()
    add(journal, note("b"))
    assert texts(journal, length) == (["b"], 0)
    assert texts(journal, journal.size()) == ([], 0)


def test_a_disk_that_fills_up_half_way_leaves_no_half_line(journal, monkeypatch):
    add(journal, note("a"))
    real, calls = os.write, []

    def full(descriptor, data):
        calls.append(1)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")
        return real(descriptor, data[:10])

    monkeypatch.setattr(os, "write", full)
    with pytest.raises(OSError, match="No space"):
        add(journal, note("b"))
    monkeypatch.undo()
    assert texts(journal) == (["a"], 0)


def test_a_line_cut_off_by_a_crash_is_passed_over_and_does_not_spoil_the_next(journal):
    add(journal, note("a"))
    with journal.path.open("ab") as stream:
        stream.write(b'{"case": "ccc')
    assert texts(journal) == (["a"], 0)
    add(journal, note("b"))
    assert texts(journal) == (["a", "b"], 1)


@pytest.mark.parametrize(
    ("old", "new"),
    [(b'"text": "a"', b'"text": "o"'), (b'"by": "field"', b'"by": "fiend"'), (b"digest", b"digits"),
     (b'"sequence": 0', b'"sequence": "x"'), (b'{"case"', b'["case"'), (b"note", b"\xff\xfe")],
)  # fmt: skip
def test_an_altered_line_is_no_entry(journal, old, new):
    add(journal, note("a"), note("b"))
    content = journal.path.read_bytes()
    assert old in content
    journal.path.write_bytes(content.replace(old, new, 1))
    assert texts(journal) == (["b"], 1)


@pytest.mark.parametrize("line", [b"[" * 100_000 + b"\n", b"null\n", b'{"case": 1e999}\n', b"\0\0\0\n"])
def test_a_line_of_anything_is_no_entry_and_no_traceback(line):
    found = read_lines([line])
    assert (found.events, found.unread) == ({}, [line])


def test_a_journal_of_another_user_and_a_link_are_left_alone(journal, monkeypatch):
    add(journal, note("a"))
    link = Journal(journal.path.with_name("link"))
    link.path.symlink_to(journal.path)
    with pytest.raises(OSError), link.opened():  # noqa: PT011  # the system's own words
        pass
    monkeypatch.setattr(os, "getuid", lambda: 54321)
    with pytest.raises(PermissionError), journal.opened():
        pass


def test_a_journal_has_the_rights_of_its_store_and_is_its_owners_alone_without_one(journal, tmp_path):
    add(journal, note("a"))
    assert journal.path.stat().st_mode & 0o077 == 0
    store = tmp_path / "cases.sqlite"
    store.touch(0o640)
    beside = Journal(tmp_path / "y.jsonl", like=store)
    add(beside, note("a"))
    assert beside.path.stat().st_mode & 0o777 == 0o640


def test_a_journal_that_somebody_holds_is_waited_for_and_then_given_up(journal, monkeypatch):
    monkeypatch.setattr("crankpath.shell.store.files.journal._PATIENCE", 0.05)
    with journal.opened(), pytest.raises(TimeoutError), journal.opened():
        pass


def test_entries_that_are_in_the_store_are_taken_out(journal):
    add(journal, note("a"))
    with journal.opened() as pages:
        pages.keep_only([b"what cannot be read\n"])
    assert journal.path.read_bytes() == b"what cannot be read\n"
