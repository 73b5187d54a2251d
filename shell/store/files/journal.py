"""The journal: one line of JSON an entry, added and never changed.

Beside a store's file it holds every entry of the store, synced before the prompt returns, and
the store can be made again from it. Elsewhere a journal keeps entries that wait for a store that
cannot be reached or written.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

from crankpath.shell.store.errors import BadEvent
from crankpath.shell.store.event_data import digest, from_plain, to_plain
from crankpath.shell.store.records import Event

try:
    import fcntl
except ImportError:  # a system without it: two writers at the same millisecond are not kept apart
    fcntl = None  # type: ignore[assignment]

_SAFELY = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
_PATIENCE = 5.0  # seconds to wait for another writer, who needs milliseconds


@dataclass(slots=True)
class JournalContent:
    """What was read of a journal: each entry once, as it was written last; lines that are no entries."""

    events: dict[str, Event] = field(default_factory=dict)
    unread: list[bytes] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Journal:
    """A file of entries.

    like: the file whose rights a new journal gets; without one it is its owner's alone.
    """

    path: Path
    like: Path | None = None

    @contextmanager
    def opened(self) -> Iterator[OpenJournal]:
        """Hold the journal against other writers for the time of the block, made if it is missing.

        Raises:
            OSError: it cannot be opened, belongs to somebody else, or is held for too long.
        """
        self.path.parent.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(self.path, os.O_RDWR | os.O_CREAT | os.O_APPEND | _SAFELY, self._rights())
        try:
            if self.like is None and not _ours(descriptor):  # a folder for temporary files is everybody's
                raise PermissionError(f"{self.path} belongs to another user")
            _hold(descriptor)
            yield OpenJournal(descriptor)
        finally:
            os.close(descriptor)  # lets go of the lock too

    def _rights(self) -> int:
        with suppress(FileNotFoundError):
            return self.like.stat().st_mode & 0o666 if self.like is not None else 0o600
        return 0o600

    def size(self) -> int:
        """Return its bytes, 0 if there is no file."""
        with suppress(FileNotFoundError):
            return self.path.stat().st_size
        return 0


@dataclass(frozen=True, slots=True)
class OpenJournal:
    """A journal that this program holds."""

    descriptor: int

    @property
    def size(self) -> int:
        """Size in bytes."""
        return os.fstat(self.descriptor).st_size

    def add(self, events: Iterable[Event]) -> None:
        """Add entries, on disk before this returns; none of them where there is no room for all."""
        before = self.size
        text = b"".join(map(_line, events))
        os.lseek(self.descriptor, max(before - 1, 0), os.SEEK_SET)
        if os.read(self.descriptor, 1) not in (b"", b"\n"):
            text = b"\n" + text  # a writer was cut off in the middle of a line
        try:
            while text:
                text = text[os.write(self.descriptor, text) :]
            os.fsync(self.descriptor)
        except OSError:
            os.ftruncate(self.descriptor, before)
            raise

    def read(self, start: int = 0) -> JournalContent:
        """Read the entries from a byte on; a line that a writer was cut off in is passed over."""
        with os.fdopen(os.dup(self.descriptor), "rb") as stream:
            stream.seek(start)
            return read_lines(stream)

    def keep_only(self, lines: Iterable[bytes]) -> None:
        """Take out all but these lines, because the entries are in the store."""
        os.ftruncate(self.descriptor, 0)
        os.write(self.descriptor, b"".join(lines))


def read_lines(lines: Iterable[bytes]) -> JournalContent:
    """Read lines as entries; an altered one is told from a true one by its digest."""
    found = JournalContent()
    for line in lines:
        if not line.strip() or not line.endswith(b"\n"):
            continue
        try:
            data = json.loads(line)
            event = replace(from_plain(data["case"], data), sequence=int(data["sequence"]))
            true = data["digest"] == digest(event)
        except (ValueError, KeyError, TypeError, RecursionError, OverflowError, BadEvent):
            true = False
        if true:
            found.events[event.id] = event
        else:
            found.unread.append(line)
    return found


def _line(event: Event) -> bytes:
    data = {"case": event.case_id, **to_plain(event), "digest": digest(event)}
    return json.dumps(data).encode() + b"\n"


def _ours(descriptor: int) -> bool:
    return not hasattr(os, "getuid") or os.fstat(descriptor).st_uid == os.getuid()


def _hold(descriptor: int) -> None:
    """Take the lock, which ends with the process.

    Raises:
        TimeoutError: another program holds it all the time.
    """
    give_up = time.monotonic() + _PATIENCE
    while fcntl is not None:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        except BlockingIOError:
            if time.monotonic() > give_up:
                raise TimeoutError("the journal is held by another program") from None
            time.sleep(0.005)
