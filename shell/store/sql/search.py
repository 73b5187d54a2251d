"""Finding cases by the beginnings of words, with what each database has for it.

SQLite's full-text index is kept by hand at every write; a store made where there was
none, or written where there was none, gets it anew when it is opened where there is.
"""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa

from crankpath.shell.store.sql import tables as t
from crankpath.shell.store.summary import search_words

FULL_TEXT, LIKE, VECTOR = "full text", "like", "vector"
_STALE = "search_stale"


def prepare(conn: sa.Connection) -> str:
    """Make the index if the database can have one; return how to search."""
    if conn.dialect.name == "postgresql":
        return VECTOR
    has_table = sa.inspect(conn).has_table("case_search")
    stale = t.noted(conn, _STALE)
    if not _module_there(conn):
        if has_table and stale is None:
            t.note(conn, _STALE, "1")
        return LIKE
    if not has_table or stale is not None:
        conn.exec_driver_sql("DROP TABLE IF EXISTS case_search")
        conn.exec_driver_sql("CREATE VIRTUAL TABLE case_search USING fts5(words, tokenize='unicode61')")
        conn.exec_driver_sql("INSERT INTO case_search (rowid, words) SELECT number, search FROM cases")
        t.note(conn, _STALE, None)
    return FULL_TEXT


def needs_preparing(conn: sa.Connection) -> bool:
    """Tell whether `prepare` has something to write."""
    if conn.dialect.name == "postgresql":
        return False
    has_table = sa.inspect(conn).has_table("case_search")
    stale = t.noted(conn, _STALE) is not None
    return (not has_table or stale) if _module_there(conn) else (has_table and not stale)


def _module_there(conn: sa.Connection) -> bool:
    listed = conn.exec_driver_sql("SELECT 1 FROM pragma_module_list WHERE name = 'fts5'")
    return listed.first() is not None


def put(conn: sa.Connection, how: str, number: int, text: str, *, fresh: bool) -> None:
    """Keep the index in step with one case's words."""
    if how == FULL_TEXT:
        if not fresh:
            conn.execute(sa.delete(t.case_search).where(t.case_search.c.rowid == number))
        conn.execute(sa.insert(t.case_search).values(rowid=number, words=text))


def narrowed(query: sa.Select[Any], how: str, typed: str) -> sa.Select[Any]:
    """Return a query of the cases table, narrowed to what was typed, the last opened first.

    A text without any letter or digit narrows nothing; then the last worked on come first.
    """
    wanted = search_words(typed)
    if not wanted:
        return query.order_by(t.cases.c.updated_at.desc())
    if how == FULL_TEXT:
        # joined and sorted by the index's own number, so that it stops at the limit
        text = " ".join(f'"{word}"*' for word in wanted)
        both = t.case_search.join(t.cases, t.cases.c.number == t.case_search.c.rowid)
        match = sa.text("case_search MATCH :typed").bindparams(typed=text)
        return query.select_from(both).where(match).order_by(t.case_search.c.rowid.desc())
    return query.where(_matching(how, wanted)).order_by(t.cases.c.number.desc())


def _matching(how: str, wanted: list[str]) -> sa.ColumnElement[bool]:
    """Return the condition that each word begins one of the case's words."""
    if how == VECTOR:
        from sqlalchemy.dialects.postgresql import TSQUERY  # 40 ms that a file has no use for

        text = " & ".join(f"'{word}':*" for word in wanted)  # letters and digits only
        listed = sa.func.string_to_array(t.cases.c.search, sa.literal_column("' '"))
        return sa.func.array_to_tsvector(listed).op("@@")(sa.cast(text, TSQUERY))
    padded = sa.literal(" ") + t.cases.c.search
    return sa.and_(*(padded.like(f"% {word}%") for word in wanted))
