"""``watch``: what to leave connected until it fails; and that it has not failed here."""

from __future__ import annotations

import re
from datetime import date
from typing import Final

from crankpath.engine.errors import CrankpathError
from crankpath.shell.desk.due import due_at
from crankpath.shell.files import named_path, write_page
from crankpath.shell.outlets.messages.watch_card import MOST_METERS, USUAL_METERS, watch_card
from crankpath.shell.outlets.messages.watch_text import watch_text
from crankpath.shell.outlets.pages.watch_page import watch_page
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.text.columns import wrapped

_REST: Final = re.compile(r"([1-9]\b)?\s*(?:(until)\s+(\S+)|(.*))", re.IGNORECASE)
_HOW: Final = "watch 2, watch 2 cab.html, or watch 2 until 2031-05-04"


def _act(scene: Scene, rest: str) -> Outcome | None:
    found = _REST.fullmatch(rest)
    meters = int(found[1]) if found and found[1] else USUAL_METERS
    if found is None or meters > MOST_METERS:
        return refused(f"? Write {_HOW}; {MOST_METERS} meters at most.")
    try:
        if found[2]:
            return _until(scene, meters, found[3])
        return _card(scene, meters, found[4])
    except CrankpathError as slip:
        return refused(*wrapped(str(slip), scene.width, "? ", "  "))


def _card(scene: Scene, meters: int, named: str) -> Outcome:
    card = watch_card(scene.state.case, meters, scene.state.machine or scene.state.name)
    if not named:
        return Outcome(lines=tuple(watch_text(card, scene.width)), again=False)
    file = named_path(named)
    if file.suffix not in (".html", ".htm"):
        return refused(f"? {file} is no name of a page. Write {_HOW}.")
    write_page(file, watch_page(card), new=True)
    return Outcome(lines=(f"-- The card for the cab is written to {file}.",), again=False)


def _until(scene: Scene, meters: int, named: str) -> Outcome:
    """It has not failed here: what stays connected as a note, and a day on which to look again."""
    try:
        day = date.fromisoformat(named)
    except ValueError:
        return refused(f"? {named} is no date. Write year-month-day: watch until 2031-05-04")
    if day.isoformat() < scene.clock()[:10]:
        return refused(f"? {day} is past. Name a day to come.")
    card = watch_card(scene.state.case, meters)
    left_on = "; ".join(f"{one.letter} {one.label}" for one in card.connected)
    note = f"Has not failed here. Stays connected: {left_on}."
    looks = f"look again {day} at what stays connected"
    due = due_at(looks, scene.clock())
    said = f"Noted: it has not failed here. {looks.capitalize()}; kept says that it was done."
    return Outcome(
        lines=tuple(wrapped(said, scene.width, "-- ", "   ")),
        writes=(Write("note", {"text": note}), Write("promised", {"text": looks, "due": due})),
        again=False,
    )


COMMAND = Command("watch", "[N] [FILE.html]", "meters to leave on; until 2031-05-04: look again then", _act)
