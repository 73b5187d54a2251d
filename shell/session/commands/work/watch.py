"""``watch``: what to leave connected until it fails; and that it has not failed here."""

from __future__ import annotations

import re
from datetime import date
from typing import Final

from crankpath.engine.errors import CrankpathError
from crankpath.shell.desk.due import due_at
from crankpath.shell.desk.outgoing import cab_card
from crankpath.shell.files import named_path, write_page
from crankpath.shell.outlets.messages.watch_card import MOST_METERS
from crankpath.shell.outlets.messages.watch_text import PARTS
from crankpath.shell.outlets.pages.watch_page import watch_page
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.session.screens.wording import say
from crankpath.shell.text.clean import one_line
from crankpath.shell.text.columns import wrapped

_REST: Final = re.compile(
    r"([1-9]\b)?\s*(?:until\s+(?P<day>\S+)(?:\s+call\s+(?P<call>.+))?|(?P<part>means|bring on)|(?P<file>.*))",
    re.IGNORECASE,
)
_HOW: Final = "watch 2, watch 2 cab.html, watch means, watch bring on, or watch 2 until 2031-05-04 call WHO"
_NEXT: Final = (
    "watch means: what each picture will point to. watch bring on: how to make it fail. watch cab.html: a "
    "card for the cab. Has it not failed here: watch until 2031-05-04 call WHO."
)


def _act(scene: Scene, rest: str) -> Outcome | None:
    found = _REST.fullmatch(rest)
    meters = int(found[1]) if found and found[1] else None
    if found is None or (meters or 0) > MOST_METERS:
        return refused(*wrapped(f"Write {_HOW}; {MOST_METERS} meters at most.", scene.width, "? ", "  "))
    try:
        if found["day"]:
            return _until(scene, meters, found["day"], one_line(found["call"] or "", 120))
        return _card(scene, meters, found["file"] or "", (found["part"] or "").lower())
    except CrankpathError as slip:
        return refused(*wrapped(str(slip), scene.width, "? ", "  "))


def _card(scene: Scene, meters: int | None, named: str, part: str) -> Outcome:
    card = cab_card(scene.state, meters)
    if not named and part:
        return Outcome(lines=tuple(PARTS[part](card, scene.width)), again=False)
    if not named:
        seen = {scene.state.kb.cautions[caution].short for caution in scene.state.cautions}
        fresh = not seen.issuperset(short for short, _ in card.cautions)
        head = [*PARTS["head"](card, scene.width), ""] if fresh else []
        lines = (*head, *PARTS["work"](card, scene.width), "", *say(_NEXT, scene.width))
        return Outcome(lines=lines, again=False)
    file = named_path(named)
    if file.suffix not in (".html", ".htm"):
        return refused(*wrapped(f"{file} is no name of a page. Write {_HOW}.", scene.width, "? ", "  "))
    write_page(file, watch_page(card), new=True)
    return Outcome(lines=(f"-- The card for the cab is written to {file}.",), again=False)


def _until(scene: Scene, meters: int | None, named: str, call: str) -> Outcome:
    """It has not failed here: what stays connected, whom to call, and a day on which to look again."""
    try:
        day = date.fromisoformat(named)
    except ValueError:
        return refused(f"? {named} is no date. Write year-month-day: watch until 2031-05-04")
    if day.isoformat() < scene.clock()[:10]:
        return refused(f"? {day} is past. Name a day to come.")
    card = cab_card(scene.state, meters)
    left_on = "; ".join(f"{one.letter} {one.label}" for one in card.connected)
    note = f"Has not failed here. Stays connected: {left_on}.{f' Call {call}.' if call else ''}"
    looks = f"look again {day} at what stays connected"
    names = [one.measurement for one in card.connected] + [one.measurement for one in card.noted]
    promise = {"text": looks, "due": due_at(looks, scene.clock()), "watch": names, "until": str(day)}
    said = f"Noted: it has not failed here. Stays connected: {left_on}. {looks.capitalize()}; kept says that"
    said += " it was done."
    after = "Now the card for the cab: watch cab.html. Or the message: send."
    return Outcome(
        lines=(*wrapped(said, scene.width, "-- ", "   "), *say(after, scene.width)),
        writes=(Write("note", {"text": note}), Write("promised", promise | ({"call": call} if call else {}))),
    )


COMMAND = Command(
    "watch", "[N] [FILE.html]", "meters to leave on; means; bring on; until 2031-05-04: look again then", _act
)
