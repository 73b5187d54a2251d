from __future__ import annotations

import pytest
import sqlalchemy as sa

from crankpath.shell.store import NewerStore
from crankpath.shell.store.sql import tables as t
from crankpath.shell.store.sql.engines import writing
from crankpath.shell.store.sql.search import narrowed
from crankpath.shell.store.sql.version import VERSION


def test_a_store_of_a_newer_version_is_refused_and_left_alone(place, opened):
    store = opened(place)
    with writing(store._engine).begin() as conn:
        t.note(conn, "version", str(VERSION + 1))
    with pytest.raises(NewerStore, match="Install the newer crankpath, or name another store"):
        opened(place)
    with store._engine.connect() as conn:
        assert t.noted(conn, "version") == str(VERSION + 1)


def test_the_tables_made_are_those_the_queries_speak_of(place, opened):
    store = opened(place)
    with store._engine.connect() as conn:
        inspector = sa.inspect(conn)
        for table in t.metadata.tables.values():
            assert [c["name"] for c in inspector.get_columns(table.name)] == [c.name for c in table.columns]
            keys = inspector.get_pk_constraint(table.name)["constrained_columns"]
            assert keys == [c.name for c in table.primary_key.columns]


def test_a_word_is_looked_up_in_the_index_of_a_shared_store(postgres, opened):
    """Otherwise every search would walk all cases."""
    store = opened(postgres)
    case_id = store.create_case("wet loader", at="2031-05-04T12:00:00Z").case_id
    with store._engine.connect() as conn:
        conn.exec_driver_sql("SET enable_seqscan TO off")
        query = narrowed(sa.select(t.cases.c.id), "vector", "load").order_by(None)
        assert conn.scalar(query) == case_id
        compiled = query.compile(store._engine)
        plan = conn.exec_driver_sql(f"EXPLAIN {compiled}", compiled.params).scalars().all()
    assert any("cases_search" in line for line in plan)
