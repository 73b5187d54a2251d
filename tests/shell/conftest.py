"""A PostgreSQL where one can be reached."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator

import pytest

_USUAL = tuple(
    f"postgresql://{user}@{host}/{database}"
    for host in ("127.0.0.1:5432", "")
    for user in ("root", "postgres")
    for database in ("test", "root", "postgres")
)


@pytest.fixture(scope="session")
def postgres_server() -> str:
    """The address of a PostgreSQL that can be reached, or a skip that says how to give one."""
    psycopg = pytest.importorskip("psycopg", reason="psycopg is not installed")
    given = os.environ.get("CRANKPATH_TEST_POSTGRES")
    for address in (given,) if given else _USUAL:
        try:
            psycopg.connect(address, connect_timeout=2).close()
        except psycopg.Error:
            continue
        return address
    pytest.skip(
        "no PostgreSQL reached; name one with CRANKPATH_TEST_POSTGRES=postgresql://user@host/database"
    )


@pytest.fixture
def postgres(postgres_server: str) -> Iterator[str]:
    """The address of an empty schema of its own, dropped afterwards."""
    import psycopg

    schema = f"crankpath_test_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(postgres_server, autocommit=True) as connection:
        connection.execute(f'CREATE SCHEMA "{schema}"')
    yield f"{postgres_server}?options=-csearch_path%3D{schema}"
    with psycopg.connect(postgres_server, autocommit=True) as connection:
        connection.execute(f'DROP SCHEMA "{schema}" CASCADE')
