"""``crankpath kb schema``: a path an editor can be given."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from crankpath.shell.commands.kb_schema import command


@pytest.mark.parametrize(
    ("options", "title"),
    [([], "A knowledge file of crankpath"), (["--case"], "A case file of crankpath")],
)
def test_the_path_is_that_of_the_schema(options: list[str], title: str) -> None:
    path = Path(CliRunner().invoke(command, options).output.strip())
    assert json.loads(path.read_text("utf-8"))["title"] == title
