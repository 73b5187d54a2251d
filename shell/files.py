"""Files that a person names: read whole, written, or refused in one sentence."""

from __future__ import annotations

import sys
from pathlib import Path

from crankpath.engine.errors import CaseError

LARGEST = 2_000_000  # bytes; a case is a few kilobytes


def named_path(typed: str) -> Path:
    """The path that a person typed, in quotes or without, ``~`` for the home folder.

    Raises:
        CaseError: it begins with ``~`` and a name that is no user here.
    """
    name = typed.strip().strip("'\"").strip()
    try:
        return Path(name).expanduser()
    except RuntimeError:
        raise CaseError(f"{name[:200]}: there is no user of that name. Write the whole path.") from None


def write_page(file: Path, text: str, *, new: bool = False) -> None:
    """Write a text to the file that was named; with `new` only where none is there yet.

    Raises:
        CaseError: it cannot be written there, or is there already.
    """
    shown = f"{str(file)[:200]}"
    try:
        data = text.encode()
        with file.open("xb" if new else "wb") as target:
            target.write(data)
    except FileExistsError:
        raise CaseError(f"{shown} exists already; name another file.") from None
    except (OSError, ValueError) as slip:
        why = getattr(slip, "strerror", None) or "no file can have that name"
        raise CaseError(f"{shown} cannot be written ({why}). Name another file.") from None


def is_there(path: Path) -> bool:
    """True if it exists; False, not an error, where one may not look or no such name can be."""
    try:
        path.stat()
    except (OSError, ValueError):
        return False
    return True


def read_named(file: Path) -> bytes:
    """The bytes of a file, or of standard input for ``-``.

    Raises:
        CaseError: it is missing, a folder, unreadable or far too large for a case.
    """
    if str(file) == "-":
        data = sys.stdin.buffer.read(LARGEST + 1)
    else:
        try:
            with file.open("rb") as handle:
                data = handle.read(LARGEST + 1)
        except FileNotFoundError:
            raise CaseError(f"{file}: there is no such file. Check the name and the folder.") from None
        except IsADirectoryError:
            raise CaseError(f"{file}: this is a folder. Name a file of readings.") from None
        except (OSError, ValueError) as slip:
            why = getattr(slip, "strerror", None) or "no file can have that name"
            raise CaseError(f"{str(file)[:200]}: it cannot be read ({why}).") from None
    if len(data) > LARGEST:
        raise CaseError(f"{file}: larger than {LARGEST // 1_000_000} MB; too large for a file of readings.")
    return data
