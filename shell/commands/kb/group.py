"""``crankpath kb ...``: a shop's own knowledge, checked, tested and looked at."""

from __future__ import annotations

from typing import Final

import click

from crankpath.shell.on_demand import OnDemand

KB_COMMANDS: Final = {
    "check": "crankpath.shell.commands.kb.check",
    "checks": "crankpath.shell.commands.kb.checks",
    "physics": "crankpath.shell.commands.kb.physics",
    "test": "crankpath.shell.commands.kb.test",
    "where": "crankpath.shell.commands.kb.looking.where",
    "schema": "crankpath.shell.commands.kb.schema",
    "use": "crankpath.shell.commands.kb.use",
    "diff": "crankpath.shell.commands.kb.diff",
    "list": "crankpath.shell.commands.kb.looking.list",
    "show": "crankpath.shell.commands.kb.looking.show",
    "pages": "crankpath.shell.commands.kb.pages",
    "explain": "crankpath.shell.commands.kb.explain",
    "learn": "crankpath.shell.commands.kb.learn",
}
"""Command of the group -> the module that holds it as ``command``."""


@click.group("kb", cls=OnDemand, table=KB_COMMANDS)
def command() -> None:
    """Look after the knowledge base, the shipped one and a shop's own folder over it.

    \b
    Example:
      crankpath kb check our-shop
      crankpath kb test our-shop
    """
