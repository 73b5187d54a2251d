"""Everything about one entry of the knowledge base in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from crankpath.engine.checking.relations import Relations
from crankpath.engine.errors import UnknownName
from crankpath.engine.knowledge.problems import near
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.shell.outlets.reports.dossier import Dossier, DossierItem, DossierRow, RuleStatement, dossier
from crankpath.shell.outlets.reports.explanation import place
from crankpath.shell.outlets.reports.words import percent
from crankpath.shell.text.columns import wrapped

WIDTH: Final = 80
_BANDS: Final = 3
_LIST: Final = 60  # characters of an item from which each stands on a line of its own


def entry_lines(
    kb: Knowledge, name: str, cases: Mapping[str, tuple[str, ...]] | None = None, width: int = WIDTH
) -> list[str]:
    """The lines about every entry of that id.

    Args:
        kb: the knowledge base.
        name: an id, or section/id.
        cases: entry's key -> names of the cases that rest on it.
        width: no line is longer, unless one word is.

    Raises:
        UnknownName: there is none.
    """
    relations = Relations(kb)
    keys = relations.keys_called(name)
    if not keys:
        known = {key.split("/", 1)[1] for key in relations.keys}
        raise UnknownName(f"There is no entry '{name}'. {near(name, known)}".rstrip())

    def where(key: str, origin: Origin) -> str:
        return place(kb, key, origin)

    lines: list[str] = []
    for key in keys:
        lines += [""] if lines else []
        lines += dossier_lines(dossier(Relations(kb, key), key, where, cases or {}), width)
    return lines


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


def _row_lines(row: DossierRow, width: int) -> Iterator[str]:
    texts = [_named(item) for item in row.items]
    if len(texts) > 1 and max(map(len, texts)) > _LIST:
        yield f"  {row.name}:"
        for text in texts:
            yield from wrapped(text, width, "    - ", "      ")
    else:
        yield from wrapped(f"{row.name}: {'; '.join(texts)}", width, "  ", "    ")


def _named(item: DossierItem) -> str:
    if not item.key:
        return item.text
    id_ = item.key.split("/", 1)[1]
    return item.text if item.text == id_ else f"{item.text} ({id_})"


def _said_lines(said: RuleStatement, width: int) -> Iterator[str]:
    which = ", ".join(text for text in (said.degrees, f"where {said.when}" if said.when else "") if text)
    bands = ", ".join(f"{band} {percent(c)} (healthy {percent(h)})" for band, c, h in said.bands[:_BANDS])
    if said.reads:
        bands = f"{said.reads} (healthy: {said.healthy})"
    yield from wrapped(f"{f'{which}: ' if which else ''}{bands}", width, "    ", "      ")
    yield from wrapped(f"{said.rule.text}, {said.where}", width, "      ")
