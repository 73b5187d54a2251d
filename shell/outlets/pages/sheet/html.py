"""The sheet as one HTML page that needs nothing else, and the frame that other pages share."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Mapping
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape

from crankpath.shell.outlets.pages.sheet.bar_svg import draw_bars
from crankpath.shell.outlets.pages.sheet.crank_svg import draw_cranks
from crankpath.shell.outlets.pages.sheet.data import Sheet, SheetRow
from crankpath.shell.outlets.pages.sheet.drops_svg import draw_drops
from crankpath.shell.outlets.pages.sheet.narrow_svg import draw_narrow, draw_rail
from crankpath.shell.outlets.pages.sheet.text import file_words
from crankpath.shell.outlets.reports.words import capital, percent
from crankpath.shell.text.clean import clean

_NUMBERS: Final = re.compile(r"\(no\. \d+(?:, \d+)*\)")
_TIME: Final = len("2026-01-05 10:00")
_NUMBER: Final = re.compile(r"\d+")
TEMPLATES: Final = Path(__file__).parents[1] / "templates"


def sheet_html(sheet: Sheet, pictures: Mapping[str, str] | None = None) -> str:
    """The page; prints to one or two sheets of A4 or Letter for a usual case.

    `pictures`: digest of a photo -> a small picture of it as a data address.
    """
    drawn, small = sheet.circuit, pictures or {}
    traces = [note.trace for note in sheet.notes if note.trace]
    return render(
        "sheet.html",
        "sheet.css",
        pictures=any(small.get(file.digest) for file in sheet.files),
        sheet=sheet,
        small=small,
        percent=percent,
        linked=_linked,
        same_day=_same_day,
        file_words=file_words,
        bars=Markup(draw_bars(sheet.budgets, sheet.budgets_title)) if sheet.budgets else "",
        cranks=Markup(draw_cranks(traces, "Recorded")) if traces else "",
        drops=Markup(draw_drops(drawn, "The main circuit with its readings")) if drawn else "",
        narrow=Markup(draw_narrow(drawn, "The main circuit, top to bottom")) if drawn else "",
        control=Markup(draw_rail(drawn.control, capital(drawn.branch))) if drawn and drawn.control else "",
    )


def render(template: str, style: str, script: str = "", pictures: bool = False, **values: Any) -> str:
    """A template with a style of its own; every value is escaped, and control characters are taken out.

    The page's policy lets in its own style, and its own script where it has one, by their hashes, pictures
    that stand in the page itself where it has any, and nothing else: no font, no form, no other page, no net.
    """
    css = f"{_text('page.css')}\n{_text(style)}"
    code = _text(script) if script else ""
    allowed = f"style-src '{_digest(css)}'" + (f"; script-src '{_digest(code)}'" if code else "")
    allowed += "; img-src data:" if pictures else ""
    policy = f"default-src 'none'; {allowed}; base-uri 'none'; form-action 'none'"
    page = _environment().get_template(template)
    return page.render(style=Markup(css), script=Markup(code), policy=policy, **values)


def _digest(text: str) -> str:
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"


def _same_day(before: object, row: SheetRow) -> bool:
    """Was the row told on the day of the one before it? Then its time is enough."""
    return isinstance(before, SheetRow) and len(row.at) == _TIME and before.at[:10] == row.at[:10] != ""


def _linked(text: str) -> Markup:
    """A text in which the numbers of readings lead to their rows."""
    escaped = str(escape(clean(text)))
    return Markup(_NUMBERS.sub(lambda m: _NUMBER.sub(r'<a href="#no-\g<0>">\g<0></a>', m[0]), escaped))


def _text(name: str) -> str:
    return (TEMPLATES / name).read_text("utf-8")


@lru_cache(maxsize=1)
def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_clean,
    )


def _clean(value: Any) -> Any:
    """What the templates print, without control characters; the drawings are clean already."""
    return clean(value) if type(value) is str else value
