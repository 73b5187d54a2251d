"""Files that a person names: read whole, or refused in one sentence."""

from __future__ import annotations

import sys
from pathlib import Path

from crankpath.engine.errors import CaseError

LARGEST = 2_000_000  # bytes; a case is a few kilobytes


def is_there(path: Path) -> bool:
    """True if it exists; False, not an error, where one may not look or no such name can be."""
    try:
        path.stat()
    except (OSError, ValueError):
        return False
    return True


def read_text(file: Path) -> bytes:
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
        except OSError as slip:
            raise CaseError(f"{file}: it cannot be read ({slip.strerror}).") from None
    if len(data) > LARGEST:
        raise CaseError(f"{file}: larger than {LARGEST // 1_000_000} MB; too large for a file of readings.")
    return data
