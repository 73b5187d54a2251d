"""``tries``: of so many tries at the key, so many failed."""

from __future__ import annotations

import re

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.session.questions import AskCranks

_TALLY = re.compile(r"(?:failed\s+)?(\d{1,5})\s*(?:of|in|out of|/)\s*(\d{1,5})(?:\s+tries)?(?:\s+failed)?")


def _act(scene: Scene, rest: str) -> Outcome | None:
    if not rest and isinstance(scene.asked, AskCranks):
        return None  # there the word alone is the answer
    found = _TALLY.fullmatch(rest.lower())
    if found is None:
        return refused("? Write how many failed of how many tries: failed 2 of 10")
    failures, of = int(found[1]), int(found[2])
    if failures > of or of == 0:
        return refused(f"? {failures} failures in {of} tries is impossible; write failed 2 of 10.")
    writes = [Write("tries", {"failures": failures, "of": of})]
    if failures and isinstance(scene.asked, AskCranks):
        writes.append(Write("repaired", {"repair": scene.asked.repair, "cured": False}))
    return Outcome(writes=tuple(writes))


COMMAND = Command("failed", "2 of 10", "how many tries failed", _act, ("tries",))
