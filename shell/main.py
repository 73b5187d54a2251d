"""The command line: one name, its commands brought in when they are asked for."""

from __future__ import annotations

import sys
from typing import Final

import click

from crankpath.engine.errors import CrankpathError, KnowledgeError
from crankpath.shell.exits import EXIT_KNOWLEDGE, EXIT_REFUSED
from crankpath.shell.on_demand import OnDemand
from crankpath.shell.settings import chosen_folder

COMMANDS: Final = {
    "diagnose": "crankpath.shell.commands.diagnose",
    "evaluate": "crankpath.shell.commands.evaluate",
    "bench": "crankpath.shell.commands.bench",
    "practice": "crankpath.shell.commands.practice",
    "kb": "crankpath.shell.commands.kb",
    "sheet": "crankpath.shell.commands.sheet",
    "card": "crankpath.shell.commands.card",
    "message": "crankpath.shell.commands.message",
    "export": "crankpath.shell.commands.export",
    "import": "crankpath.shell.commands.import_",
    "completion": "crankpath.shell.commands.completion",
}
"""Command -> the module that holds it as ``command``."""


@click.group(
    cls=OnDemand,
    table=COMMANDS,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
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
    context.obj = folder = folder if folder is not None else chosen_folder(context.invoked_subcommand != "kb")
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
