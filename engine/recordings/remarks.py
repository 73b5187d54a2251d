"""What was odd in a recording: each kind told once, with how often and on which lines."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

_SHOWN: Final = 5


class Remarks:
    """Collects what is odd. However long the recording, each kind keeps a few line numbers only."""

    def __init__(self) -> None:
        self._lines: dict[str, list[int]] = {}
        self._counts: dict[str, int] = {}

    def add(self, said: str, lines: Iterable[int] = ()) -> None:
        """Note one kind of oddity and the lines on which it stands."""
        kept = self._lines.setdefault(said, [])
        for line in lines:
            self._counts[said] = self._counts.get(said, 0) + 1
            if len(kept) < _SHOWN:
                kept.append(line)

    def sentences(self) -> tuple[str, ...]:
        """Every kind as a sentence."""
        return tuple(self._sentence(said) for said in self._lines)

    def _sentence(self, said: str) -> str:
        lines, count = self._lines[said], self._counts.get(said, 0)
        if not count:
            return said
        more = f" and {count - len(lines)} more" if count > len(lines) else ""
        return f"{said} (line{'s' if count > 1 else ''} {', '.join(map(str, lines))}{more})."
