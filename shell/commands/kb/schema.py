"""``crankpath kb schema``: the JSON Schema of a knowledge or case file, for editors."""

from __future__ import annotations

import json

import click

from crankpath.engine.knowledge.folders import read_schema


@click.command("schema")
@click.argument("sort", default="knowledge", type=click.Choice(["knowledge", "case"]))
def command(sort: str) -> None:
    """Print the JSON Schema of a knowledge file, or of a case file, for an editor to complete with.

    \b
    Example:
      crankpath kb schema > our-shop/schema/knowledge.schema.json
    """
    click.echo(json.dumps(read_schema(sort), indent=1, ensure_ascii=False))
