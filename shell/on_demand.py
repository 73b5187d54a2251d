"""Groups of commands whose modules are imported when they are used."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from importlib.util import find_spec
from typing import Any

import click


class OnDemand(click.Group):
    """A group over a table: command -> the module that holds it as ``command``.

    The list of commands says of each what stands after the colon in the first line of its module.
    """

    def __init__(self, *args: Any, table: Mapping[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.table = table

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.table)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in self.table:
            return None
        command: click.Command = import_module(self.table[cmd_name]).command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, _first_line(module)) for name, module in self.table.items()])


def _first_line(module: str) -> str:
    """What a module says of itself, read without importing it."""
    loader: Any = getattr(find_spec(module), "loader", None)
    said = str(loader.get_source(module)).partition("\n")[0].strip('"').partition(": ")[2]
    return said[:1].upper() + said[1:]
