"""Two advisors on one store, each in a terminal of his own: SQLite, and PostgreSQL where one is reached."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

OPENING = ("just clicks", "y", "every time", "bus 12: 24 V", "")


@pytest.fixture(params=["sqlite", "postgres"])
def shared(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The place of an empty store that several can open."""
    return str(tmp_path / "desk.sqlite") if request.param == "sqlite" else request.getfixturevalue("postgres")


def opened(window: Callable[..., Any], shared: str, folder: Path) -> Any:
    folder.mkdir()
    return window(80, 60, "--store", shared, folder=folder)


@pytest.mark.slow
def test_two_advisors_on_one_case_see_each_others_entries_at_the_next_prompt(
    window: Callable[..., Any], shared: str, tmp_path: Path
) -> None:
    first = opened(window, shared, tmp_path / "first")
    for line in OPENING:
        first.type(line)
    second = opened(window, shared, tmp_path / "second")
    second.type("cases")
    second.type("@bus")
    second.type("promise call back at 5")
    assert "Another shell: promised: call back at 5" in first.type("cases")
    first.type("reply neg leg 310 mV")
    first.type("")
    seen = second.type("list")
    assert "Another shell: negative leg drop: 310 mV" in seen
    assert "negative leg drop 310 mV" in second.type("handover")
    assert (first.leave(), second.leave()) == (0, 0)


@pytest.mark.slow
def test_both_work_at_once_and_nothing_is_lost(
    window: Callable[..., Any], shared: str, tmp_path: Path
) -> None:
    first = opened(window, shared, tmp_path / "first")
    for line in OPENING:
        first.type(line)
    second = opened(window, shared, tmp_path / "second")
    second.type("@bus")
    for number in range(5):
        for terminal in (first, second):
            terminal.child.send(f"note {number}\r")
    for terminal in (first, second):
        terminal.wait(terminal.prompts + 1)
    for _ in range(3):
        first.send("")
        second.send("")
    for terminal in (first, second):
        terminal.type("note last")
    for terminal in (first, second):
        terminal.type("cases")
        assert terminal.type("list").count("  note: ") == 12


@pytest.mark.slow
def test_a_reply_of_several_lines_is_pasted_whole(window: Callable[..., Any], tmp_path: Path) -> None:
    terminal = opened(window, str(tmp_path / "desk.sqlite"), tmp_path / "one")
    for line in OPENING:
        terminal.type(line)
    terminal.send("\x1b[200~pos leg .35\nneg leg 240mV\nrained all night\x1b[201~")
    shown = terminal.type("")
    assert "The reply from the field technician" in shown
    assert terminal.prompt.endswith("Enter = take")
    terminal.type("")
    listed = terminal.type("list")
    for said in ("positive leg drop: .35", "negative leg drop: 240 mV", "note: rained all night"):
        assert said in listed


@pytest.mark.slow
@pytest.mark.parametrize("columns", [80, 40])
def test_the_desk_fits_its_terminal(window: Callable[..., Any], tmp_path: Path, columns: int) -> None:
    place, folder = str(tmp_path / "desk.sqlite"), tmp_path / "one"
    folder.mkdir()
    terminal = window(columns, 24, "--store", place, folder=folder)
    for line in OPENING:
        terminal.type(line)
    for line in (
        "promise call back at five and bring the drawing",
        "cases",
        "handover",
        "send",
        "reply pos .35",
        "n",
    ):
        shown = terminal.type(line)
        assert "\\" not in shown
    terminal.type("new")
    assert "bus 12" in terminal.type("cases")
