"""Groups of commands whose modules are imported when they are used."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

import click


class OnDemand(click.Group):
    """A group over a table: command -> the module that holds it as ``command``."""

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
