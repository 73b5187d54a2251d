"""Where lines come from and go to: a terminal with an editor, or plain pipes."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, TextIO

from crankpath.shell.session.input.completion import Vocabulary, suggestions
from crankpath.shell.text.clean import clean, painted

if TYPE_CHECKING:
    from prompt_toolkit.completion import CompleteEvent, Completion
    from prompt_toolkit.document import Document

NARROWEST, WIDEST = 40, 100


class Terminal(Protocol):
    """What a session talks to."""

    def size(self) -> tuple[int, int]:
        """Return (columns to use, rows; 0 rows where nothing scrolls away)."""

    def show(self, lines: Iterable[str]) -> None:
        """Print lines; control characters in them do not reach the screen."""

    def read(self, prompt: str, vocabulary: Callable[[], Vocabulary]) -> str | None:
        """Return a line as typed, or None when the person leaves."""


class Piped:
    """Plain input and output: a script of answers. Answers are echoed, so that the output reads whole."""

    def __init__(self, source: TextIO, target: TextIO, width: int = 80) -> None:
        self._source, self._target, self._width = source, target, width

    def size(self) -> tuple[int, int]:
        """Columns as set at the start, rows without end."""
        return self._width, 0

    def show(self, lines: Iterable[str]) -> None:
        """Print lines."""
        for line in lines:
            self._target.write(clean(line) + "\n")
        self._target.flush()

    def read(self, prompt: str, vocabulary: Callable[[], Vocabulary]) -> str | None:
        """Return the next line of the script, or None at its end."""
        self._target.write(prompt)
        self._target.flush()  # a program at the other end may wait for the question
        line = self._source.readline()
        self._target.write(f"{clean(line.rstrip())}\n")
        self._target.flush()
        return line.rstrip("\r\n") if line else None


class Editor:
    """A terminal with history, completion by Tab, Ctrl-C clearing the line and Ctrl-D leaving."""

    def __init__(self, history: Path, colours: bool) -> None:
        from prompt_toolkit import PromptSession
        from prompt_toolkit.history import FileHistory, History, InMemoryHistory
        from prompt_toolkit.shortcuts import CompleteStyle

        kept: History = InMemoryHistory()
        try:
            history.parent.mkdir(parents=True, exist_ok=True)
            with os.fdopen(os.open(history, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o600)):
                kept = FileHistory(str(history))
        except OSError:
            pass  # a folder that cannot be written must not keep anybody from working
        self._colours = colours
        # else a terminal that cannot tell the cursor's place gets a warning printed into the case
        os.environ.setdefault("PROMPT_TOOLKIT_NO_CPR", "1")
        self._session: PromptSession[str] = PromptSession(
            history=kept,
            key_bindings=_keys(),
            complete_style=CompleteStyle.READLINE_LIKE,
            complete_while_typing=False,
            reserve_space_for_menu=0,
            enable_open_in_editor=False,
        )

    def size(self) -> tuple[int, int]:
        """The terminal's size now, within what screens are made for."""
        columns, rows = shutil.get_terminal_size((80, 24))
        return max(NARROWEST, min(columns, WIDEST)) - 1, rows

    def show(self, lines: Iterable[str]) -> None:
        """Print lines, bold or yellow where their first mark says so and colours are wanted."""
        for line in lines:
            safe = clean(line)
            sys.stdout.write((painted(safe) if self._colours else safe) + "\n")
        sys.stdout.flush()

    def read(self, prompt: str, vocabulary: Callable[[], Vocabulary]) -> str | None:
        """Return the line, or None after Ctrl-D."""
        while True:
            try:
                return self._session.prompt(prompt, completer=_completer(vocabulary))
            except EOFError:
                return None
            except KeyboardInterrupt:
                continue

    def leave(self, trouble: BaseException) -> None:
        """End a prompt that is waiting, from another thread, with an error."""
        app = self._session.app
        loop = app.loop
        if app.is_running and loop is not None:
            loop.call_soon_threadsafe(lambda: app.is_running and app.exit(exception=trouble))


def _keys() -> Any:
    from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent

    keys = KeyBindings()

    @keys.add("c-c")
    def _clear(event: KeyPressEvent) -> None:
        event.current_buffer.reset()

    return keys


def _completer(vocabulary: Callable[[], Vocabulary]) -> Any:
    from prompt_toolkit.completion import Completer, Completion

    class Words(Completer):
        """Suggestions of `completion.suggestions`."""

        def get_completions(self, document: Document, complete_event: CompleteEvent) -> Iterator[Completion]:
            for text, length in suggestions(document.text_before_cursor, vocabulary()):
                yield Completion(text, -length)

    return Words()


def terminal(history: Callable[[], Path]) -> Terminal:
    """The terminal of this process: an editor if both ends are a terminal, else pipes."""
    for stream in (sys.stdout, sys.stdin):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    if sys.stdin.isatty() and sys.stdout.isatty():
        return Editor(history(), not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb")
    columns = os.environ.get("COLUMNS", "")
    width = int(columns) if columns.isdecimal() else 80
    return Piped(sys.stdin, sys.stdout, max(NARROWEST, min(width, WIDEST)))
