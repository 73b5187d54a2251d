"""A session given any lines: it answers each, and what it said it kept is in the store."""

from __future__ import annotations

import io
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.session import commands
from crankpath.shell.session.book import Book
from crankpath.shell.session.loop import Conversation
from crankpath.shell.session.terminal import Piped
from crankpath.shell.store import open_store

Within = Callable[[float], AbstractContextManager[None]]
LINES_A_SITTING = 12


def lines(kb: Knowledge) -> st.SearchStrategy[str]:
    """Lines that a person may type, lines nearly so, and any text."""
    words = [
        *kb.complaints, *kb.measurements, *(m.short for m in kb.measurements.values()), *kb.repairs,
        *kb.faults, *(band for m in kb.measurements.values() for band in m.bands), *commands_known(),
        "y", "n", "yes", "no", "done", "", "?", "1", "2", "0", "12", "24", "12 V", "0.35", "820 mV", "310",
        "OL", "cannot", "skip", "back", "what if", "why", "new", "3 of 10", "x: 12 V, heavy", "-1", "99999",
    ]  # fmt: skip
    word = st.sampled_from(words)
    return (
        word
        | st.lists(word, min_size=1, max_size=4).map(" ".join)
        | st.text(max_size=40).map(lambda text: text.replace("\n", " ").replace("\r", " "))
    )


def commands_known() -> list[str]:
    """Names of the commands but those that write files or wait for another program."""
    folder = Path(commands.__file__).parent
    return sorted({file.stem for file in folder.glob("[a-z]*.py")} - {"files", "table", "command", "entries"})


@pytest.fixture(autouse=True)
def _own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for variable in ("XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "HOME", "TMPDIR"):
        monkeypatch.setenv(variable, str(tmp_path))
    monkeypatch.chdir(tmp_path)


def test_any_lines_are_answered_and_nothing_kept_is_lost(
    kb: Knowledge, plenty: settings, within: Within, tmp_path: Path
) -> None:
    store = open_store(tmp_path / "Werkstatt süd" / "cases.sqlite")
    ticks = iter(range(10**9))
    # the clock goes back every minute
    book = Book(store, kb, lambda: f"2031-05-04T08:00:{next(ticks) % 60:02d}Z")

    @settings(plenty, max_examples=max(plenty.max_examples // LINES_A_SITTING, 25))
    @given(st.lists(lines(kb), min_size=1, max_size=2 * LINES_A_SITTING), st.integers(40, 100))
    def check(typed: list[str], width: int) -> None:
        book.blank()
        shown = io.StringIO()
        talk = Conversation(book, Piped(io.StringIO(""), shown, width), lambda _: None)
        for line in typed:
            with within(30.0):
                go_on = talk.take(line)
            if not go_on:
                break
        state = book.state
        assert state is not None
        if state.id:
            assert store.events(state.id) == state.events or {e.id for e in state.events} <= {
                event.id for event in store.events(state.id)
            }
        assert "\x1b" not in shown.getvalue()

    check()
    store.close()
