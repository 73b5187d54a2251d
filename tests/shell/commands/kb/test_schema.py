"""``crankpath kb schema``: what an editor can be given."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from crankpath.shell.commands.kb.schema import command


@pytest.mark.parametrize(
    ("options", "title"),
    [([], "A knowledge file of crankpath"), (["case"], "A case file of crankpath")],
)
def test_the_schema_is_printed_whole(options: list[str], title: str) -> None:
    assert json.loads(CliRunner().invoke(command, options).output)["title"] == title
