"""The waiting file: takes entries while the store cannot, one JSON line each.

Each writer has a file of its own. A reader takes the whole file in and removes it while
it holds the file's lock; a writer that then finds its file gone begins a new one. So no
line falls between the two.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from pathlib import Path

from crankpath.shell.store.errors import BadEvent, StoreError
from crankpath.shell.store.files.file_lock import held
from crankpath.shell.store.plain import from_plain, to_plain
from crankpath.shell.store.records import Event

SUFFIX = ".waiting.jsonl"
_SAFELY = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)

Places = Sequence[tuple[Path, str]]
"""Folders and the beginning of file names there, best first (see `places.waiting_files`)."""


def keep(event: Event, places: Places, origin: str) -> Path | None:
    """Write an event to the first place that takes it, on disk before this returns.

    Returns the file, or None if no place could be written.
    """
    line = json.dumps({"case": event.case_id, **to_plain(event)}).encode() + b"\n"
    for folder, beginning in places:
        file = folder / f"{beginning}-{origin}{SUFFIX}"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            while not _added(file, line):
                pass
            return file
        except OSError:
            continue
    return None


def _added(file: Path, line: bytes) -> bool:
    """Add a line; False if a reader removed the file between opening and locking it."""
    descriptor = os.open(file, os.O_RDWR | os.O_CREAT | os.O_APPEND | _SAFELY, 0o600)
    try:
        with held(descriptor):
            if not _still_there(file, descriptor):
                return False
            size = os.fstat(descriptor).st_size
            try:
                _write_whole(descriptor, line, size)
            except OSError:
                os.ftruncate(descriptor, size)  # no half line before the next place is tried
                raise
            return True
    finally:
        os.close(descriptor)


def _write_whole(descriptor: int, line: bytes, size: int) -> None:
    """Write and sync; begin on a new line where an earlier writer was cut off."""
    if size:
        os.lseek(descriptor, size - 1, os.SEEK_SET)
        if os.read(descriptor, 1) != b"\n":
            line = b"\n" + line
    while line:
        line = line[os.write(descriptor, line) :]
    os.fsync(descriptor)


def _still_there(file: Path, descriptor: int) -> bool:
    try:
        return os.path.samestat(file.stat(), os.fstat(descriptor))
    except FileNotFoundError:
        return False


def take_in(places: Places, give: Callable[[str, Iterable[Event]], object]) -> tuple[int, list[str]]:
    """Hand every waiting event to `give(case_id, events)` and remove what was given.

    Returns:
        How many events were handed over, and a sentence for each file that could not be
        taken in or held lines that cannot be read (it is then kept under another name).
    """
    taken = 0
    said: list[str] = []
    for file in _files(places):
        try:
            taken += _take_file(file, give, said)
        except (OSError, StoreError) as trouble:
            said.append(f"Entries still wait in {file}: {trouble}")
    return taken, said


def _files(places: Places) -> list[Path]:
    begins = tuple(f"{beginning}-" for _, beginning in places)
    found: list[Path] = []
    for folder in dict.fromkeys(folder for folder, _ in places):
        with suppress(OSError):
            found.extend(f for f in folder.iterdir() if f.name.startswith(begins) and f.name.endswith(SUFFIX))
    return sorted(file for file in found if _ours(file))


def _ours(file: Path) -> bool:
    """Tell whether a file is a plain file of this user; the temporary folder is everybody's."""
    with suppress(OSError):
        state = os.lstat(file)
        mine = not hasattr(os, "getuid") or state.st_uid == os.getuid()
        return mine and not file.is_symlink() and file.is_file()
    return False


def _take_file(file: Path, give: Callable[[str, Iterable[Event]], object], said: list[str]) -> int:
    descriptor = os.open(file, os.O_RDWR | _SAFELY)
    with os.fdopen(descriptor, "rb") as stream, held(descriptor):
        if not _still_there(file, descriptor):
            return 0
        cases, unread = _lines(stream.read())
        for case_id, events in cases.items():
            give(case_id, events)
        if unread:
            aside = file.with_suffix(".unread")
            file.replace(aside)
            said.append(f"{unread} waiting entries could not be read; they are kept in {aside}.")
        else:
            file.unlink()
    return sum(map(len, cases.values()))


def _lines(content: bytes) -> tuple[dict[str, list[Event]], int]:
    """Return case id -> events, and the number of lines that are no events."""
    cases: dict[str, list[Event]] = {}
    unread = 0
    for line in content.split(b"\n"):
        if not line.strip():
            continue
        try:
            data = json.loads(line)
            event = from_plain(data["case"], data)
        except (ValueError, KeyError, TypeError, RecursionError, BadEvent):
            unread += 1
        else:
            cases.setdefault(event.case_id, []).append(event)
    return cases, unread


def remove(places: Places, origin: str) -> None:
    """Remove the waiting files of one writer, whose entries are in the store."""
    for folder, beginning in places:
        with suppress(OSError):
            (folder / f"{beginning}-{origin}{SUFFIX}").unlink()
