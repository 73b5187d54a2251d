"""A knowledge base sent as a .zip: its YAML files, read without unpacking anything to disk."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import zipfile

_BROKEN: Final = (OSError, RuntimeError, NotImplementedError, ValueError, EOFError)


def is_archive(path: Path) -> bool:
    """True for an existing file that is named as a zip."""
    try:
        return path.suffix.lower() == ".zip" and path.is_file()
    except OSError:
        return False  # no name a file can have


def unpacked(path: Path, largest: int, most_files: int) -> Iterator[tuple[str, bytes | str]]:
    """Name and bytes of the YAML files in a zip, sorted; a text instead of bytes says what is wrong.

    One folder around everything is passed over, as zips of a folder have it. Never more than
    `largest` bytes of a file are unpacked, whatever the zip says of its sizes.
    """
    import zipfile  # most folders are no zip, and it takes long to import

    try:
        with zipfile.ZipFile(path) as archive:
            names = _yaml_files(archive)
            if len(names) > most_files:
                yield "", f"the zip holds {len(names)} .yaml files; at most {most_files} are read"
                return
            for name, inside in sorted(names.items()):
                yield name, _content(archive, inside, largest)
    except (zipfile.BadZipFile, *_BROKEN):
        yield "", "the zip cannot be read; make it again"


def _content(archive: zipfile.ZipFile, name: str, largest: int) -> bytes | str:
    import zipfile

    try:
        with archive.open(name) as stream:
            content = stream.read(largest + 1)
    except (zipfile.BadZipFile, *_BROKEN):
        return "this file of the zip cannot be read; make the zip again"
    if len(content) > largest:
        return f"the file is larger than {largest / 1e6:.0f} MB; check that it is the right one"
    return content


def _yaml_files(archive: zipfile.ZipFile) -> dict[str, str]:
    """Name relative to the knowledge base -> name in the zip."""
    names = [name for name in archive.namelist() if PurePosixPath(name).suffix in (".yaml", ".yml")]
    seen = [name for name in names if not any(part[0] in "._" for part in PurePosixPath(name).parts)]
    around = {name.split("/")[0] for name in seen if "/" in name}
    wrapped = len(around) == 1 and all("/" in name for name in seen) and not around & {"cases"}
    return {name.split("/", 1)[1] if wrapped else name: name for name in seen}
