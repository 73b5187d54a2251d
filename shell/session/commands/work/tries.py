"""``tries``: of so many tries at the key, so many failed."""

from __future__ import annotations

from crankpath.shell.reader.pieces.tallies import Tally, tally_in
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.session.questions import AskCranks


def _act(scene: Scene, rest: str) -> Outcome | None:
    if not rest and isinstance(scene.asked, AskCranks):
        return None  # there the word alone is the answer
    told = tally_in(rest, scene.state.kb)
    if told is None:
        return refused("? Write how many failed of how many: failed 2 of 10, or failed 2 or 3 of 10.")
    writes = [Write("tries", told.body())]
    if told.low and isinstance(scene.asked, AskCranks):
        writes.append(Write("repaired", {"repair": scene.asked.repair, "cured": False}))
    return Outcome(lines=told_as_range(told), writes=tuple(writes))


def told_as_range(told: Tally) -> tuple[str, ...]:
    """What a range of failures counts as."""
    counts = f"-- Told as {told}: the low end, {told.low} of {told.of}, counts."
    return () if told.low == told.high else (counts,)


COMMAND = Command("failed", "2 of 10", "how many tries failed", _act, ("tries",))
