"""Names that follow a command: readings, causes."""

from __future__ import annotations

from crankpath.engine.errors import UnknownName
from crankpath.engine.typed import names
from crankpath.shell.session.outcome import Scene
from crankpath.shell.session.questions import AskReading, AskSafe


def asked_measurement(scene: Scene, typed: str) -> tuple[str | None, str]:
    """The reading that is named, or asked now if none is; or None and the sentence why not."""
    if typed:
        return measurement(scene, typed)
    if isinstance(scene.asked, AskReading | AskSafe):
        return scene.asked.measurement, ""
    return None, "No reading is being asked for; name the one you mean."


def measurement(scene: Scene, typed: str) -> tuple[str | None, str]:
    """The reading that a text names on this machine, or None and the sentence why not."""
    try:
        return names.sure(typed, scene.state.case.assessment.model.measurements), ""
    except UnknownName as slip:
        return None, str(slip)


def cause(scene: Scene, typed: str) -> tuple[str | None, str]:
    """The fault that a text names, a number counting down the ranking; or None and why not."""
    causes = [c.fault for c in scene.state.case.causes()]
    if typed.isdecimal() and 1 <= int(typed) <= len(causes):
        return causes[int(typed) - 1], "" if causes[
            int(typed) - 1
        ] else "There is nothing to show for a cause that is not listed."
    try:
        return names.sure(typed, scene.state.case.assessment.model.faults), ""
    except UnknownName as slip:
        return None, str(slip)
