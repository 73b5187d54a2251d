"""The knowledge that tests share, loaded once, and how often a property is tried.

Property tests try the same examples every time; ``--hypothesis-profile=search`` tries new ones.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import settings
from shipped_base import shipped_knowledge

from crankpath.engine.knowledge import folders
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell import kb_cache
from crankpath.shell.kb_folders import Folders

TEMPORARY = tempfile.gettempdir()  # before any test has a place of its own for it

settings.register_profile("same", deadline=None, derandomize=True, max_examples=40)
settings.register_profile("search", deadline=None, max_examples=1000)
settings.load_profile("same")


def pytest_configure(config: pytest.Config) -> None:
    """Where no compiled code may lie beside the source, it lies in the cache of pytest."""
    if sys.dont_write_bytecode and hasattr(config, "cache"):
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix = str(config.cache.mkdir("compiled"))
        sys.dont_write_bytecode = False


@pytest.fixture(scope="session")
def shipped() -> Knowledge:
    """The shipped knowledge base."""
    return shipped_knowledge()


@pytest.fixture(scope="session", autouse=True)
def _kept_apart(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What tests keep lies in a folder of theirs, which every process of one run shares."""
    base = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        base = base.parent
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(kb_cache.VARIABLE, str(base / "cache"))
        yield


@pytest.fixture(scope="session", autouse=True)
def _read_once() -> Iterator[None]:
    """A file of knowledge that was read before is not read again, whichever folder it is laid over."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(folders, "read_yaml", lru_cache(maxsize=200)(folders.read_yaml))
        yield


@pytest.fixture(scope="session", autouse=True)
def _loaded_once(shipped: Knowledge) -> Iterator[None]:
    """Commands that are given no folder find the shipped knowledge loaded."""
    load, read = Folders.load, Folders.read
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Folders, "load", lambda self: shipped if self == Folders() else load(self))
        patch.setattr(
            Folders, "read", lambda self, seen=None: (shipped, ()) if self == Folders() else read(self, seen)
        )
        yield


@pytest.fixture(scope="session")
def kb(shipped: Knowledge) -> Knowledge:
    """The same by its short name."""
    return shipped


@pytest.fixture(scope="session")
def small() -> Knowledge:
    """An invented circuit of four points: what takes a second on the shipped one takes milliseconds."""
    return load_knowledge(Path(__file__).parent / "data" / "small", shipped=False)


@pytest.fixture
def everyones() -> Iterator[Path]:
    """A folder that others may look into; the one of pytest is closed again by the next run of pytest."""
    with tempfile.TemporaryDirectory(dir=TEMPORARY) as folder:
        path = Path(folder)
        path.chmod(0o755)
        yield path
