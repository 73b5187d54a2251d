from __future__ import annotations

import json
import sqlite3

import pytest

from crankpath.shell.store import BadEvent, StoreUnavailable, UnknownCase, live_events, ordered
from crankpath.shell.store.event_data import to_plain

NOON = "2031-05-04T12:00:00Z"


def note(store, case_id, text, at=NOON):
    return store.append(case_id, "note", {"text": text}, at=at)


def texts(store, case_id):
    return [e.body["text"] for e in store.events(case_id) if e.kind == "note"]


def test_a_case_is_its_events_in_order(store):
    first = store.create_case("loader 7", at=NOON, machine="wheel loader")
    second = note(store, first.case_id, "wet")
    assert store.events(first.case_id) == (first, second)
    assert [e.sequence for e in store.events(first.case_id)] == [1, 2]
    assert first.body == {"name": "loader 7", "machine": "wheel loader"}


def test_an_entry_is_seen_by_another_shell_at_once(place, opened):
    one, other = opened(place), opened(place)
    case_id = one.create_case("x", at=NOON).case_id
    a = note(one, case_id, "a")
    b = note(other, case_id, "b")
    c = note(one, case_id, "c")
    assert one.events(case_id) == other.events(case_id)
    assert other.events(case_id, after=1) == (a, b, c)
    assert one.events(case_id, after=b.sequence) == (c,)
    assert len({a.origin, b.origin}) == 2


def test_a_clock_that_goes_back_does_not_change_the_order(store):
    case_id = store.create_case("x", at=NOON).case_id
    for n, at in enumerate(["2031-05-04T12:00:01Z", "1970-01-01T00:00:00Z", NOON, NOON]):
        note(store, case_id, n, at)
    assert texts(store, case_id) == [0, 1, 2, 3]
    assert [e.at for e in store.events(case_id)][2] == "1970-01-01T00:00:00Z"


def test_what_was_taken_back_stays_on_record_and_no_longer_counts(store):
    case_id = store.create_case("x", at=NOON).case_id
    a = note(store, case_id, "a")
    store.append(case_id, "taken_back", {"event": a.id}, at=NOON)
    assert len(store.events(case_id)) == 3
    assert [e.kind for e in live_events(store.events(case_id))] == ["opened"]


@pytest.mark.parametrize("target", ["opening", "missing"])
def test_the_opening_and_an_entry_of_elsewhere_cannot_be_taken_back(store, target):
    first = store.create_case("x", at=NOON)
    with pytest.raises(BadEvent):
        store.append(
            first.case_id, "taken_back", {"event": first.id if target == "opening" else "0" * 32}, at=NOON
        )
    assert len(store.events(first.case_id)) == 1


def test_an_unknown_case_is_told_and_nothing_written(store):
    for ask in (store.events, store.case, store.export_case, lambda c: note(store, c, "x")):
        with pytest.raises(UnknownCase):
            ask("0" * 32)
    assert store.cases(open_only=False) == ()


def test_a_case_without_name_is_refused(store):
    with pytest.raises(BadEvent, match="needs a name"):
        store.create_case(" \n\x00 ", at=NOON)


@pytest.mark.parametrize(
    "text", ["Zündschloß 電池", "a\x00b", "\ud800", "'; DROP TABLE events; --", "\x1b[2J", "x" * 99_999]
)
def test_any_text_comes_back_as_it_was_typed(store, text):
    case_id = store.create_case(f"x {text}", at=NOON, machine=text).case_id
    store.append(case_id, "complaint", {"text": text}, at=NOON)
    store.append(case_id, "promised", {"text": text}, at=NOON)
    note(store, case_id, text)
    assert texts(store, case_id) == [text]
    assert "\x1b" not in store.case(case_id).name


def test_the_list_shows_the_last_worked_on_first_and_only_open_ones_unless_asked(store):
    names = {}
    for n, name in enumerate(("old", "closed", "new")):
        names[name] = store.create_case(name, at=f"2031-05-0{n + 1}T00:00:00Z").case_id
    store.append(names["closed"], "closed", {"causes": ["ground_strap"]}, at="2031-05-07T00:00:00Z")
    assert [c.name for c in store.cases()] == ["new", "old"]
    assert [c.name for c in store.cases(open_only=False)] == ["closed", "new", "old"]
    assert [c.name for c in store.cases(open_only=False, limit=1, offset=1)] == ["new"]
    store.append(names["closed"], "reopened", {}, at="2031-05-08T00:00:00Z")
    assert [c.name for c in store.cases()] == ["closed", "new", "old"]


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("load", True),
        ("LOADER", True),
        ("l245", True),
        ("dreht zund", True),
        ("rain", True),
        ("ground_str", True),
        ("oader", False),
        ("loader dozer", False),
        ("rain' OR 1=1", False),
        ('"', True),
        ("* - (", True),
        ("dry", False),
    ],
)
def test_search_finds_beginnings_of_words_of_name_machine_complaint_notes_and_cause(store, typed, found):
    case_id = store.create_case("Loader L245", at=NOON).case_id
    store.append(case_id, "complaint", {"text": "Zündschloß dreht"}, at=NOON)
    wet = note(store, case_id, "dry")
    note(store, case_id, "rain, all night")
    store.append(case_id, "taken_back", {"event": wet.id}, at=NOON)
    store.append(case_id, "closed", {"causes": ["ground_strap"]}, at=NOON)
    assert len(store.cases(open_only=False, search=typed)) == found


def test_a_machine_is_found_by_its_very_name_among_many_that_begin_alike(store):
    named = ["Süd 1", *(f"Süd 1{n}" for n in range(60)), "SÜD 1"]
    ids = [store.create_case("x", at=NOON, machine=name).case_id for name in named]
    store.append(ids[0], "closed", {}, at=NOON)
    found = store.cases(open_only=False, search="süd 1", machine="süd 1")
    assert [case.id for case in found] == [ids[-1], ids[0]]
    assert store.cases(search="süd", machine="süd") == ()



def test_a_case_travels_as_one_mapping(store, tmp_path, opened):
    case_id = store.create_case("x", at=NOON).case_id
    note(store, case_id, "a")
    other = opened(tmp_path / "other.sqlite")
    data = json.loads(json.dumps(store.export_case(case_id)))
    report = other.import_case(data)
    assert other.events(case_id) == store.events(case_id)
    assert (len(report.added), report.already, report.conflicts) == (2, 0, ())
    again = other.import_case(data)
    assert (again.added, again.already) == ((), 2)
    assert other.case(case_id) == store.case(case_id)


def test_copies_worked_on_apart_show_their_conflict_and_keep_both(store, tmp_path, opened):
    case_id = store.create_case("x", at=NOON).case_id
    other = opened(tmp_path / "other.sqlite")
    other.import_case(store.export_case(case_id))
    body = {"measurement": "crank_current"}
    store.append(case_id, "reading", {**body, "text": "310 A"}, at=NOON)
    other.append(case_id, "reading", {**body, "text": "90 A"}, at=NOON)
    report = store.import_case(other.export_case(case_id))
    assert [(c.about, c.ours.body["text"], c.theirs.body["text"]) for c in report.conflicts] == [
        ("crank_current", "310 A", "90 A")
    ]
    assert len(store.events(case_id)) == 3


def test_an_entry_altered_on_its_way_does_not_replace_ours_and_is_kept(store):
    case_id = store.create_case("x", at=NOON).case_id
    note(store, case_id, "ours")
    data = store.export_case(case_id)
    data["events"][1]["body"] = {"text": "theirs"}
    for _ in range(2):
        store.import_case(data)
    assert sorted(texts(store, case_id)) == ["ours", "theirs"]


def test_a_reader_that_knows_part_of_a_case_gets_the_order_right_after_a_merge(store, tmp_path, opened):
    case_id = store.create_case("x", at=NOON).case_id
    other = opened(tmp_path / "other.sqlite")
    other.import_case(store.export_case(case_id))
    note(store, case_id, "later", "2031-05-04T14:00:00Z")
    known = store.events(case_id)
    note(other, case_id, "earlier", "2031-05-04T13:00:00Z")
    store.import_case(other.export_case(case_id))
    both = ordered([*known, *store.events(case_id, after=max(e.sequence for e in known))])
    assert both == store.events(case_id)
    assert texts(store, case_id) == ["earlier", "later"]


def hold(path):
    """Take the write lock from outside."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("BEGIN IMMEDIATE")
    return connection


def test_an_entry_typed_while_the_store_is_held_waits_and_goes_in_later(path, opened):
    store = opened(path, patience=0.1)
    case_id = store.create_case("x", at=NOON).case_id
    other = hold(path)
    with pytest.raises(StoreUnavailable, match=r"held by another program.*kept in") as caught:
        note(store, case_id, "a")
    assert caught.value.kept_in.is_file()
    assert store.events(case_id)[-1] == caught.value.events[0]
    assert caught.value.events[0].sequence == 0
    other.close()
    note(store, case_id, "b")
    assert texts(store, case_id) == ["a", "b"]
    assert all(e.sequence for e in store.events(case_id))
    assert opened(path).said == ()


def test_a_case_opened_while_the_store_is_held_is_whole_at_the_next_opening(path, opened):
    store = opened(path, patience=0.1)
    other = hold(path)
    with pytest.raises(StoreUnavailable) as caught:
        store.create_case("x", at=NOON)
    case_id = caught.value.events[0].case_id
    with pytest.raises(StoreUnavailable):
        note(store, case_id, "a")
    assert texts(store, case_id) == ["a"]
    other.close()
    again = opened(path)  # as after a crash: the first shell gave nothing over
    assert again.said == ("Entries that waited for the store are in it now: 2.",)
    assert texts(again, case_id) == ["a"]
    note(store, case_id, "b")
    assert texts(again, case_id) == ["a", "b"]


def test_closing_gives_over_what_waited(path, opened):
    store = opened(path, patience=0.1)
    case_id = store.create_case("x", at=NOON).case_id
    other = hold(path)
    with pytest.raises(StoreUnavailable):
        note(store, case_id, "a")
    other.close()
    store.close()
    again = opened(path)
    assert again.said == ()
    assert texts(again, case_id) == ["a"]


def test_a_full_disk_is_one_sentence_and_the_entry_waits(path, opened):
    store = opened(path)
    case_id = store.create_case("x", at=NOON).case_id
    with store._engine.connect() as conn:  # the page limit makes the file as full as a disk
        pages = conn.exec_driver_sql("PRAGMA page_count").scalar()
        conn.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(StoreUnavailable, match=r"disk .* is full\. Make room") as caught:
        note(store, case_id, "x" * 100_000)
    assert caught.value.kept_in is not None
    assert len(texts(store, case_id)) == 1
    store._engine.dispose()
    note(store, case_id, "y")
    assert [t[0] for t in texts(store, case_id)] == ["x", "y"]


def test_when_nothing_can_be_written_the_entry_is_in_memory_and_the_caller_is_told(path, opened, monkeypatch):
    store = opened(path, patience=0.1)
    case_id = store.create_case("x", at=NOON).case_id
    monkeypatch.setattr(store, "_journals", tuple)
    other = hold(path)
    with pytest.raises(StoreUnavailable, match="leave it open") as caught:
        note(store, case_id, "a")
    other.close()
    assert (caught.value.kept_in, caught.value.events[0].body) == (None, {"text": "a"})
    note(store, case_id, "b")
    assert texts(store, case_id) == ["a", "b"]


def test_a_store_that_was_deleted_under_the_shell_is_noticed_before_writing(path, opened):
    store = opened(path)
    case_id = store.create_case("x", at=NOON).case_id
    path.unlink()
    with pytest.raises(StoreUnavailable, match="folder is missing or not yours") as caught:
        note(store, case_id, "a")
    assert caught.value.kept_in is not None


def test_what_waits_in_the_users_own_folder_goes_in_with_the_next_entry_or_opening(path, opened):
    store = opened(path, patience=0.1)
    case_id = store.create_case("x", at=NOON).case_id
    journal = path.with_name(path.name + ".journal.jsonl")
    for number in range(2):
        other = hold(path)
        journal.rename(journal.with_name("away"))
        journal.mkdir()  # nothing can be written there
        with pytest.raises(StoreUnavailable, match="held by another") as caught:
            note(store, case_id, f"waits {number}")
        assert caught.value.kept_in.parent != path.parent
        journal.rmdir()
        journal.with_name("away").rename(journal)
        other.close()
        if number == 0:
            note(store, case_id, "next")
            assert texts(store, case_id) == ["waits 0", "next"]
            assert caught.value.kept_in.read_bytes() == b""
    with caught.value.kept_in.open("ab") as stream:
        stream.write(b"what is no entry\n")
    again = opened(path)
    assert again.said[0] == "Entries that waited for the store are in it now: 1."
    assert again.said[1] == f"1 lines of {caught.value.kept_in} cannot be read; they stay there."
    assert texts(again, case_id) == ["waits 0", "next", "waits 1"]


def test_an_entry_waits_for_a_shared_store_that_is_held_and_is_taken_in_at_the_next_opening(postgres, opened):
    store = opened(postgres, patience=0.1)
    case_id = store.create_case("x", at=NOON).case_id
    with opened(postgres)._engine.connect() as other:
        other.exec_driver_sql("LOCK TABLE cases IN ACCESS EXCLUSIVE MODE")
        with pytest.raises(StoreUnavailable, match="held by another program") as caught:
            note(store, case_id, "a")
    assert caught.value.kept_in.is_file()
    again = opened(postgres)
    assert again.said == ("Entries that waited for the store are in it now: 1.",)
    assert texts(again, case_id) == ["a"]
    assert opened(postgres).said == ()


def test_merging_while_the_store_is_held_is_a_sentence_too(path, opened):
    store = opened(path, patience=0.1)
    first = store.create_case("x", at=NOON)
    other = hold(path)
    with pytest.raises(StoreUnavailable, match="held by another program"):
        store.merge(first.case_id, [first])
    other.close()


def test_writing_the_same_draft_twice_writes_it_once(store):
    from crankpath.shell.store.event_data import draft

    case_id = store.create_case("x", at=NOON).case_id
    entry = draft(case_id, "note", {"text": "a"}, NOON, "field", store.origin)
    assert store._write(lambda conn: store._put(conn, [entry])) == store._write(
        lambda conn: store._put(conn, [entry])
    )
    assert texts(store, case_id) == ["a"]


def test_an_entry_is_synced_before_it_is_returned(path, opened, monkeypatch):
    import os

    store = opened(path)
    synced = []
    real = os.fsync
    monkeypatch.setattr(os, "fsync", lambda file: (synced.append(os.pread(file, 10**6, 0)), real(file)))
    event = store.create_case("x", at=NOON)
    assert synced[-1].count(b"\n") == 1
    assert event.id.encode() in synced[-1]
    with store._engine.connect() as conn:
        assert conn.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
    with sqlite3.connect(path) as connection:
        assert connection.execute("PRAGMA application_id").fetchone()[0] == 0x43505431


def test_a_plain_event_can_be_merged_into_another_kind_of_store(store):
    case_id = store.create_case("x", at=NOON).case_id
    data = {**store.export_case(case_id), "case": "d" * 32}
    data["events"][0] = {**to_plain(store.events(case_id)[0]), "id": "e" * 32}
    store.import_case(data)
    assert len(store.cases()) == 2
