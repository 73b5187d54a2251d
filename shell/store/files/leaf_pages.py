"""Rows read straight from the pages of an SQLite file, whatever state its trees are in.

A damaged file can often not be queried at all, although most of its pages are whole.
Every row lies in some leaf page of a table, which says by itself where its cells are;
so each page of the file and of its write-ahead log is looked at alone. The caller tells
true rows from chance by their digest.

Source of the layout: "Database File Format" in SQLite's documentation, sections 1.3
(header), 1.5 and 1.6 (pages, cells, overflow), 2.1 (record format) and 4.1 (log).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

_LEAF = 0x0D
_LOG_HEADER, _FRAME_HEADER = 32, 24
_MOST_PAGES = 100_000  # of one overflowing row; a ring of damaged links ends here
Value = int | float | str | bytes | None


@dataclass(frozen=True, slots=True)
class _Pages:
    """The pages of a file, and the newer images of some in its log."""

    size: int
    content: bytes
    logged: dict[int, bytes]

    def overflow(self, number: int) -> bytes:
        """Return a page by number (from 1), the newest image; empty if there is none."""
        start = (number - 1) * self.size
        return self.logged.get(number) or (self.content[start : start + self.size] if number > 0 else b"")


def rows(file: Path, log: Path, columns: range) -> Iterator[tuple[Value, ...]]:
    """Yield every row found with a number of columns in `columns`; the same may come twice.

    Raises:
        OSError: the file cannot be read.
    """
    content = file.read_bytes()
    frames = log.read_bytes() if log.exists() else b""
    size = _page_size(content, frames)
    images = list(_logged(frames, size))
    pages = _Pages(size, content, dict(images))
    for start in range(0, len(content), size):
        yield from _leaf_rows(pages, content[start : start + size], 100 if start == 0 else 0, columns)
    for number, image in images:
        yield from _leaf_rows(pages, image, 100 if number == 1 else 0, columns)


def _page_size(content: bytes, frames: bytes) -> int:
    """Return the page size the file or its log states, or the usual one."""
    stated = int.from_bytes(content[16:18], "big")
    for size in (65536 if stated == 1 else stated, int.from_bytes(frames[8:12], "big")):
        if 512 <= size <= 65536 and size & (size - 1) == 0:
            return size
    return 4096


def _logged(frames: bytes, size: int) -> Iterator[tuple[int, bytes]]:
    """Yield (page number, image) of the frames of a log, oldest first."""
    step = _FRAME_HEADER + size
    for start in range(_LOG_HEADER, len(frames) - step + 1, step):
        yield int.from_bytes(frames[start : start + 4], "big"), frames[start + _FRAME_HEADER : start + step]


def _leaf_rows(pages: _Pages, page: bytes, at: int, columns: range) -> Iterator[tuple[Value, ...]]:
    """Yield the rows of a page if it is a leaf of a table."""
    if len(page) <= at + 8 or page[at] != _LEAF:
        return
    cells = int.from_bytes(page[at + 3 : at + 5], "big")
    for n in range(min(cells, (pages.size - at - 8) // 2)):
        pointer = at + 8 + 2 * n
        try:
            row = _record(_payload(pages, page, int.from_bytes(page[pointer : pointer + 2], "big")), columns)
        except (IndexError, ValueError):
            continue
        if row is not None:
            yield row


def _payload(pages: _Pages, page: bytes, at: int) -> bytes:
    """Return the payload of the cell at an offset, its overflow pages joined."""
    length, at = _varint(page, at)
    _rowid, at = _varint(page, at)
    most = pages.size - 35
    if length <= most:
        return page[at : at + length]
    least = (pages.size - 12) * 32 // 255 - 23
    local = least + (length - least) % (pages.size - 4)
    local = local if local <= most else least
    parts, missing = [page[at : at + local]], length - local
    link = int.from_bytes(page[at + local : at + local + 4], "big")
    for _ in range(min(_MOST_PAGES, missing // (pages.size - 4) + 1)):
        image = pages.overflow(link)
        parts.append(image[4 : 4 + missing])
        missing -= len(parts[-1])
        link = int.from_bytes(image[:4], "big")
        if missing <= 0 or not image:
            break
    return b"".join(parts)


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """Return (value, offset behind it) of a number of one to nine bytes."""
    value = 0
    for n in range(8):
        byte = data[at + n]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at + n + 1
    return value << 8 | data[at + 8], at + 9


def _record(payload: bytes, columns: range) -> tuple[Value, ...] | None:
    """Return the values of a record, or None if it has another number of columns."""
    header, at = _varint(payload, 0)
    types: list[int] = []
    while at < header and len(types) <= columns.stop:
        kind, at = _varint(payload, at)
        types.append(kind)
    if at != header or len(types) not in columns:
        return None
    values: list[Value] = []
    for kind in types:
        value, at = _value(payload, at, kind)
        values.append(value)
    return tuple(values)


_WIDTHS = (0, 1, 2, 3, 4, 6, 8, 8, 0, 0)


def _value(payload: bytes, at: int, kind: int) -> tuple[Value, int]:
    """Return (value, offset behind it) of one column."""
    width = _WIDTHS[kind] if kind < 10 else (kind - 12) // 2
    raw = payload[at : at + width]
    if len(raw) < width or kind in (10, 11):
        raise ValueError("not a record")
    if kind >= 12:
        return (raw if kind % 2 == 0 else raw.decode("utf-8")), at + width
    if kind in (0, 7):
        return None, at + width  # no column of ours holds a fraction
    return (kind - 8 if kind >= 8 else int.from_bytes(raw, "big", signed=True)), at + width
