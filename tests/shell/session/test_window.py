"""The program in a real terminal: keys, two shells on one case, hostile input, being killed."""

from __future__ import annotations

import os
import random
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from crankpath.shell.kb_cache import VARIABLE
from crankpath.shell.store import open_store

OPENING = ("just clicks", "", "every time", "", "")


def opened(window: Callable[..., Any], *arguments: int) -> Any:
    """A window with a case that is taken, at its first reading."""
    terminal = window(*arguments)
    for line in OPENING:
        terminal.type(line)
    while terminal.prompt == "ready":
        terminal.type("")
    return terminal


def texts(folder: Path) -> list[str]:
    """The notes in the store, in order."""
    store = open_store(folder / "data" / "crankpath" / "cases.sqlite")
    events = [event for case in store.cases() for event in store.events(case.id)]
    store.close()
    return [str(event.body["text"]) for event in events if event.kind == "note"]


def test_control_c_clears_the_line_and_nothing_is_entered(window: Callable[..., Any], tmp_path: Path) -> None:
    terminal = opened(window)
    before = terminal.prompt
    terminal.send("note not this\x03")
    assert terminal.line.strip() == f"{before}>"
    terminal.type("note but this")
    assert texts(tmp_path) == ["but this"]


def test_control_d_leaves_and_the_next_start_goes_on_where_it_was(window: Callable[..., Any]) -> None:
    terminal = opened(window)
    asked = terminal.prompt
    assert terminal.leave() == 0
    again = window()
    assert "The last case: just clicks" in again.text
    again.type("")
    assert again.prompt == asked


@pytest.mark.slow
def test_on_a_phone_what_is_gone_on_with_is_told_in_whole_words(window: Callable[..., Any]) -> None:
    terminal = window(40, 20)
    for line in ("cranks slowly on cold mornings", "y", "every time", "", ""):
        terminal.type(line)
    assert terminal.leave() == 0
    again = window(40, 20)
    again.type("")
    assert "-- cranks slowly on cold mornings: 2\n   readings and repairs so far." in again.text


@pytest.mark.slow
def test_tab_completes_a_reading_and_a_command(window: Callable[..., Any]) -> None:
    terminal = opened(window)
    terminal.send("battery re\t")
    assert "battery rest" in terminal.line
    terminal.send("\x03expo\t")
    assert "export" in terminal.line


@pytest.mark.slow
def test_two_shells_on_one_case_see_each_others_entries(
    window: Callable[..., Any], tmp_path: Path
) -> None:
    first = opened(window)
    second = window()
    second.type("")
    first.type("note from the first")
    seen = second.type("note from the second")
    assert "Another shell: note: from the first" in seen
    assert "Another shell: note: from the second" in first.type("list")
    assert texts(tmp_path) == ["from the first", "from the second"]


@pytest.mark.slow
@pytest.mark.parametrize(
    "line",
    ["note " + "x" * 5000, "note \x0f\x0e", "note 🔋 öl Ω", "🔋🔋", "99999999999999999999 V", "-" * 300,
     "?" * 40, "back 0"],
    ids=["long", "control", "emoji", "emoji alone", "huge", "dashes", "marks", "nothing"],
)
def test_whatever_is_typed_the_prompt_comes_back(window: Callable[..., Any], line: str) -> None:
    terminal = opened(window)
    asked = terminal.prompt
    terminal.type(line)
    assert terminal.prompt in (asked, "y/n")


@pytest.mark.slow
def test_no_control_character_of_a_note_reaches_the_terminal(
    window: Callable[..., Any], tmp_path: Path
) -> None:
    terminal = opened(window)
    store = open_store(tmp_path / "data" / "crankpath" / "cases.sqlite")
    case = store.cases()[0]
    note = {"text": "red \x1b[31m bell \x07 \x9b2J"}
    store.append(case.id, "note", note, at="2031-05-04T08:00:00Z", by="field")
    store.close()
    terminal.raw = b""
    terminal.child.send("list\r")
    terminal.send("")
    assert b"red" in terminal.raw
    assert b"\x1b[31m" not in terminal.raw
    assert b"\x07" not in terminal.raw
    assert "\x9b".encode() not in terminal.raw


def killed_once(window: Callable[..., Any], folder: Path, rng: random.Random) -> None:
    """Type up to thirty entries, kill the program at a random moment, look at what is there."""
    folder.mkdir()
    terminal = window(80, 24, folder=folder)
    for line in OPENING:
        terminal.type(line)
    returned = rng.randrange(0, 30)
    for number in range(returned):
        terminal.type(f"note entry {number}")
    terminal.child.send(f"note entry {returned}\r")
    time.sleep(rng.uniform(0, 0.05))
    os.kill(terminal.child.pid, signal.SIGKILL)
    terminal.child.wait()
    terminal.child.close(force=True)
    kept = texts(folder)
    assert kept[:returned] == [f"entry {number}" for number in range(returned)]
    assert kept[returned:] in ([], [f"entry {returned}"])
    again = window(80, 50, folder=folder)
    again.type("")
    listed = re.findall(r"note: entry (\d+)", again.type("list"))
    assert listed == [str(number) for number in range(len(kept))]
    again.child.close(force=True)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(15))
def test_killed_at_any_moment_every_entry_whose_prompt_had_returned_is_there(
    window: Callable[..., Any], tmp_path: Path, seed: int
) -> None:
    killed_once(window, tmp_path / "shop", random.Random(seed))


@pytest.mark.long
def test_killed_two_hundred_times_nothing_is_lost(window: Callable[..., Any], tmp_path: Path) -> None:
    for seed in range(200):
        killed_once(window, tmp_path / f"shop {seed}", random.Random(1000 + seed))


def piped(folder: Path, script: str, *arguments: str, **more: str) -> subprocess.CompletedProcess[str]:
    """The program fed by a pipe."""
    environment = {
        "PATH": os.environ["PATH"], "HOME": str(folder), "XDG_DATA_HOME": str(folder), "LANG": "C.UTF-8",
        "XDG_CONFIG_HOME": str(folder / "config"), **more,
        **{name: kept for name, kept in os.environ.items() if name.startswith(("PYTHON", VARIABLE))},
    }  # fmt: skip
    command = [sys.executable, "-c", "from crankpath.shell.main import main; main()", *arguments]
    return subprocess.run(
        command, input=script, env=environment, capture_output=True, text=True, check=False, timeout=60
    )


def test_a_script_of_answers_works_through_a_pipe(tmp_path: Path) -> None:
    done = piped(tmp_path, "\n".join((*OPENING, "list")) + "\n")
    assert done.returncode == 0, done.stderr
    assert "operator says> just clicks" in done.stdout
    assert '1  complaint: "just clicks"' in done.stdout
    assert "\x1b" not in done.stdout


@pytest.mark.slow
def test_an_export_is_read_by_diagnose_and_taken_in_again(tmp_path: Path) -> None:
    piped(tmp_path, "\n".join((*OPENING, "note rained", "neg leg 310 mV, battery crank 9.7")) + "\n")
    written = piped(tmp_path, "", "export", "1", "-")
    assert "value: \"310 mV\"" in written.stdout
    assert piped(tmp_path, written.stdout, "diagnose", "-").returncode == 0
    assert "imported" in piped(tmp_path, written.stdout, "import", "-").stdout
    again = piped(tmp_path, "", "export", "1", "-").stdout
    assert again.count("reading:") == written.stdout.count("reading:") > 0


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_completion_script_of_each_shell_is_printed(tmp_path: Path, shell: str) -> None:
    assert "_CRANKPATH_COMPLETE" in piped(tmp_path, "", "completion", shell).stdout
