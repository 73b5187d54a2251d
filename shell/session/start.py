"""Starting: the first prompt at once, knowledge and store brought in behind it."""

from __future__ import annotations

import json
import os
import sys
import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from crankpath.shell.exits import EXIT_FINE
from crankpath.shell.session.input.completion import Vocabulary
from crankpath.shell.session.terminal import Editor, Terminal, terminal
from crankpath.shell.text.clean import one_line

if TYPE_CHECKING:
    from crankpath.shell.kb_folders import Folders
    from crankpath.shell.session.open_case import OpenCase
    from crankpath.shell.session.state import CaseState
    from crankpath.shell.store.records import CaseSummary

_LISTED: Final = 9  # open cases that are shown at the start


def now() -> str:
    """The time, UTC, ISO 8601."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def hold(folders: Folders) -> int:
    """Hold a session in this process's terminal; return the exit code.

    Raises:
        KnowledgeError: the knowledge base cannot be used. StoreError: the store cannot.
    """
    screen = terminal(lambda: _data_folder() / "history")
    last = Bookmark(_bookmark_file())
    behind = BackgroundTask(lambda: _open(folders), screen)
    try:
        return _hold(screen, last, behind)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # nothing reads any more
        return EXIT_FINE


def _hold(screen: Terminal, last: Bookmark, behind: BackgroundTask) -> int:
    """The first prompt needs neither knowledge nor store; everything after it has both."""
    known, listed = last.read()
    width, _ = screen.size()
    screen.show(_welcome(known, listed, width))
    line = screen.read("case> " if known else "operator says> ", Vocabulary)
    if line is None:
        return EXIT_FINE  # nothing was entered
    open_case = behind.wait()
    from crankpath.shell.session.loop import Conversation
    from crankpath.shell.store.errors import StoreError
    from crankpath.shell.text.columns import wrapped

    resumed = _resume(open_case, known)

    def remember(state: CaseState | None) -> None:
        """Note the case that is open, and what the desk waits for, for the next start."""
        with suppress(StoreError):
            last.write(state, open_case.store.cases(limit=_LISTED))

    conversation = Conversation(open_case, screen, remember, tuple(case.id for case in listed))
    for said in open_case.said:
        screen.show(wrapped(said, width, "! ", "  "))
    open_case.said.clear()
    go_on = True
    if resumed and not line.strip():
        screen.show(_where(open_case.state, width))
        conversation.show_question()
    elif known and not resumed:
        conversation.show_question()
    else:
        go_on = conversation.take(line)
    if go_on:
        conversation.run()
    remember(open_case.state)
    open_case.store.close()
    return EXIT_FINE


def _resume(open_case: OpenCase, known: dict[str, str] | None) -> bool:
    """Open the case that was open last; a blank one if there is none."""
    from crankpath.shell.store.errors import StoreError, UnknownCase

    if known:
        try:
            open_case.open(known["case"])
            return True
        except UnknownCase:
            open_case.said.append("The last case is not in this store; cases lists those that are.")
        except StoreError as slip:
            open_case.said.append(str(slip))
    open_case.blank()
    return False


def _where(state: CaseState | None, width: int) -> list[str]:
    from crankpath.shell.text.columns import wrapped

    if state is None:
        return []
    said = f"{one_line(state.name, 60)}: {len(state.case.entries)} readings and repairs so far."
    return ["", *wrapped(said, width, "-- ", "   ")]


def _welcome(known: dict[str, str] | None, listed: Sequence[CaseSummary], width: int) -> list[str]:
    from crankpath.shell.text.columns import wrapped

    lines = wrapped("crankpath. ? shows what can be typed, Ctrl-D leaves; every entry is saved.", width)
    last = known["case"] if known else ""
    if any(case.id != last for case in listed):
        from crankpath.shell.desk.table import desk_table
        from crankpath.shell.store.errors import StoreError

        with suppress(StoreError, ValueError, TypeError, AttributeError):  # the file may hold anything
            lines += [*desk_table(listed, now(), width, last), "   @2 goes on with case 2."]
    if known is None:
        return [*lines, *wrapped("What does the operator say it does?", width, ">> "),
                *wrapped("In the operator's words; Enter if nobody knows.", width, "   ")]  # fmt: skip
    name = ", ".join(filter(None, (known.get("name"), known.get("machine"))))
    return [
        *lines,
        *wrapped(f"The last case: {one_line(name, 80)}", width, ">> ", ">> "),
        *wrapped("Enter goes on with it, new begins another, cases lists them.", width, "   "),
    ]


def _data_folder() -> Path:
    import platformdirs

    return Path(platformdirs.user_data_dir("crankpath", appauthor=False))


def _bookmark_file() -> Path:
    """Beside the store where it is a file, in the user's data folder where it is a database."""
    from crankpath.shell.store.files.places import find_place

    path = find_place(None).path
    return path.with_name(path.name + ".last") if path is not None else _data_folder() / "shared.last"


class Bookmark:
    """Which case was open last and which others wait, in a small file: it is read before the store can be."""

    def __init__(self, file: Path) -> None:
        self._file = file

    def read(self) -> tuple[dict[str, str] | None, tuple[CaseSummary, ...]]:
        """Return case, name and machine of the last, or None; and the open cases."""
        from crankpath.shell.store.records import CaseSummary

        last: dict[str, str] | None = None
        listed: tuple[CaseSummary, ...] = ()
        with suppress(OSError, ValueError, TypeError, AttributeError):
            data = json.loads(self._file.read_text("utf-8"))
            named = {key: data.get(key) for key in ("case", "name", "machine")}
            if named["case"] and all(isinstance(value, str) for value in named.values()):
                last = named
            listed = tuple(CaseSummary(**{**case, "causes": ()}) for case in data.get("open") or ())
        return last, listed

    def write(self, state: CaseState | None, listed: Sequence[CaseSummary]) -> None:
        """Note an open case, not one that is closed or not begun, and the list. A slip here loses nothing."""
        with suppress(OSError):
            noted: dict[str, Any] = {"open": [asdict(case) for case in listed]}
            if state is not None and state.id and not state.closed:
                noted |= {"case": state.id, "name": state.name, "machine": state.machine}
            fresh = self._file.with_name(f"{self._file.name}.{os.getpid()}")
            fresh.write_text(json.dumps(noted), "utf-8")
            fresh.replace(self._file)


class BackgroundTask:
    """Something slow made in a thread while the first prompt waits."""

    def __init__(self, make: Callable[[], OpenCase], screen: Terminal) -> None:
        self._make, self._screen = make, screen
        self._made: OpenCase | None = None
        self._slip: BaseException | None = None
        self._thread = threading.Thread(target=self._work, daemon=True)
        self._thread.start()

    def _work(self) -> None:
        try:
            self._made = self._make()
        except BaseException as slip:  # noqa: BLE001  it is raised where the result is asked for
            self._slip = slip
            if isinstance(self._screen, Editor):
                self._screen.leave(slip)

    def wait(self) -> OpenCase:
        """Return what was made; raise what went wrong."""
        self._thread.join()
        if self._slip is not None:
            raise self._slip
        assert self._made is not None
        return self._made


def _open(folders: Folders) -> OpenCase:
    """Knowledge, store and everything that the next prompts need."""
    from crankpath.shell.reader.pieces.lexicon import lexicons

    kb = folders.load()
    lexicons(kb)  # gathered once, behind the prompt
    import crankpath.shell.session.loop  # noqa: F401  what the loop needs is imported here, behind the prompt
    from crankpath.shell.session.open_case import OpenCase
    from crankpath.shell.store import open_store

    return OpenCase(open_store(), kb, now)
