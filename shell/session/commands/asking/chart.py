"""``chart``: the advice a few acts deep from where the case stands, on the screen or into a file."""

from __future__ import annotations

from typing import Final

from crankpath.engine.errors import CaseError
from crankpath.shell.files import named_path, write_page
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, refused

_ON_SCREEN: Final = 2  # readings one behind the other
_PAPER: Final = 80  # columns of a chart as text


def _act(scene: Scene, rest: str) -> Outcome | None:
    from crankpath.shell.outlets.chart.html import chart_html
    from crankpath.shell.outlets.chart.making import USUAL_DEPTH, chart_of
    from crankpath.shell.outlets.chart.text import chart_text

    case, title = scene.state.case, scene.state.complaint or ""
    try:
        file = named_path(rest) if rest else None
        if file is not None and file.suffix.lower() not in (".html", ".htm", ".txt"):
            return refused(f"? A chart is .html or .txt, not {file.suffix or 'without an ending'}.")
        page = chart_of(case, USUAL_DEPTH if file else _ON_SCREEN, title)
        if file is None:
            return Outcome(lines=tuple(chart_text(page, scene.width, how=False)), again=False)
        text = "\n".join([*chart_text(page, _PAPER), ""]) if file.suffix == ".txt" else chart_html(page)
        write_page(file, text, new=True)
    except CaseError as slip:
        return refused(f"? {slip}")
    return Outcome(lines=(f"-- written to {file}",), again=False)


COMMAND = Command("chart", "[FILE]", "the next acts as a chart: here, or .html, .txt", _act)
