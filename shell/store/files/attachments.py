"""Photos and files of a case: kept once each beside the store, under the SHA-256 of their content."""

from __future__ import annotations

import os
from base64 import b64encode
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Final

from crankpath.engine.errors import CaseError
from crankpath.shell.files import is_there
from crankpath.shell.store.files.places import default_path

LARGEST: Final = 50_000_000  # bytes of one file
_BLOCK: Final = 1 << 20
_SMALL: Final = 60_000  # bytes of a picture that is its own thumbnail
_JPEG: Final = b"\xff\xd8\xff"
_PNG: Final = b"\x89PNG\r\n\x1a\n"


@dataclass(frozen=True, slots=True)
class StoredFile:
    """A file that is kept: its name, its size in bytes, the SHA-256 of its content."""

    file: str
    size: int
    digest: str


class Attachments:
    """The files beside a store.

    Args:
        place: the store's file, or the address of its database; the files of a database stand in the user's
            data folder, on this machine only.
    """

    def __init__(self, place: str) -> None:
        own = Path(f"{place}.files") if "://" not in place else default_path().with_name("shared.files")
        self.folder = own

    def keep(self, source: Path) -> StoredFile:
        """Keep a copy of a file; it is on disk when this returns.

        Raises:
            CaseError: it cannot be read, is too large, or the copy cannot be written.
        """
        shown = str(source)[:200]
        try:
            with source.open("rb") as stream:
                data = stream.read(LARGEST + 1)
        except (OSError, ValueError) as slip:
            why = getattr(slip, "strerror", None) or "no file can have that name"
            raise CaseError(f"{shown} cannot be read ({why}). Check the name and the folder.") from None
        if len(data) > LARGEST:
            most = f"{LARGEST // 1_000_000} MB"
            raise CaseError(f"{shown} is larger than {most}. Make it smaller, or note where it is.")
        digest = sha256(data).hexdigest()
        try:
            self._write(digest, data)
        except OSError as slip:
            raise CaseError(f"{self.folder}: the file cannot be kept there ({slip.strerror}).") from None
        return StoredFile(source.name, len(data), digest)

    def _write(self, digest: str, data: bytes) -> None:
        target = self.path(digest)
        if is_there(target) and target.stat().st_size == len(data):
            return
        target.parent.mkdir(parents=True, exist_ok=True)
        fresh = target.with_name(f"{digest}.{os.getpid()}")
        with fresh.open("wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        fresh.replace(target)

    def path(self, digest: str) -> Path:
        """Where the content with a digest is kept."""
        return self.folder / digest[:2] / digest

    def picture(self, digest: str) -> str:
        """A small picture of a photo for a page, as a data address; "" where there is none to be had.

        A camera writes a thumbnail into its JPEG files (Exif, JEITA CP-3451); it is taken from there.
        """
        if len(digest) != 64 or not all(c in "0123456789abcdef" for c in digest):
            return ""
        try:
            data = self.path(digest).read_bytes()
        except OSError:
            return ""
        for mark, kind in ((_JPEG, "jpeg"), (_PNG, "png")):
            if data.startswith(mark):
                small = data if len(data) <= _SMALL else _thumbnail(data) if kind == "jpeg" else b""
                return f"data:image/{kind};base64,{b64encode(small).decode()}" if small else ""
        return ""


def _thumbnail(photo: bytes) -> bytes:
    """The picture within the first segments of a JPEG file, or nothing."""
    at = 2
    while photo[at : at + 1] == b"\xff" and photo[at + 1] != 0xDA:  # up to the picture itself
        length = int.from_bytes(photo[at + 2 : at + 4])
        segment = photo[at + 4 : at + 2 + length]
        if photo[at + 1] == 0xE1 and segment.startswith(b"Exif"):
            first, last = segment.find(_JPEG), segment.rfind(b"\xff\xd9")
            return segment[first : last + 2] if 0 <= first < last else b""
        at += 2 + max(length, 2)
    return b""
