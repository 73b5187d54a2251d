"""``sheet``: the case written up, as a page, text or JSON by the ending of the file's name."""

from __future__ import annotations

from pathlib import Path

from crankpath.engine.errors import CaseError
from crankpath.shell.files import named_path, write_page
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, refused
from crankpath.shell.store.order import local_time
from crankpath.shell.text.columns import wrapped

_PAPER = 80  # columns of a sheet as text


def _act(scene: Scene, rest: str) -> Outcome | None:
    if not rest:
        return refused("? Name the file after the word: sheet loader.html (or .txt, .json)")
    try:
        file = named_path(rest)
        text = _text(scene, file)
        write_page(file, text, new=True)
    except CaseError as slip:
        return refused(*wrapped(str(slip), scene.width, "? ", "  "))
    return Outcome(lines=(f"-- written to {file}",), again=False)


def _text(scene: Scene, file: Path) -> str:
    """The sheet in the form that the ending of the file's name asks for. Raises CaseError."""
    from crankpath.shell.desk.sheet import case_sheet, pictures_of
    from crankpath.shell.outlets.pages import sheet_html, sheet_json, sheet_text

    sheet = case_sheet(scene.state, local_time(scene.clock()))
    match file.suffix.lower():
        case ".html" | ".htm":
            return sheet_html(sheet, pictures_of(sheet, scene.shelf.place))
        case ".json":
            return sheet_json(sheet)
        case ".txt" | "":
            return sheet_text(sheet, _PAPER)
        case other:
            raise CaseError(f"A sheet is .html, .txt or .json, not {other[:40]}.")


COMMAND = Command("sheet", "FILE", "the case written up: .html, .txt, .json", _act)
