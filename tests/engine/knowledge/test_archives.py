"""A knowledge base in a zip."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from crankpath.engine.knowledge.archives import is_archive, unpacked
from crankpath.engine.knowledge.folders import case_texts
from crankpath.engine.knowledge.loading import load_knowledge, read_knowledge

TINY = Path(__file__).parents[1] / "data" / "tiny" / "base.yaml"


def zipped(path: Path, **files: bytes) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return path


@pytest.mark.parametrize("around", ["", "our-shop/"])
def test_a_zip_is_a_folder_with_or_without_a_folder_around_everything(tmp_path: Path, around: str) -> None:
    files = {f"{around}base.yaml": TINY.read_bytes(), f"{around}cases/a.yaml": b"expect: {}\n"}
    path = zipped(tmp_path / "shop.zip", **files)
    tiny = load_knowledge(TINY.parent, shipped=False)
    assert load_knowledge(path, shipped=False).faults.keys() == tiny.faults.keys()
    assert [name for name, _ in case_texts(path)] == ["cases/a.yaml"]


def test_slips_name_the_file_in_the_zip(tmp_path: Path) -> None:
    path = zipped(tmp_path / "shop.zip", **{"shop/a.yaml": b"faulst: {}\n"})
    _, problems = read_knowledge(path)
    assert str(problems[0]).startswith(f"{path}/a.yaml:1:1: ")


def test_hidden_and_foreign_files_are_passed_over(tmp_path: Path) -> None:
    files = {"__MACOSX/a.yaml": b"", ".x.yaml": b"", "readme.md": b"", "b.yaml": b"b: 1"}
    path = zipped(tmp_path / "s.zip", **files)
    assert list(unpacked(path, 100, 10)) == [("b.yaml", b"b: 1")]


def test_a_file_too_large_a_zip_too_full_and_one_that_is_broken_are_told(tmp_path: Path) -> None:
    large = zipped(tmp_path / "l.zip", **{"a.yaml": b"x" * 101})
    assert "larger than" in str(next(unpacked(large, 100, 10))[1])
    full = zipped(tmp_path / "f.zip", **{f"{n}.yaml": b"" for n in range(11)})
    assert "at most 10" in str(next(unpacked(full, 100, 10))[1])
    (tmp_path / "b.zip").write_bytes(b"PK\3\4 nonsense")
    assert "cannot be read" in str(next(unpacked(tmp_path / "b.zip", 100, 10))[1])
    assert not is_archive(tmp_path)
