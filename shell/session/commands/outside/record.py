"""``record``: a recording of a logger or oscilloscope; its cranks are taken as readings with one key."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from crankpath.engine.errors import CaseError
from crankpath.shell.files import named_path
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.input.answers import NO, YES
from crankpath.shell.session.outcome import Outcome, Scene, refused
from crankpath.shell.settings import SettingsError
from crankpath.shell.text.columns import wrapped

if TYPE_CHECKING:
    from crankpath.shell.recordings.crank_selection import CrankSelection


def _act(scene: Scene, rest: str) -> Outcome:
    if not rest:
        return refused("? Name the file after the word: record start.csv 2=battery crank; 3=crank current")
    if scene.state.closed:
        return refused("? This case is closed: back opens it again.")
    name, told = _file_and_columns(rest)
    return _read(scene, name, told)


def _file_and_columns(rest: str) -> tuple[str, str]:
    """The file's name, in quotes where it has blanks, and what is said of its columns."""
    if rest[0] in "'\"" and rest.count(rest[0]) > 1:
        name, _, told = rest[1:].partition(rest[0])
        return name, told.strip()
    name, _, told = rest.partition(" ")
    return name, told.strip()


def _read(scene: Scene, name: str, told: str) -> Outcome:
    # brought in when a recording is read, which most sittings never do
    from crankpath.shell.recordings.opening import RecordingText
    from crankpath.shell.recordings.reading import (
        as_last_time,
        columns_asked,
        read_recording,
        told_apart,
        told_of,
    )  # fmt: skip

    case, width = scene.state.case, scene.width
    try:
        text = RecordingText(named_path(name))
        said = as_last_time(text.layout, told_of(tuple(told_apart(told))))
        if not said.columns:
            asked = columns_asked(text.layout, case)
            lines = tuple(line for each in asked for line in wrapped(each, width, ">> ", "   "))
            return Outcome(lines=lines, pending=_Columns(name), again=False)
        found = read_recording(text, said, case, case.equipment)
    except (CaseError, SettingsError) as slip:
        return refused(*wrapped(str(slip), width, "? ", "  "))
    if not found.cranks:
        return refused(*found.lines(width), "? No crank was found; nothing was taken.")
    return _shown(scene, found, tuple(found.lines(width)))


def _shown(scene: Scene, found: CrankSelection, above: tuple[str, ...]) -> Outcome:
    from crankpath.shell.recordings.crank_selection import KEYS

    keys = tuple(wrapped(found.trouble or KEYS, scene.width, "   "))
    return Outcome(lines=(*above, *keys), pending=_Cranks(found), again=False)


@dataclass(frozen=True, slots=True)
class _Columns:
    """Waits for being told which column is which reading."""

    name: str
    prompt: str = "columns"

    def take(self, scene: Scene, line: str) -> Outcome:
        """Read the recording so; an empty line or no leaves it."""
        if line.strip().lower() in NO | {""}:
            return Outcome(lines=("-- Stopped: nothing from the recording was taken.",))
        outcome = _read(scene, self.name, line.strip())
        return outcome if outcome.pending else replace(outcome, pending=self)


@dataclass(frozen=True, slots=True)
class _Cranks:
    """Cranks shown and not yet taken."""

    found: CrankSelection
    prompt: str = "Enter = take"

    def take(self, scene: Scene, line: str) -> Outcome:
        """Take them, leave them, or tell them apart."""
        word = line.strip().lower()
        if word in NO:
            return Outcome(lines=("-- Stopped: nothing from the recording was taken.",))
        if word in YES | {""}:
            if self.found.trouble:
                return replace(refused(*wrapped(self.found.trouble, scene.width, "? ", "  ")), pending=self)
            writes = self.found.writes()
            return Outcome(lines=(self.found.taken_words,), writes=writes)
        told = self.found.told(line)
        if told is None:
            from crankpath.shell.recordings.crank_selection import KEYS

            said = wrapped(f"Nothing was taken yet. {KEYS}", scene.width, "? ", "  ")
            return replace(refused(*said), pending=self)
        return _shown(scene, told, tuple(told.heads(scene.width)))


COMMAND = Command("record", "FILE [2=READING; ...]", "what a recording shows, as readings", _act)
