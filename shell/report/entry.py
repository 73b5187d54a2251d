"""Everything about one entry of the knowledge base in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from crankpath.shell.report.dossier import Dossier, Item, Row, Said
from crankpath.shell.report.words import percent, wrapped

WIDTH: Final = 80
_BANDS: Final = 3
_LIST: Final = 60  # characters of an item from which each stands on a line of its own


def dossier_lines(dossier: Dossier, width: int = WIDTH) -> Iterator[str]:
    """What it says, who uses it, which rules bear on it; no line is longer than `width`."""
    yield from wrapped(f"{dossier.sort} {dossier.id}: {dossier.label}", width, "", "  ")
    yield from wrapped(dossier.where, width, "  ")
    for part in dossier.parts:
        yield ""
        yield from wrapped(part.title, width)
        for row in part.rows:
            yield from _row_lines(row, width)
    if dossier.said:
        yield ""
        yield "Rules that bear on it"
        other = ""
        for said in dossier.said:
            if said.other.key != other:
                yield from wrapped(_named(said.other), width, "  ", "    ")
                other = said.other.key
            yield from _said_lines(said, width)
    if dossier.cases:
        yield ""
        yield from wrapped(f"Cases: {', '.join(dossier.cases)}", width, "", "  ")


def _row_lines(row: Row, width: int) -> Iterator[str]:
    texts = [_named(item) for item in row.items]
    if len(texts) > 1 and max(map(len, texts)) > _LIST:
        yield f"  {row.name}:"
        for text in texts:
            yield from wrapped(text, width, "    - ", "      ")
    else:
        yield from wrapped(f"{row.name}: {'; '.join(texts)}", width, "  ", "    ")


def _named(item: Item) -> str:
    if not item.key:
        return item.text
    id_ = item.key.split("/", 1)[1]
    return item.text if item.text == id_ else f"{item.text} ({id_})"


def _said_lines(said: Said, width: int) -> Iterator[str]:
    which = ", ".join(text for text in (said.degrees, f"where {said.when}" if said.when else "") if text)
    bands = ", ".join(f"{band} {percent(c)} (healthy {percent(h)})" for band, c, h in said.bands[:_BANDS])
    yield from wrapped(f"{f'{which}: ' if which else ''}{bands}", width, "    ", "      ")
    yield from wrapped(f"{said.rule.text}, {said.where}", width, "      ")
