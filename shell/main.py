"""The command line: one name, its commands brought in when they are asked for."""

from __future__ import annotations

import os
import sys
from typing import Final

import click

from crankpath.engine.errors import CrankpathError, KnowledgeError
from crankpath.shell.exits import EXIT_KNOWLEDGE, EXIT_REFUSED
from crankpath.shell.kb_folders import Folders, folder_options, meant
from crankpath.shell.on_demand import OnDemand
from crankpath.shell.settings import ALONE, KB, chosen_folder

COMMANDS: Final = {
    "diagnose": "crankpath.shell.commands.diagnose",
    "evaluate": "crankpath.shell.commands.trials.evaluate",
    "practice": "crankpath.shell.commands.trials.practice",
    "kb": "crankpath.shell.commands.kb.group",
    "sheet": "crankpath.shell.commands.sheet",
    "record": "crankpath.shell.commands.catching.record",
    "card": "crankpath.shell.commands.card",
    "chart": "crankpath.shell.commands.chart",
    "watch": "crankpath.shell.commands.catching.watch",
    "message": "crankpath.shell.commands.message",
    "desk": "crankpath.shell.commands.desk",
    "export": "crankpath.shell.commands.export",
    "import": "crankpath.shell.commands.import_",
    "understand": "crankpath.shell.commands.understand",
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
@folder_options()
@click.option(
    "--store",
    metavar="PLACE",
    help="The store of cases: a file, a folder, or postgresql://user@host/database shared by several.",
)
@click.pass_context
def cli(context: click.Context, store: str | None) -> None:
    """Find the one fault, prove it, repair it, prove the repair.

    Without a command, a session opens that takes a case from the complaint to the proof.

    \b
    Example:
      crankpath
      crankpath diagnose loader.yaml
      crankpath --store postgresql://desk@cases/shop desk
    """
    if store:
        _use_store(context, store)
    must = context.invoked_subcommand != "kb"
    context.obj = Folders(chosen_folder(KB, must), chosen_folder(ALONE, must))
    if context.invoked_subcommand is None:
        from crankpath.shell.session import run

        context.exit(run(meant(context)))


def _use_store(context: click.Context, place: str) -> None:
    """Have everything in this run that opens the store find it at `place`."""
    from crankpath.shell.store.files.places import VARIABLE

    before = os.environ.get(VARIABLE)
    os.environ[VARIABLE] = place

    @context.call_on_close
    def _as_before() -> None:
        if before is None:
            os.environ.pop(VARIABLE, None)
        else:
            os.environ[VARIABLE] = before


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
