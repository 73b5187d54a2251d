"""Stores for the tests: an SQLite file always, PostgreSQL where one can be reached."""

from __future__ import annotations

import os
import tempfile
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from crankpath.shell.store import Store, open_store

_USUAL = tuple(
    f"postgresql://{user}@{host}/{database}"
    for host in ("127.0.0.1:5432", "")
    for user in ("root", "postgres")
    for database in ("test", "root", "postgres")
)


@pytest.fixture(autouse=True)
def _own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep every default folder inside the test's own."""
    for variable, name in (("XDG_DATA_HOME", "data"), ("XDG_STATE_HOME", "state"), ("TMPDIR", "temporary")):
        (tmp_path / name).mkdir()
        monkeypatch.setenv(variable, str(tmp_path / name))
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    monkeypatch.delenv("CRANKPATH_STORE", raising=False)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A store's path with a space and a letter outside ASCII."""
    return tmp_path / "Werkstatt süd" / "cases.sqlite"


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


@pytest.fixture(params=["sqlite", "postgres"])
def place(request: pytest.FixtureRequest, path: Path) -> str:
    """The place of an empty store, of either kind."""
    return str(path) if request.param == "sqlite" else request.getfixturevalue("postgres")


@pytest.fixture
def opened() -> Iterator[Callable[..., Store]]:
    """`open_store` whose stores are closed at the end of the test."""
    stores: list[Store] = []

    def opening(*args: object, **options: object) -> Store:
        stores.append(open_store(*args, **options))  # type: ignore[arg-type]
        return stores[-1]

    yield opening
    for store in stores:
        store.close()


@pytest.fixture
def store(place: str, opened: Callable[..., Store]) -> Store:
    """An empty store of either kind."""
    return opened(place)
