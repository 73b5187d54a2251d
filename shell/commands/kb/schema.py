"""``crankpath kb schema``: the JSON Schema of a knowledge or case file, for editors."""

from __future__ import annotations

import json

import click

from crankpath.engine.knowledge.building.schema import knowledge_schema
from crankpath.engine.knowledge.folders import read_schema
from crankpath.shell.kb_folders import Folders


@click.command("schema")
@click.argument("sort", default="knowledge", type=click.Choice(["knowledge", "case"]))
@click.pass_obj
def command(chosen: str | None, sort: str) -> None:
    """Print the JSON Schema of a knowledge file, or of a case file, for an editor to complete with.

    That of a knowledge file holds the ids and values of the knowledge base in force.

    \b
    Example:
      crankpath --kb our-shop kb schema > our-shop/schema/knowledge.schema.json
    """
    if sort == "case":
        schema = read_schema(sort)
    else:
        folders = Folders.of(chosen)
        schema = knowledge_schema(*folders.paths, shipped=folders.shipped)
    click.echo(json.dumps(schema, indent=1, ensure_ascii=False))
