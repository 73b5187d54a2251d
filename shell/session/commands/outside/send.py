"""``send``: the next step as a message for somebody far away, kept as sent."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from crankpath.engine.errors import CaseError, CrankpathError
from crankpath.shell.desk.exchange import step_number
from crankpath.shell.desk.outgoing import (
    Outgoing,
    answer_awaited,
    asked_readings,
    cab_card,
    outgoing,
    step_of,
)
from crankpath.shell.files import named_path, write_page
from crankpath.shell.outlets.messages import LEAST_LIMIT
from crankpath.shell.outlets.pages import card_page
from crankpath.shell.outlets.pages.watch_page import watch_page
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.commands.named import measurement
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.session.questions import waits_to_fail
from crankpath.shell.settings import choose_message_limit, message_limit
from crankpath.shell.text.columns import wrapped

_MOST = 2000
_LONGEST_TRIP = 100_000  # minutes


def _act(scene: Scene, rest: str) -> Outcome | None:
    word, _, more = rest.partition(" ")
    try:
        match word.lower():
            case "limit":
                return _limit(scene, more.strip())
            case "trip":
                return _trip(scene, more.strip())
            case "card":
                return _card(scene, more.strip())
            case "whole":
                return _message(scene, more.strip(), whole=True)
            case _:
                return _message(scene, rest)
    except CrankpathError as slip:
        return refused(*wrapped(str(slip), scene.width, "? ", "  "))


def _message(scene: Scene, named: str, whole: bool = False) -> Outcome:
    name, slip = measurement(scene, named) if named else (None, "")
    if named and name is None:
        return refused(f"? {slip} (send, send whole, send card FILE, send trip 40, send limit 160)")
    message = outgoing(scene.state, scene.asked, message_limit(), name, whole)
    return _sent(scene, message, "\n".join(message.parts), tuple(_shown(message, scene.width, whole)))


def _shown(message: Outgoing, width: int, whole: bool) -> list[str]:
    """The parts, wrapped without indent so that they can be copied; a line break takes a space's place."""
    if whole:
        lines = [line for part in message.parts for line in wrapped(part, width)]
        return [f"-- To send, {sum(map(len, message.parts)) + len(message.parts) - 1} characters:", *lines]
    lines = []
    for number, part in enumerate(message.parts, 1):
        lines += [
            f"-- To send, {number} of {len(message.parts)}, {len(part)} characters:",
            *wrapped(part, width),
        ]
    return lines


def _sent(scene: Scene, message: Outgoing, text: str, lines: tuple[str, ...]) -> Outcome:
    body: dict[str, Any] = {"text": text, "waits_for": message.waits_for, "cautions": list(message.cautions)}
    body["step"] = message.number
    if message.measurements:
        body["measurements"] = list(message.measurements)
    shown = [c for c in message.cautions if c not in scene.state.cautions]
    writes = (
        Write("sent", body, "advisor"),
        *(Write("caution_shown", {"caution": c}, "advisor") for c in shown),
    )
    waits = wrapped(
        f"Saved; waiting for {message.waits_for}. Type reply once it is there.", scene.width, "-- ", "   "
    )
    return Outcome(lines=(*lines, *waits), writes=writes, again=False)


def _card(scene: Scene, named: str) -> Outcome:
    if not named:
        return refused("? Name the page after the words: send card step.html")
    file = named_path(named)
    names = asked_readings(scene.state, scene.asked)
    waits = answer_awaited(scene.state, scene.asked, names)
    number = step_number(scene.state.events, names, waits)
    step = step_of(scene.state, number)
    pages: dict[Path, str] = {}
    if waits_to_fail(scene.asked):
        pages[file] = watch_page(cab_card(scene.state, name=step.said))
    for n, name in enumerate(() if pages else names or (None,), 1):
        path = file if n == 1 else file.with_stem(f"{file.stem}-{n}")
        pages[path] = card_page(scene.state.case, name, step.said, step.reference)
    for path, page in pages.items():
        write_page(path, page, new=True)
    kb, whole = scene.state.kb, "".join(pages.values())
    cautions = tuple(c.id for c in kb.cautions.values() if c.text in whole)
    message = Outgoing((), waits, names, cautions, number)
    each = ": a card for each reading" if len(pages) > 1 else ""
    told = f"To send, written to {', '.join(map(str, pages))}{each}."
    return _sent(scene, message, f"card {file.name}", tuple(wrapped(told, scene.width, "-- ", "   ")))


def _trip(scene: Scene, typed: str) -> Outcome:
    """What a round trip costs here: it moves which readings are worth a message, and which go together."""
    if not typed:
        now = scene.state.case.round_trip
        said = f"an answer takes {now:g} min" if now else "no time is counted for an answer"
        return Outcome(lines=(f"-- Here {said}. send trip 40 changes it.",), again=False)
    minutes = typed.removesuffix("min").strip()
    if not minutes.isdecimal() or int(minutes[:9]) > _LONGEST_TRIP:
        raise CaseError("Minutes until an answer comes, as a number; 0 beside the machine: send trip 40")
    write = Write("equipment", {"facts": {}, "round_trip": int(minutes)}, "advisor")
    said = f"-- From now on an answer to a message takes {int(minutes)} min here."
    return Outcome(lines=(said,), writes=(write,))


def _limit(scene: Scene, typed: str) -> Outcome:
    if not typed:
        return Outcome(lines=(f"-- One message holds {message_limit()} characters.",), again=False)
    if not typed.isdecimal() or not LEAST_LIMIT <= int(typed[:9]) <= _MOST:
        raise CaseError(f"A limit is a number from {LEAST_LIMIT} to {_MOST}: send limit 160")
    choose_message_limit(int(typed))
    return Outcome(lines=(f"-- From now on a message holds at most {int(typed)} characters.",), again=False)


COMMAND = Command("send", "[whole] [READING]", "the next step as a message; card FILE, trip 40", _act)
