"""``crankpath kb ...``: a shop's own knowledge, checked, tested and looked at."""

from __future__ import annotations

from typing import Final

import click

from crankpath.shell.on_demand import OnDemand

KB_COMMANDS: Final = {
    "check": "crankpath.shell.commands.kb_check",
    "checks": "crankpath.shell.commands.kb_checks",
    "physics": "crankpath.shell.commands.kb_physics",
    "test": "crankpath.shell.commands.kb_test",
    "where": "crankpath.shell.commands.kb_where",
    "schema": "crankpath.shell.commands.kb_schema",
    "use": "crankpath.shell.commands.kb_use",
    "diff": "crankpath.shell.commands.kb_diff",
    "show": "crankpath.shell.commands.kb_show",
    "pages": "crankpath.shell.commands.kb_pages",
    "explain": "crankpath.shell.commands.kb_explain",
    "learn": "crankpath.shell.commands.kb_learn",
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
