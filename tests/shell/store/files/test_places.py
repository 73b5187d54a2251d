from __future__ import annotations

from pathlib import Path

import pytest

from crankpath.shell.store import StoreError
from crankpath.shell.store.files.places import StorePlace, find_place, journal_of, spare_journals


def test_without_a_word_the_store_is_in_the_users_data_folder(tmp_path):
    assert find_place(None).path.parts[-2:] == ("crankpath", "cases.sqlite")


def test_the_environment_names_a_path_or_an_address(monkeypatch):
    monkeypatch.setenv("CRANKPATH_STORE", "/some where/x.sqlite")
    assert find_place(None) == StorePlace(Path("/some where/x.sqlite"), None)
    monkeypatch.setenv("CRANKPATH_STORE", "postgres://desk@host/db")
    assert find_place(None) == StorePlace(None, "postgresql+psycopg://desk@host/db")


def test_an_argument_goes_before_the_environment(monkeypatch):
    monkeypatch.setenv("CRANKPATH_STORE", "/other")
    assert find_place("/mine").path == Path("/mine")


def test_a_folder_stands_for_the_usual_file_in_it(tmp_path):
    assert find_place(tmp_path).path == tmp_path / "cases.sqlite"


@pytest.mark.parametrize(
    ("text", "path"), [("sqlite:////a/b.db", "/a/b.db"), ("sqlite:///b.db", "b.db"), ("SQLite:////a", "/a")]
)
def test_an_sqlite_address_is_a_path(text, path):
    assert find_place(text).path == Path(path)


@pytest.mark.parametrize("text", ["oracle://x", "http://x", "sqlite://", "postgresql+other://x"])
def test_an_address_of_another_kind_is_refused_with_what_to_give(text):
    with pytest.raises(StoreError, match="Give the path of a file"):
        find_place(text)


def test_the_journal_is_beside_the_store_and_what_must_wait_is_in_the_users_own_folders(tmp_path):
    assert journal_of(tmp_path / "cases.sqlite").path == tmp_path / "cases.sqlite.journal.jsonl"
    folders = [journal.path.parent for journal in spare_journals("x")]
    assert folders == [tmp_path / "state" / "crankpath", tmp_path / "temporary"]


def test_two_stores_do_not_share_what_waits():
    assert spare_journals("a") != spare_journals("b")
