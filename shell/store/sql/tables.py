"""The tables as they are in the present version, for queries; `migrations` makes them."""

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
cases = sa.Table(
    "cases",
    metadata,
    sa.Column("number", sa.Integer, primary_key=True),  # in the order of opening
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
)

confirmed = sa.Table(
    "confirmed",
    metadata,
    sa.Column("number", sa.Integer, primary_key=True),  # of the case
    sa.Column("cause", sa.Text, primary_key=True),
    sa.Column("machine", sa.Text, nullable=False),
)

# SQLite only, and only where it has full-text search; rowid is the case's number.
case_search = sa.table("case_search", sa.column("rowid"), sa.column("words"))
