"""``crankpath kb schema``: the JSON Schema of a knowledge or case file, for editors."""

from __future__ import annotations

import json

import click

from crankpath.engine.knowledge.building.schema import knowledge_schema
from crankpath.engine.knowledge.folders import read_schema
from crankpath.shell.kb_folders import Folders, pass_folders


@click.command("schema")
@click.argument("sort", default="knowledge", type=click.Choice(["knowledge", "case"]))
@pass_folders
def command(folders: Folders, sort: str) -> None:
    """Print the JSON Schema of a knowledge file, or of a case file, for an editor to complete with.

    That of a knowledge file holds the ids and values of the knowledge base in force.

    \b
    Example:
      crankpath --kb our-shop kb schema > our-shop/schema/knowledge.schema.json
    """
    schema = read_schema(sort) if sort == "case" else knowledge_schema(*folders.paths, shipped=False)
    click.echo(json.dumps(schema, indent=1, ensure_ascii=False))
