"""What a command is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from crankpath.shell.session.outcome import Outcome, Scene


@dataclass(frozen=True, slots=True)
class Command:
    """A word that can be typed at any prompt.

    Attributes:
        word: its name; others: further spellings of it.
        usage: what follows the word, or "".
        about: what it does, in a line.
        act: the rest of the line in a scene -> what follows; it writes nothing itself.
    """

    word: str
    usage: str
    about: str
    act: Callable[[Scene, str], Outcome | None]
    others: tuple[str, ...] = ()

    @property
    def shown(self) -> str:
        """The word with what follows it."""
        return f"{self.word} {self.usage}".rstrip()
