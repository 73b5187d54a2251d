"""Whether a store's file is still the one that was opened."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path


class FileWatch:
    """Notices that the file at a path is another one, or gone; without a path, nothing.

    A database keeps writing to the file it has open, even when that file was renamed or
    deleted; what is written then would not be found again.
    """

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._seen = self._identity()

    def _identity(self) -> tuple[int, int] | None:
        if self._path is None:
            return None
        state = self._path.stat()
        return state.st_dev, state.st_ino

    def replaced(self) -> bool:
        """Tell, once for each change, whether another file has taken the place.

        Raises:
            FileNotFoundError: there is no file any more.
        """
        now = self._identity()
        before, self._seen = self._seen, now
        return now != before

    def suspect(self) -> None:
        """Leave the mark that has the file checked from end to end when it is opened next."""
        if self._path is not None:
            with suppress(OSError):
                fingerprint_of(self._path).touch()


def fingerprint_of(path: Path) -> Path:
    """Return the file that marks a store as suspect."""
    return path.with_name(path.name + ".suspect")
