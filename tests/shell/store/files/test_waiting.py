from __future__ import annotations

import os

import pytest

from crankpath.shell.store.files import waiting
from crankpath.shell.store.plain import draft
from crankpath.shell.store.sql.trouble import sentence

CASE = "c" * 32


def note(text: str):
    return draft(CASE, "note", {"text": text}, "2031-05-04T12:00:00Z", "field", "a" * 32)


@pytest.fixture
def places(tmp_path):
    return ((tmp_path / "first", "s"), (tmp_path / "second", "s"))


def taken(places):
    got = []
    number, said = waiting.take_in(places, lambda case_id, events: got.extend(events))
    assert number == len(got)
    return [e.body["text"] for e in got], said


def test_entries_are_kept_and_taken_in_once(places):
    for text in ("a", "b"):
        assert waiting.keep(note(text), places, "w") is not None
    assert taken(places) == (["a", "b"], [])
    assert taken(places) == ([], [])


def test_the_next_folder_is_used_when_the_first_cannot_be(places):
    places[0][0].write_text("a file where the folder should be")
    assert waiting.keep(note("a"), places, "w").parent == places[1][0]
    assert taken(places) == (["a"], [])


def test_no_folder_at_all_is_told_by_none(tmp_path):
    (tmp_path / "x").write_text("")
    assert waiting.keep(note("a"), ((tmp_path / "x", "s"),), "w") is None


def test_a_disk_that_fills_up_half_way_leaves_no_half_line(places, monkeypatch):
    waiting.keep(note("a"), places, "w")
    real, calls = os.write, []

    def full(descriptor, data):
        calls.append(1)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")
        return real(descriptor, data[:10])

    monkeypatch.setattr(os, "write", full)
    file = waiting.keep(note("b"), places[:1], "w")
    monkeypatch.undo()
    assert file is None
    assert taken(places) == (["a"], [])


def test_a_line_cut_off_by_a_crash_does_not_spoil_the_next(places):
    file = waiting.keep(note("a"), places, "w")
    with file.open("ab") as stream:
        stream.write(b'{"case": "ccc')
    waiting.keep(note("b"), places, "w")
    texts, said = taken(places)
    assert texts == ["a", "b"]
    assert len(said) == 1
    assert "1 waiting entries could not be read" in said[0]
    assert next(places[0][0].glob("*.unread")).read_bytes().count(b"\n") == 3


def test_what_cannot_be_given_stays_where_it_is(places):
    file = waiting.keep(note("a"), places, "w")

    def refuse(case_id, events):
        raise sentence(OSError(28, "full"), "x")

    number, said = waiting.take_in(places, refuse)
    assert number == 0
    assert str(file) in said[0]
    assert taken(places) == (["a"], [])


def test_a_file_of_another_user_and_a_link_are_left_alone(places, tmp_path, monkeypatch):
    file = waiting.keep(note("a"), places, "w")
    link = file.with_name(f"s-link{waiting.SUFFIX}")
    link.symlink_to(file)
    assert taken(places) == (["a"], [])
    waiting.keep(note("b"), places, "w")
    monkeypatch.setattr(os, "getuid", lambda: 54321)
    assert taken(places) == ([], [])


def test_a_waiting_file_is_readable_by_its_owner_only(places):
    assert waiting.keep(note("a"), places, "w").stat().st_mode & 0o077 == 0


def test_a_writer_whose_file_was_taken_in_begins_a_new_one(places):
    waiting.keep(note("a"), places, "w")
    taken(places)
    waiting.keep(note("b"), places, "w")
    assert taken(places) == (["b"], [])


def test_only_the_files_of_one_writer_are_removed(places):
    waiting.keep(note("a"), places, "mine")
    waiting.keep(note("b"), places, "other")
    waiting.remove(places, "mine")
    assert taken(places) == (["b"], [])
