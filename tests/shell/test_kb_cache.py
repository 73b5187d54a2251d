"""Knowledge that is kept as built: the same as read, only while nothing changed, and only if it is ours."""

from __future__ import annotations

import hashlib
import os
import pickle
import shutil
from pathlib import Path

import pytest

from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.kb_cache import VARIABLE, cache_path, keep, kept
from crankpath.shell.kb_folders import Folders

SMALL = Path(__file__).parent.parent / "data" / "small"


@pytest.fixture
def base(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(VARIABLE, str(tmp_path / "cache"))
    shutil.copytree(SMALL, tmp_path / "base")
    return tmp_path / "base"


@pytest.fixture
def place(base: Path) -> Path:
    found = cache_path([base])
    assert found is not None
    keep(found, load_knowledge(base, shipped=False))
    return found


def test_what_is_kept_is_what_was_read(base: Path, place: Path) -> None:
    assert kept(place) == load_knowledge(base, shipped=False)


def test_a_second_load_reads_no_file(base: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = Folders(base=str(base)).load()
    monkeypatch.setattr("crankpath.engine.knowledge.loading.read_layers", None)
    assert Folders(base=str(base)).load() == first


def test_a_changed_or_new_file_is_another_place(base: Path, place: Path) -> None:
    (base / "more.yaml").write_text("tools: {}\n", "utf-8")
    with_more = cache_path([base])
    (base / "more.yaml").write_text("tools: {}\n#\n", "utf-8")
    assert len({place, with_more, cache_path([base])}) == 3


@pytest.mark.parametrize("mode", [0o620, 0o602])
def test_what_others_may_write_is_not_taken(place: Path, mode: int) -> None:
    place.chmod(mode)
    assert kept(place) is None


def test_a_folder_that_others_may_write_is_not_taken(place: Path) -> None:
    place.parent.chmod(0o777)
    assert kept(place) is None


def test_what_was_cut_or_changed_is_not_taken(place: Path) -> None:
    whole = place.read_bytes()
    for harmed in (b"", whole[:20], whole[:-1], whole[:-1] + bytes([whole[-1] ^ 1])):
        place.write_bytes(harmed)
        assert kept(place) is None


class _Acts:
    def __init__(self, file: Path) -> None:
        self.file = file

    def __reduce__(self) -> tuple[object, ...]:
        return os.mkdir, (str(self.file),)


def test_nothing_but_records_is_made_from_it(place: Path, tmp_path: Path) -> None:
    data = pickle.dumps(_Acts(tmp_path / "made")) * 2
    place.write_bytes(hashlib.blake2b(data).digest() + data)
    assert kept(place) is None
    assert not (tmp_path / "made").exists()


def test_only_the_latest_few_are_kept(small: Knowledge, tmp_path: Path) -> None:
    for number in range(6):
        keep(tmp_path / f"knowledge-{number}", small)
        os.utime(tmp_path / f"knowledge-{number}", (number, number))
    assert sorted(file.name for file in tmp_path.iterdir()) == [f"knowledge-{n}" for n in range(2, 6)]


def test_where_nothing_can_be_kept_the_files_are_read(
    base: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv(VARIABLE, str(tmp_path / "file" / "below"))
    assert Folders(base=str(base)).load() == load_knowledge(base, shipped=False)
