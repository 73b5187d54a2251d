"""Sittings for the tests: in this process on an invented circuit, and the program in a pseudo-terminal."""

from __future__ import annotations

import os
import re
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import pytest

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.kb_cache import VARIABLE
from crankpath.shell.session.input.completion import Vocabulary
from crankpath.shell.session.loop import Conversation
from crankpath.shell.session.open_case import OpenCase
from crankpath.shell.session.questions import AskCautions, AskSafe
from crankpath.shell.session.state import CaseState
from crankpath.shell.store import open_store

_PROMPT = re.compile(r"(\[[^]]*\] )?[a-z?/= -]+>", re.IGNORECASE)
_PROMPT_BEGINS = b"\x1b[?2004h"  # bracketed paste on: the editor sends it whenever it begins to read


class Sheet:
    """A terminal that keeps what is printed; the lines typed come from the test."""

    def __init__(self, width: int = 79, rows: int = 0) -> None:
        self.width, self.rows = width, rows
        self.lines: list[str] = []

    def size(self) -> tuple[int, int]:
        return self.width, self.rows

    def show(self, lines: Iterable[str]) -> None:
        self.lines += lines

    def read(self, prompt: str, vocabulary: Callable[[], Vocabulary]) -> str | None:
        raise AssertionError("the test types itself")


class Sitting:
    """A conversation driven line by line."""

    def __init__(self, kb: Knowledge, place: Path, width: int, rows: int) -> None:
        self.seconds = 0
        self.sheet = Sheet(width, rows)
        self.store = open_store(place)
        self.open_case = OpenCase(self.store, kb, self._clock)
        self.open_case.blank()
        self.noted: list[CaseState] = []
        self.talk = Conversation(self.open_case, self.sheet, self.noted.append)

    def _clock(self) -> str:
        self.seconds += 1
        return f"2031-05-04T08:{self.seconds // 60:02d}:{self.seconds % 60:02d}Z"

    def type(self, *lines: str) -> list[str]:
        """Type lines, Enter alone first where a safety stop stands; return what the last one printed."""
        for line in lines:
            while line and isinstance(self.talk.asked, AskSafe | AskCautions):
                self.talk.take("")
            self.sheet.lines.clear()
            self.talk.take(line)
        return list(self.sheet.lines)

    @property
    def prompt(self) -> str:
        return self.talk._asks()

    @property
    def state(self) -> CaseState:
        assert self.open_case.state is not None
        return self.open_case.state


@pytest.fixture
def sit(tmp_path: Path) -> Iterator[Callable[..., Sitting]]:
    """Makes sittings; all on one store."""
    made: list[Sitting] = []

    def make(kb: Knowledge, width: int = 79, rows: int = 0) -> Sitting:
        made.append(Sitting(kb, tmp_path / "cases.sqlite", width, rows))
        return made[-1]

    yield make
    for sitting in made:
        sitting.store.close()


class Window:
    """The real program in a pseudo-terminal with a terminal emulator behind it."""

    def __init__(self, folder: Path, columns: int, rows: int, arguments: tuple[str, ...] = ()) -> None:
        pexpect = pytest.importorskip("pexpect", reason="pexpect comes with the extra 'test'")
        pyte = pytest.importorskip("pyte", reason="pyte comes with the extra 'test'")
        self.screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        environment = {
            "PATH": os.environ["PATH"], "HOME": str(folder), "TERM": "xterm-256color", "LANG": "C.UTF-8",
            "XDG_DATA_HOME": str(folder / "data"), "XDG_CONFIG_HOME": str(folder / "config"),
            "XDG_STATE_HOME": str(folder / "state"), "TMPDIR": str(folder),
            **{name: kept for name, kept in os.environ.items() if name.startswith(("PYTHON", VARIABLE))},
        }  # fmt: skip
        code = "from crankpath.shell.main import main; main()"
        self.child = pexpect.spawn(
            sys.executable, ["-c", code, *arguments], env=environment, dimensions=(rows, columns), timeout=30
        )
        self.child.delaybeforesend = None
        self.raw = b""
        self.wait(1)

    @property
    def prompts(self) -> int:
        """How often the program has begun to read a line."""
        return self.raw.count(_PROMPT_BEGINS)

    def wait(self, prompts: int, seconds: float = 30.0) -> None:
        """Wait until so many prompts have come and the last one stands under the cursor."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self._take(0.02)
            if self.prompts >= prompts and _PROMPT.fullmatch(self.line.strip()):
                return
            if not self.child.isalive():
                raise AssertionError(f"the program ended:\n{self.text}")
        raise AssertionError(f"no prompt within {seconds} s:\n{self.text}")

    def _take(self, seconds: float) -> None:
        import pexpect

        try:
            data = self.child.read_nonblocking(65536, timeout=seconds)
        except (pexpect.TIMEOUT, pexpect.EOF):
            return
        self.raw += data
        self._stream.feed(data)

    def type(self, line: str) -> str:
        """Type a line and Enter; return the screen once the next prompt is there."""
        before = self.prompts
        self.child.send(line + "\r")
        self.wait(before + 1)
        return self.text

    def send(self, keys: str) -> None:
        """Send keys as they are, and take what comes back within a moment."""
        self.child.send(keys)
        for _ in range(5):
            self._take(0.05)

    @property
    def line(self) -> str:
        """The line with the cursor."""
        return str(self.screen.display[self.screen.cursor.y])

    @property
    def prompt(self) -> str:
        """The prompt without its mark."""
        return self.line.strip().removesuffix(">")

    @property
    def text(self) -> str:
        """The whole screen."""
        return "\n".join(line.rstrip() for line in self.screen.display).strip()

    def leave(self) -> int:
        """Ctrl-D, and the exit code."""
        import pexpect

        self.child.send("\x04")
        self.child.expect(pexpect.EOF)
        self.child.close()
        return int(self.child.exitstatus if self.child.exitstatus is not None else -1)


@pytest.fixture
def window(tmp_path: Path) -> Iterator[Callable[..., Window]]:
    """Opens the program in a terminal of a size; several share one store."""
    opened: list[Window] = []

    def make(columns: int = 80, rows: int = 24, *arguments: str, folder: Path = tmp_path) -> Window:
        opened.append(Window(folder, columns, rows, arguments))
        return opened[-1]

    yield make
    for one in opened:
        one.child.close(force=True)
