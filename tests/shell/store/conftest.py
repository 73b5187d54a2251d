"""Stores for the tests: an SQLite file always, PostgreSQL where one can be reached."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from crankpath.shell.store import open_store

if TYPE_CHECKING:
    from crankpath.shell.store import Store


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
