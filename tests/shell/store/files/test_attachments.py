"""Photos and files kept beside the store."""

from __future__ import annotations

from base64 import b64decode
from pathlib import Path

import pytest

from crankpath.engine.errors import CaseError
from crankpath.shell.store.files import attachments
from crankpath.shell.store.files.attachments import Attachments

THUMBNAIL = b"\xff\xd8\xff\xdb small \xff\xd9"


def jpeg(thumbnail: bytes = THUMBNAIL, size: int = 100_000) -> bytes:
    """A photo with a picture in its first segment, as a camera writes it."""
    exif = b"Exif\0\0 offsets " + thumbnail
    segment = b"\xff\xe1" + (len(exif) + 2).to_bytes(2) + exif
    return b"\xff\xd8" + segment + b"\xff\xda" + b"x" * size


@pytest.fixture
def kept(tmp_path: Path) -> Attachments:
    return Attachments(str(tmp_path / "cases.sqlite"))


def test_the_same_content_is_kept_once_under_its_digest(tmp_path: Path, kept: Attachments) -> None:
    for name in ("lug.jpg", "again.jpg"):
        (tmp_path / name).write_bytes(jpeg())
    one, two = (kept.keep(tmp_path / name) for name in ("lug.jpg", "again.jpg"))
    assert (one.file, two.file, one.digest) == ("lug.jpg", "again.jpg", two.digest)
    assert one.size == len(jpeg())
    assert [file.read_bytes() for file in kept.folder.rglob("*") if file.is_file()] == [jpeg()]
    assert kept.folder.name == "cases.sqlite.files"


def test_a_photo_shows_the_small_picture_that_it_carries(tmp_path: Path, kept: Attachments) -> None:
    (tmp_path / "lug.jpg").write_bytes(jpeg())
    shown = kept.picture(kept.keep(tmp_path / "lug.jpg").digest)
    kind, data = shown.split(",")
    assert kind == "data:image/jpeg;base64"
    assert b64decode(data) == THUMBNAIL


@pytest.mark.parametrize(
    "data",
    [b"", b"text", b"\x89PNG\r\n\x1a\n" + b"x" * 90_000, jpeg(b""), b"\xff\xd8\xff\xe1" + b"\xff" * 90_000],
)
def test_what_has_no_small_picture_shows_none(tmp_path: Path, kept: Attachments, data: bytes) -> None:
    (tmp_path / "a").write_bytes(data)
    assert kept.picture(kept.keep(tmp_path / "a").digest) == ""


@pytest.mark.parametrize("digest", ["", "../../etc/passwd", "0" * 64, "x" * 64])
def test_what_is_not_kept_shows_none(kept: Attachments, digest: str) -> None:
    assert kept.picture(digest) == ""


def test_what_cannot_be_kept_is_said(
    tmp_path: Path, kept: Attachments, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(CaseError, match="cannot be read"):
        kept.keep(tmp_path / "none.jpg")
    with pytest.raises(CaseError, match="cannot be read"):
        kept.keep(tmp_path)
    (tmp_path / "long.mov").write_bytes(b"x" * 11)
    monkeypatch.setattr(attachments, "LARGEST", 10)
    with pytest.raises(CaseError, match="larger than"):
        kept.keep(tmp_path / "long.mov")
    kept.folder.write_text("in the way")
    monkeypatch.setattr(attachments, "LARGEST", 100)
    with pytest.raises(CaseError, match="cannot be kept there"):
        kept.keep(tmp_path / "long.mov")
