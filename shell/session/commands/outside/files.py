"""``export`` and ``import``: a case as a YAML file that `diagnose` reads too, or whole with every event."""

from __future__ import annotations

from crankpath.engine.errors import CaseError
from crankpath.shell.desk.exported_case import whole_case, whole_text
from crankpath.shell.files import named_path, read_named, write_page
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.session.transfer import case_text, events_of_text
from crankpath.shell.text.columns import wrapped


def _export(scene: Scene, rest: str) -> Outcome | None:
    if not rest:
        return refused("? Name the file after the word: export loader.yaml")
    word, _, more = rest.partition(" ")
    whole = word.lower() == "whole" and bool(more)
    if whole and not scene.state.id:
        return refused("? This case has no entries yet.")
    try:
        text = whole_text(scene.shelf.export_case(scene.state.id)) if whole else case_text(scene.state)
        file = named_path(more if whole else rest)
        write_page(file, text, new=True)
    except CaseError as slip:
        return refused(*wrapped(str(slip), scene.width, "? ", "  "))
    return Outcome(lines=(f"-- written to {file}",), again=False)


def _import(scene: Scene, rest: str) -> Outcome | None:
    if not rest:
        return refused("? Name the file after the word: import loader.yaml")
    try:
        file = named_path(rest)
        text = read_named(file)
        if (whole := whole_case(text)) is not None:
            return Outcome(whole=whole)
        name, writes = events_of_text(text, str(file), scene.state.kb)
    except (CaseError, ValueError) as slip:
        return refused(*(f"? {line}" for line in str(slip).splitlines()[:10]))
    return Outcome(new=True, writes=(Write("opened", {"name": name}), *writes))


EXPORT = Command("export", "[whole] FILE", "write the case as a file", _export)
IMPORT = Command("import", "FILE", "a case from a file; a whole one is merged", _import)
