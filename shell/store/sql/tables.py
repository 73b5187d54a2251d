"""The tables of a store."""

from __future__ import annotations

import sqlalchemy as sa

metadata = sa.MetaData()

meta = sa.Table(
    "meta",
    metadata,
    sa.Column("key", sa.Text, primary_key=True),
    sa.Column("value", sa.Text, nullable=False),
)

events = sa.Table(
    "events",
    metadata,
    sa.Column("id", sa.Text, primary_key=True),
    sa.Column("case_id", sa.Text, nullable=False),
    sa.Column("sequence", sa.Integer, nullable=False),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("body", sa.Text, nullable=False),
    sa.Column("at", sa.Text, nullable=False),
    sa.Column("by", sa.Text, nullable=False),
    sa.Column("origin", sa.Text, nullable=False),
    sa.Column("stamp", sa.Text, nullable=False),
    sa.Column("digest", sa.Text, nullable=False),  # over the row, to find silent damage
    sa.UniqueConstraint("case_id", "sequence"),
)

# Derived from the events at every write, so that lists and searches read one row a case.
_NUMBER = sa.BigInteger().with_variant(sa.Integer, "sqlite")  # SQLite counts up INTEGER keys only
_WORDS = sa.func.string_to_array(sa.literal_column("search"), sa.literal_column("' '"))

cases = sa.Table(
    "cases",
    metadata,
    sa.Column("number", _NUMBER, sa.Identity(), primary_key=True),  # in the order of opening
    sa.Column("id", sa.Text, nullable=False, unique=True),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("machine", sa.Text, nullable=False),
    sa.Column("complaint", sa.Text, nullable=False),
    sa.Column("state", sa.Text, nullable=False),
    sa.Column("is_open", sa.Integer, nullable=False),
    sa.Column("opened_at", sa.Text, nullable=False),
    sa.Column("updated_at", sa.Text, nullable=False),
    sa.Column("waits_for", sa.Text, nullable=False),
    sa.Column("causes", sa.Text, nullable=False),
    sa.Column("entries", sa.Integer, nullable=False),
    sa.Column("search", sa.Text, nullable=False),
    *(sa.Column(name, sa.Text, nullable=False) for name in ("asked_at", "promised", "due", "holder")),
    sa.Index("cases_recent", "updated_at"),
    sa.Index("cases_recent_open", "is_open", "updated_at"),
    sa.Index("cases_search", sa.func.array_to_tsvector(_WORDS), postgresql_using="gin").ddl_if("postgresql"),
)

# SQLite only, and only where it has full-text search; rowid is the case's number.
case_search = sa.table("case_search", sa.column("rowid"), sa.column("words"))


def noted(conn: sa.Connection, key: str) -> str | None:
    """Return what the store notes of itself under a key, or None."""
    text: str | None = conn.scalar(sa.select(meta.c.value).where(meta.c.key == key))
    return text


def note(conn: sa.Connection, key: str, value: str | None) -> None:
    """Note something under a key in place of what stood there; None takes it out."""
    conn.execute(sa.delete(meta).where(meta.c.key == key))
    if value is not None:
        conn.execute(sa.insert(meta).values(key=key, value=value))
