"""``sheet``: the case written up, as a page, text or JSON by the ending of the file's name."""

from __future__ import annotations

from pathlib import Path

from crankpath.engine.errors import CaseError
from crankpath.shell.casefiles import write_page
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, refused

_PAPER = 80  # columns of a sheet as text


def _act(scene: Scene, rest: str) -> Outcome | None:
    from crankpath.shell.desk.sheet import case_sheet, local_time
    from crankpath.shell.outlets.pages import sheet_html, sheet_json, sheet_text

    if not rest:
        return refused("? Name the file after the word: sheet loader.html (or .txt, .json)")
    file = Path(rest.strip("'\"")).expanduser()
    if file.exists():
        return refused(f"? {file} exists already; name another file.")
    sheet = case_sheet(scene.state, local_time(scene.clock()))
    match file.suffix.lower():
        case ".html" | ".htm":
            text = sheet_html(sheet)
        case ".json":
            text = sheet_json(sheet)
        case ".txt" | "":
            text = sheet_text(sheet, _PAPER)
        case other:
            return refused(f"? A sheet is .html, .txt or .json, not {other}.")
    try:
        write_page(file, text)
    except CaseError as slip:
        return refused(f"? {slip}")
    return Outcome(lines=(f"-- written to {file}",), again=False)


COMMAND = Command("sheet", "FILE", "the case written up: .html, .txt, .json", _act)
