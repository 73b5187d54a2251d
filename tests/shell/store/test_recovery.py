"""Damaged stores: cut short, overwritten, altered, gone; all is in the new one, or said to be missing."""

from __future__ import annotations

import random
import re
import shutil
import sqlite3
import subprocess
import sys

import pytest
from sampled import one_in

from crankpath.shell.store import StoreDamaged, StoreError, open_store
from crankpath.shell.store.files.damage import damage_of
from crankpath.shell.store.files.file_watch import fingerprint_of
from crankpath.shell.store.files.places import journal_of

NOON = "2031-05-04T12:00:00Z"
CASES, NOTES = 12, 8
ALL = CASES * (NOTES + 1)


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """A store of some cases, closed; one entry in ten needs overflow pages."""
    path = tmp_path_factory.mktemp("whole") / "cases.sqlite"
    store = open_store(path)
    for n in range(CASES):
        case_id = store.create_case(f"loader {n}", at=NOON).case_id
        for m in range(NOTES):
            store.append(case_id, "note", {"text": f"{n}-{m} " + "word " * (3000 if m == 5 else 3)}, at=NOON)
    store.close()
    return path


@pytest.fixture
def damaged(whole, path):
    """A copy to be damaged, with its journal."""
    path.parent.mkdir()
    shutil.copy(whole, path)
    shutil.copy(journal_of(whole).path, journal_of(path).path)
    return path


def everything(store):
    return {c.id: store.events(c.id) for c in store.cases(open_only=False, limit=1000)}


def originals(whole):
    store = open_store(whole)
    found = everything(store)
    store.close()
    return found


def test_a_whole_file_a_missing_one_and_an_empty_one_are_not_damaged(damaged, tmp_path):
    assert damage_of(damaged, thorough=True) is None
    assert damage_of(tmp_path / "missing.sqlite") is None
    (tmp_path / "empty.sqlite").touch()
    assert damage_of(tmp_path / "empty.sqlite") is None


def cut(path, share):
    content = path.read_bytes()
    path.write_bytes(content[: int(len(content) * share)])


@pytest.mark.parametrize("share", one_in(2, [0.999, 0.9, 0.5, 0.2, 0.05, 0.001]))
def test_a_store_cut_short_is_set_aside_and_what_is_left_is_recovered(whole, damaged, opened, share):
    cut(damaged, share)
    content = damaged.read_bytes()
    store = opened(damaged)
    assert store.said[0].startswith("The store was damaged (")
    aside = damaged.with_name("cases.sqlite.damaged-1")
    assert aside.read_bytes() == content
    assert str(aside) in store.said[0]
    assert f"(entries: {ALL}, cases: {CASES}). No entry of the journal is missing." in store.said[0]
    assert everything(store) == originals(whole)
    store.create_case("goes on", at=NOON)
    assert opened(damaged).said == ()


def test_a_store_that_is_gone_is_made_anew_from_its_journal(whole, damaged, opened):
    damaged.unlink()
    store = opened(damaged)
    assert store.said == (f"{damaged} was gone; it is made anew from its journal, with {ALL} entries.",)
    assert everything(store) == originals(whole)


@pytest.mark.parametrize("share", [0, 0.5, 0.999])
def test_a_journal_that_is_gone_or_cut_short_gets_all_back_from_the_store(whole, damaged, opened, share):
    journal = journal_of(damaged).path
    cut(journal, share)
    if share == 0:
        journal.unlink()
    store = opened(damaged)
    assert store.said[-1].endswith("was gone or had lost its end; the store has given it back.")
    store.close()
    assert opened(damaged).said == ()
    damaged.unlink()
    assert everything(opened(damaged)) == originals(whole)


def test_the_newest_entries_come_back_where_the_store_lost_them_in_a_power_cut(whole, damaged, opened):
    before = damaged.read_bytes()
    store = opened(damaged)
    case_id = store.cases()[0].id
    late = [store.append(case_id, "note", {"text": n}, at=NOON) for n in range(3)]
    store.close()
    damaged.write_bytes(before)
    again = opened(damaged)
    assert again.said == ("Entries that waited for the store are in it now: 3.",)
    assert again.events(case_id)[-3:] == tuple(late)


def test_a_store_and_its_journal_both_damaged_give_what_they_have_and_tell_the_rest(whole, damaged, opened):
    journal = journal_of(damaged).path
    lines = journal.read_bytes().splitlines(keepends=True)
    lines[3] = lines[3].replace(b"note", b"n0te")
    lines[40] = b"\xff" * 20 + b"\n"
    journal.write_bytes(b"".join(lines))
    damaged.write_bytes(b"\xff" * 4096 + damaged.read_bytes()[4096:])
    store = opened(damaged)
    assert f"(entries: {ALL - 2}, cases: {CASES})." in store.said[0]
    missing = "Entries missing: 1 of the case loader 0, 1 of the case loader 4."
    assert store.said[0].endswith(f"{missing} Whether the journal itself was whole cannot be told.")
    found = everything(store)
    assert all(event in events for case, events in originals(whole).items() for event in found[case])


def test_a_store_whose_first_page_is_overwritten_loses_nothing(whole, damaged, opened):
    content = bytearray(damaged.read_bytes())
    content[:4096] = b"\xff" * 4096
    damaged.write_bytes(content)
    store = opened(damaged)
    assert "its beginning is overwritten" in store.said[0]
    assert everything(store) == originals(whole)


def test_a_store_with_broken_trees_loses_nothing(whole, damaged, opened):
    with sqlite3.connect(damaged) as connection:
        root = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'events'").fetchone()[0]
    content = bytearray(damaged.read_bytes())
    content[(root - 1) * 4096 : root * 4096] = bytes(4096)
    damaged.write_bytes(content)
    store = opened(damaged)
    assert "do not fit together" in store.said[0]
    assert everything(store) == originals(whole)


@pytest.mark.parametrize(
    ("name", "said"),
    [(b"eventz", "its pages do not fit together"), (b"event\x80", "its list of tables is overwritten")],
)
def test_a_store_whose_list_of_tables_is_overwritten_is_ours_and_loses_nothing(
    whole, damaged, opened, name, said
):
    content = damaged.read_bytes()
    assert content.count(b"tableeventsevents") == 1  # type, name and table name of its entry in the list
    damaged.write_bytes(content.replace(b"tableeventsevents", b"table" + name + b"events"))
    store = opened(damaged)
    assert said in store.said[0]
    assert everything(store) == originals(whole)


@pytest.mark.parametrize("table", [b"TABLE meta", b"TABLE case_search", b"'case_search_data'"])
def test_a_store_whose_table_definitions_are_no_text_is_recovered(whole, damaged, opened, table):
    content = damaged.read_bytes()
    assert content.count(table) == 1
    damaged.write_bytes(content.replace(table, table[:-2] + b"\x80" + table[-1:]))
    store = opened(damaged)
    assert "The store was damaged" in store.said[0]
    assert everything(store) == originals(whole)


def test_an_altered_entry_is_never_taken_for_a_true_one(whole, damaged, opened):
    content = damaged.read_bytes()
    assert content.count(b"3-4 word") == 1
    damaged.write_bytes(content.replace(b"3-4 word", b"3-4 ward"))
    store = opened(damaged, thorough=True)
    assert "an entry is not what was written" in store.said[0]
    assert "No entry of the journal is missing." in store.said[0]
    assert everything(store) == originals(whole)


def test_an_index_that_hides_an_entry_is_damage_and_loses_nothing(whole, damaged, opened):
    with sqlite3.connect(damaged) as connection:
        (case,) = connection.execute("SELECT max(case_id) FROM events").fetchone()
    content = bytearray(damaged.read_bytes())
    # header of an index row: its length, a text of 32 characters, two small integers; then the text
    places = [found.end() for found in re.finditer(rb"\x04M\x01[\x01\x02](?=%b)" % case.encode(), content)]
    assert len(places) == NOTES  # the first entry stands otherwise, its number being 1
    content[places[-1]] = ord("!")  # sorts before every id: looked up, the entry is not found
    damaged.write_bytes(content)
    store = opened(damaged)
    assert "do not fit together" in store.said[0]
    assert everything(store) == originals(whole)


def test_an_entry_that_is_gone_from_its_case_is_told(damaged, opened):
    with sqlite3.connect(damaged) as connection:
        (case,) = connection.execute("SELECT max(case_id) FROM events").fetchone()
        connection.execute("DELETE FROM events WHERE case_id = ? AND sequence = ?", (case, NOTES + 1))
    store = opened(damaged)
    with pytest.raises(StoreDamaged, match=f"Of the {NOTES + 1} entries of case {case} only {NOTES} can be"):
        store.events(case)


def test_damage_found_while_working_is_told_and_repaired_at_the_next_opening(damaged, opened):
    store = opened(damaged)
    case_id = next(c.id for c in store.cases() if c.name == "loader 3")
    with sqlite3.connect(damaged) as connection:
        connection.execute("UPDATE events SET body = '{}' WHERE body LIKE '%3-4 word%'")
    with pytest.raises(StoreDamaged):
        store.events(case_id)
    with pytest.raises(StoreDamaged) as caught:
        store.append(case_id, "note", {"text": "typed meanwhile"}, at="2031-05-04T12:00:01Z")
    assert caught.value.kept_in.is_file()
    assert fingerprint_of(damaged).exists()
    again = opened(damaged)
    assert again.said[0].startswith("The store was damaged (an entry is not what was written)")
    assert "No entry of the journal is missing." in again.said[0]
    texts = [e.body["text"][:5] for e in again.events(case_id)[1:]]
    assert texts == ["3-0 w", "3-1 w", "3-2 w", "3-3 w", "3-4 w", "3-5 w", "3-6 w", "3-7 w", "typed"]
    assert not fingerprint_of(damaged).exists()


def test_a_shell_that_had_the_damaged_store_open_goes_on_with_the_new_one(damaged, opened):
    early = opened(damaged)
    case_id = early.cases()[0].id
    fingerprint_of(damaged).touch()
    with sqlite3.connect(damaged) as connection:
        connection.execute("UPDATE events SET body = '{}' WHERE body LIKE '%3-4 word%'")
    late = opened(damaged)
    assert late.said != ()
    written = early.append(case_id, "note", {"text": "a"}, at=NOON)
    assert late.events(case_id)[-1] == written


@pytest.mark.parametrize("moved", [False, True])
def test_a_recovery_cut_off_half_way_is_done_again_with_everything(damaged, opened, moved):
    killed = open_store(damaged)
    added = killed.create_case("only in the log", at=NOON)
    wal = damaged.with_name(damaged.name + "-wal")
    as_killed, log = damaged.read_bytes(), wal.read_bytes()
    killed.close()
    damaged.write_bytes(as_killed)
    (damaged.with_name("cases.sqlite.damaged-1-wal") if moved else wal).write_bytes(log)
    damaged.with_name(damaged.name + ".recovering").write_bytes(b"half")
    if not moved:
        cut(damaged, 0.9)
    store = opened(damaged)
    assert store.said
    assert store.events(added.case_id) == (added,)
    assert len(everything(store)) == CASES + 1


@pytest.mark.parametrize("seed", one_in(4, range(12)))
def test_bytes_overwritten_anywhere_are_no_traceback_and_nothing_false(whole, damaged, opened, seed):
    chance = random.Random(seed)
    content = bytearray(damaged.read_bytes())
    for _ in range(chance.choice([1, 5, 50])):
        at = chance.randrange(len(content))
        piece = chance.randbytes(chance.choice([1, 8, 512]))
        content[at : at + len(piece)] = piece
    damaged.write_bytes(content[: damaged.stat().st_size])
    before = {event.id: event for events in originals(whole).values() for event in events}
    store = opened(damaged, thorough=True)
    for summary in store.cases(open_only=False):
        try:
            events = store.events(summary.id)
        except StoreError:
            continue
        assert all(before[event.id] == event for event in events)
    assert sum(map(len, everything(store).values())) == ALL


@pytest.mark.slow
def test_two_shells_that_open_a_damaged_store_at_once_recover_it_once(whole, damaged):
    cut(damaged, 0.9)
    code = "import sys; from crankpath.shell.store import open_store; print(open_store(sys.argv[1]).said)"
    shells = [
        subprocess.Popen([sys.executable, "-c", code, str(damaged)], stdout=subprocess.PIPE, text=True)
        for _ in range(4)
    ]
    said = [shell.communicate(timeout=60)[0] for shell in shells]
    assert [shell.returncode for shell in shells] == [0, 0, 0, 0]
    assert sum("was damaged" in text for text in said) == 1
    asides = [f.name for f in damaged.parent.glob("*.damaged-?")]
    assert asides == ["cases.sqlite.damaged-1"]


@pytest.mark.parametrize("journal", ["gone", "cut at a line", "whole"])
def test_a_cut_store_tells_whether_its_journal_had_everything(whole, damaged, opened, journal):
    cut(damaged, 0.5)
    file = journal_of(damaged).path
    if journal == "gone":
        file.unlink()
    elif journal == "cut at a line":
        file.write_bytes(b"".join(file.read_bytes().splitlines(keepends=True)[:20]))
    said = opened(damaged).said[0]
    assert said.endswith("what else the damaged file held is missing.") == (journal != "whole")
    assert said.endswith("No entry of the journal is missing.") == (journal == "whole")
