from __future__ import annotations

import sqlite3

import pytest

from crankpath.shell.store.sql import search

NOON = "2031-05-04T12:00:00Z"


@pytest.mark.parametrize("typed", ["load", "load wet", "oader", "%", "_", "loader'"])
def test_search_without_a_full_text_index_finds_the_same(path, opened, monkeypatch, typed):
    found = []
    for name, there in (("with", True), ("without", False)):
        with monkeypatch.context() as patch:
            if not there:
                patch.setattr(search, "_module_there", lambda conn: False)
            store = opened(path.with_name(name + ".sqlite"))
            for text in ("loader wet", "dumper wet", "loader dry"):
                store.create_case(text, at=NOON)
            found.append([c.name for c in store.cases(search=typed)])
    assert found[0] == found[1]
    assert found[0] or typed == "oader"


def test_an_index_that_missed_entries_is_made_anew(path, opened, monkeypatch):
    store = opened(path)
    store.create_case("loader", at=NOON)
    store.close()
    with monkeypatch.context() as patch:
        patch.setattr(search, "_module_there", lambda conn: False)
        without = opened(path)
        without.create_case("dumper", at=NOON)
        assert [c.name for c in without.cases(search="dump")] == ["dumper"]
        without.close()
    again = opened(path)
    assert [c.name for c in again.cases(search="dump")] == ["dumper"]
    with sqlite3.connect(path) as connection:
        assert connection.execute("SELECT count(*) FROM meta WHERE key = 'search_stale'").fetchone() == (0,)


def test_a_word_longer_than_an_index_can_hold_is_found(store):
    store.create_case("x" * 5000, at=NOON)
    assert len(store.cases(search="x" * 5000)) == 1
