"""The command line: one name, its commands brought in when they are asked for."""

from __future__ import annotations

import sys
from importlib import import_module
from typing import Final

import click

from crankpath.engine.errors import CrankpathError, KnowledgeError
from crankpath.shell.exits import EXIT_KNOWLEDGE, EXIT_REFUSED

COMMANDS: Final = {
    "diagnose": "crankpath.shell.commands.diagnose",
    "evaluate": "crankpath.shell.commands.evaluate",
}
"""Command -> the module that holds it as ``command``."""


class _OnDemand(click.Group):
    """A group whose commands are imported when they are used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = import_module(COMMANDS[cmd_name]).command
        return command


@click.group(
    cls=_OnDemand, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]}
)
@click.version_option(package_name="crankpath")
@click.option("--kb", "folder", metavar="DIR", help="A shop's own folder, laid over the shipped knowledge.")
@click.pass_context
def cli(context: click.Context, folder: str | None) -> None:
    """Find the one fault in a starting circuit, prove it, repair it, prove the repair.

    Without a command, a session opens that takes a case from the complaint to the proof.

    \b
    Example:
      crankpath
      crankpath diagnose loader.yaml
    """
    context.obj = folder
    if context.invoked_subcommand is None:
        from crankpath.shell.session import run

        context.exit(run(folder))


def main() -> None:
    """Run, and end every expected error in one sentence."""
    try:
        cli(prog_name="crankpath")
    except KnowledgeError as slip:
        click.echo(f"crankpath: the knowledge base cannot be used.\n{slip}", err=True)
        sys.exit(EXIT_KNOWLEDGE)
    except CrankpathError as slip:
        click.echo(f"crankpath: {slip}", err=True)
        sys.exit(EXIT_REFUSED)
