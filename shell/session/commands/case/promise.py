"""``promise`` and ``kept``: what was promised in a case, and that it was done."""

from __future__ import annotations

from crankpath.shell.desk.due import due_at
from crankpath.shell.desk.exchange import promises
from crankpath.shell.reader.pieces.lexicon import lexicons
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.store.order import local_time
from crankpath.shell.text.clean import one_line


def _act(scene: Scene, rest: str) -> Outcome | None:
    if not rest:
        return refused("? Write what was promised after the word: promise call back at 5", *_open(scene))
    body = {"text": one_line(rest)}
    due = due_at(rest, scene.clock(), lexicons(scene.state.kb)[0].numbers)
    when = f", due {local_time(due, scene.clock())}" if due else ""
    body |= {"due": due} if due else {}
    return Outcome(lines=(f"-- noted{when}.",), writes=(Write("promised", body, "advisor"),), again=False)


def _kept(scene: Scene, rest: str) -> Outcome | None:
    waiting = promises(scene.state.events)
    if not waiting:
        return refused("? No promise is open in this case.")
    if not rest and len(waiting) == 1:
        number = 1
    elif rest.isdecimal() and 1 <= int(rest[:4]) <= len(waiting):
        number = int(rest)
    else:
        return refused("? Which? kept 1 says that the first was kept.", *_open(scene))
    kept = waiting[number - 1]
    body = {"kept": kept.id}
    said = f"-- kept: {one_line(str(kept.body.get('text')), 80)}"
    return Outcome(lines=(said,), writes=(Write("promised", body, "advisor"),), again=False)


def _open(scene: Scene) -> list[str]:
    waiting = promises(scene.state.events)
    return [f"{n:>4} {one_line(str(event.body.get('text')), 200)}" for n, event in enumerate(waiting, 1)]


COMMAND = Command("promise", "TEXT", "what was promised: call back at 5", _act)
KEPT = Command("kept", "[N]", "a promise was kept", _kept)
