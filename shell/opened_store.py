"""The store of cases as a command uses it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from crankpath.shell.store import open_store
from crankpath.shell.text.clean import clean

if TYPE_CHECKING:
    from crankpath.shell.store import Store


@contextmanager
def opened_store(place: str | None = None) -> Iterator[Store]:
    """The store at a place (the user's own for None) for the time of the block.

    What had to be done to open it, a damaged file set aside or entries missing, is printed to
    standard error. Raises StoreError.
    """
    store = open_store(place)
    try:
        for said in store.said:
            click.echo(f"! {clean(said)}", err=True)
        yield store
    finally:
        store.close()
