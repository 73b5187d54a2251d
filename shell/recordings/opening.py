"""The text of a recording, from a file or as it comes on standard input."""

from __future__ import annotations

import codecs
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO, Final

from crankpath.engine.errors import RecordingError
from crankpath.engine.recordings.layout import HEAD_LINES, FileLayout, layout_of

_PIECE: Final = 1 << 16  # bytes; a piece that holds no crank is read faster
_LONGEST: Final = 1 << 20  # characters; a recording has lines before that
_LIVE_HEAD: Final = 5  # lines of a live recording that must have come before its layout is looked at


class RecordingText:
    """A recording that is open: its layout, and its text in pieces.

    Args:
        file: its name; "-" is standard input, read as it comes.

    Raises:
        RecordingError: it cannot be read, or its layout cannot be made out.
    """

    def __init__(self, file: Path) -> None:
        self.file, self.live = file, str(file) == "-"
        self._source = self._opened()
        self._decoder: codecs.IncrementalDecoder | None = None
        self._head = self._begun()
        self.layout: FileLayout = layout_of(self._head.splitlines())

    def _opened(self) -> BinaryIO:
        if self.live:
            return sys.stdin.buffer
        try:
            return self.file.open("rb")
        except OSError as slip:
            raise RecordingError(f"{self.file}: the recording cannot be read ({slip.strerror}).") from None

    def pieces(self) -> Iterator[str]:
        """The whole text, from the beginning, once."""
        yield self._head
        while text := self._next():
            yield text
        if not self.live:
            self._source.close()

    def _begun(self) -> str:
        head, wanted = "", _LIVE_HEAD if self.live else HEAD_LINES
        while head.count("\n") < wanted and len(head) < _LONGEST and (text := self._next()):
            head += text
        return head

    def _next(self) -> str:
        try:
            # read1 gives what has come, without waiting for more
            data = self._source.read1(_PIECE) if hasattr(self._source, "read1") else self._source.read(_PIECE)
        except OSError as slip:
            raise RecordingError(f"{self.file}: the recording cannot be read ({slip.strerror}).") from None
        if self._decoder is None:
            utf_16 = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
            self._decoder = codecs.getincrementaldecoder("utf-16" if utf_16 else "utf-8-sig")("replace")
        return self._decoder.decode(data, final=not data).replace("\r\n", "\n").replace("\r", "\n")
