from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest
import sqlalchemy as sa

from crankpath.shell.store import NewerStore, StoreError, open_store
from crankpath.shell.store.files.places import find_place
from crankpath.shell.store.sql import tables as t
from crankpath.shell.store.sql.engines import postgres_engine, sqlite_engine, writing
from crankpath.shell.store.sql.migrations import STEPS, VERSION, migrate

OLD = json.loads((Path(__file__).parent / "store_version_1.json").read_text(encoding="utf-8"))
PLAIN = ("id", "case_id", "sequence", "kind", "body", "at", "by", "origin")


def engine_on(place):
    where = find_place(place)
    if where.path is None:
        return postgres_engine(where.url, 5)
    where.path.parent.mkdir(parents=True, exist_ok=True)
    return sqlite_engine(where.path, 5)


@pytest.fixture
def old(place):
    """The place of a store as version 1 left it."""
    engine = engine_on(place)
    with writing(engine).begin() as conn:
        assert migrate(conn, up_to=1) == (0, 1)
        for table in ("cases", "events"):
            for row in OLD[table]:
                names = ", ".join(f'"{name}"' for name in row)
                values = ", ".join(f":{name}" for name in row)
                conn.execute(sa.text(f"INSERT INTO {table} ({names}) VALUES ({values})"), row)
    engine.dispose()
    return place


def test_a_store_of_version_1_is_brought_up_and_keeps_every_entry(old, opened):
    store = opened(old)
    assert store.said[0].startswith("The store was brought from version 1 to version 2")
    found = [e for c in store.cases(open_only=False) for e in store.events(c.id)]
    shapes = {(e.id, e.case_id, e.sequence, e.kind, json.dumps(e.body), e.at, e.by, e.origin) for e in found}
    assert shapes == {tuple(row[name] for name in PLAIN) for row in OLD["events"]}
    assert opened(old).said == ()


def test_entries_of_version_1_keep_their_order_though_a_clock_went_back(old, opened):
    store = opened(old)
    case_id = OLD["cases"][0]["id"]
    assert [e.sequence for e in store.events(case_id)] == [1, 2, 3, 4]
    late = store.append(case_id, "note", {"text": "after"}, at="2031-01-01T00:00:00Z")
    assert store.events(case_id)[-1] == late


def test_lists_searches_and_causes_of_version_1_are_there_after_migration(old, opened):
    store = opened(old)
    assert [c.name for c in store.cases(search="raining")] == ["dumper 3"]
    assert store.confirmed_causes() == {"ground_strap": 1}
    new = store.create_case("new", at="2031-01-01T00:00:00Z")
    assert store.case(new.case_id).name == "new"


def test_the_store_as_it_was_is_kept_beside_a_migrated_file(tmp_path, opened):
    path = tmp_path / "cases.sqlite"
    engine = sqlite_engine(path, 5)
    with writing(engine).begin() as conn:
        migrate(conn, up_to=1)
    engine.dispose()
    opened(path)
    with sqlite3.connect(f"{path}.version-1") as connection:
        assert connection.execute("SELECT value FROM meta WHERE key = 'version'").fetchone() == ("1",)


def test_a_migration_that_fails_leaves_the_store_as_it_was(old, monkeypatch):
    def fails(conn):
        STEPS[1](conn)
        raise sa.exc.OperationalError("x", {}, Exception("power"))

    monkeypatch.setattr("crankpath.shell.store.sql.migrations.STEPS", (STEPS[0], fails))
    with pytest.raises(StoreError):
        open_store(old)
    monkeypatch.undo()
    engine = engine_on(old)
    with engine.connect() as conn:
        assert {c["name"] for c in sa.inspect(conn).get_columns("events")} == set(PLAIN)
    engine.dispose()
    store = open_store(old)
    assert len(store.cases(open_only=False)) == 2
    store.close()


def test_a_store_of_a_newer_version_is_refused_and_left_alone(place, opened):
    opened(place).close()
    engine = engine_on(place)
    with writing(engine).begin() as conn:
        conn.execute(sa.update(t.meta).where(t.meta.c.key == "version").values(value=str(VERSION + 1)))
    with pytest.raises(NewerStore, match="Install the newer crankpath, or name another store"):
        opened(place)
    with engine.connect() as conn:
        assert conn.scalar(sa.select(t.meta.c.value).where(t.meta.c.key == "version")) == str(VERSION + 1)
    engine.dispose()


def test_the_tables_made_by_the_steps_are_those_the_queries_speak_of(place, opened):
    store = opened(place)
    with store._engine.connect() as conn:
        inspector = sa.inspect(conn)
        for table in t.metadata.tables.values():
            assert [c["name"] for c in inspector.get_columns(table.name)] == [c.name for c in table.columns]
            keys = inspector.get_pk_constraint(table.name)["constrained_columns"]
            assert keys == [c.name for c in table.primary_key.columns]
