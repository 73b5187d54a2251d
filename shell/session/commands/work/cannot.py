"""``can't``: there is no means to take a reading here."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.commands.named import asked_measurement
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused


def _act(scene: Scene, rest: str) -> Outcome | None:
    measurement, slip = asked_measurement(scene, rest)
    if measurement is None:
        return refused(f"? {slip}")
    return Outcome(writes=(Write("cannot", {"measurement": measurement}),))


COMMAND = Command(
    "can't", "[READING]", "it cannot be taken here; never asked again", _act, ("cannot", "cant", "can’t")
)
