"""The fault chart as plain text: an act a number, its findings below it, each leading on further in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from crankpath.shell.outlets.chart.making import ActLine, ChartPage
from crankpath.shell.outlets.reports.words import percent
from crankpath.shell.text.columns import wrapped

SORTS: Final = {"measure": "", "watch": "WATCH ", "repair": "REPAIR ", "stuck": "STUCK ", "stop": "STOP "}
"""What stands in front of an act that is no reading."""


def chart_text(page: ChartPage, width: int = 80, how: bool = True) -> list[str]:
    """Lines of at most `width` columns.

    Args:
        page: the chart.
        width: columns.
        how: tell also how each reading is taken.
    """
    lines = [line for text in page.stops for line in wrapped(text, width, "! STOP: ", "! ")]
    lines += wrapped(f"FAULT CHART: {page.title}", width)
    lines += wrapped(page.machine, width, "Machine: ") if page.machine else []
    lines += wrapped(page.told, width, "Known: ") if page.told else []
    lines += wrapped(page.left, width, "To a repair: ") if page.left else []
    for letter, text in page.cautions:
        lines += wrapped(text, width, f"! {letter:>2}  ")
    lines += ["", *_act(page.first, width, "")]
    return [*lines, *(_how(page, width) if how and page.how else [])]


def _act(act: ActLine, width: int, indent: str) -> Iterator[str]:
    about = f", {act.about}" if act.about else ""
    left = (f"; then {act.left}" if act.left else "; the chart ends here") if act.ends else ""
    head = f"{indent}{act.number}  "
    text = f"{SORTS[act.sort]}{act.text}{about}{left}"
    yield from wrapped(text, width, head, " " * len(head))
    for finding in act.findings:
        at = f"{indent}   - "
        yield from wrapped(f"{finding.text} ({percent(finding.chance)})", width, at, " " * len(at))
        yield from _act(finding.then, width, f"{indent}     ")
    if act.findings and act.other >= 0.01:
        yield from wrapped(
            f"anything else ({percent(act.other)}): take it again; a repeat is not on this chart",
            width, f"{indent}   - ", f"{indent}     ",
        )  # fmt: skip


def _how(page: ChartPage, width: int) -> Iterator[str]:
    yield ""
    yield "How each reading is taken"
    for line in page.how:
        at = ", ".join(map(str, line.numbers))
        cautions = f" Cautions: {line.cautions}." if line.cautions else ""
        ready = f" Ready: {line.ready}." if line.ready else ""
        text = f"{line.label} (act {at}): {line.text}{ready} {line.leads}".rstrip()
        yield from wrapped(f"{text}{cautions}", width, "  ", "    ")
