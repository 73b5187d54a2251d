"""``crankpath kb schema``: where the schema of the YAML files is, for an editor."""

from __future__ import annotations

import click

from crankpath.engine.folders import shipped_folder


@click.command("schema")
@click.option("--case", "of_case", is_flag=True, help="The schema of case files instead.")
def command(of_case: bool) -> None:
    """Print the path of the JSON Schema of knowledge files.

    An editor that knows it completes names of fields and marks slips while you type.

    \b
    Example:
      crankpath kb schema
    """
    name = "case" if of_case else "knowledge"
    click.echo(shipped_folder() / "schema" / f"{name}.schema.json")
