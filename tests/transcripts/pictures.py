"""``python tests/transcripts/pictures.py``: what README shows, drawn as SVG into ``.pictures/``.

A page of the program is well-formed XML, so an SVG can hold it as it is; nothing else is needed to draw it.
"""

from __future__ import annotations

import re
from html import escape
from pathlib import Path

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.chart.html import chart_html
from crankpath.shell.outlets.chart.making import chart_of
from crankpath.shell.outlets.pages import SheetMeta, card_page, sheet_html, sheet_of
from crankpath.shell.text.columns import clipped

ROOT = Path(__file__).parent.parent.parent
FOLDER = ROOT / ".pictures"
_STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)
_BODY = re.compile(r"<body>(.*?)(?:<script>.*)?</body>", re.DOTALL)
_PAPER, _INK, _QUIET = "#fdfcf8", "#17252b", "#54656d"
_LINE, _LETTER = 18, 8.43  # px of a line, and of a letter at 14 px in a typewriter face
_SHOWN, _COLUMNS = 34, 79  # lines and columns of a session

LOADER = {"system_voltage": 12, "disconnect_switch": "positive", "ground_path": "frame"}
FOUND = (
    ("crank_behaviour", "slow"), ("occurrence", "every_time"), ("battery_rest_voltage", "12.6"),
    ("battery_crank_voltage", "10.9"), ("positive_leg_drop", "1.3"), ("disconnect_drop", "0.95"),
)  # fmt: skip
PROVEN = (("positive_leg_drop", "0.3"), ("disconnect_drop", "30 mV"))


def page_picture(page: str, width: int, height: int) -> str:
    """The upper part of a page as an SVG of that size."""
    style, body = _STYLE.search(page), _BODY.search(page)
    assert style is not None
    assert body is not None
    drawn = re.sub(r"<svg (?![^>]*xmlns)", '<svg xmlns="http://www.w3.org/2000/svg" ', body[1])
    inside = f'<body xmlns="http://www.w3.org/1999/xhtml"><style>{style[1]}</style>{drawn}</body>'
    frame = f'<rect width="{width}" height="{height}" fill="{_PAPER}" stroke="{_QUIET}"/>'
    content = f'<foreignObject width="{width}" height="{height}">{inside}</foreignObject>'
    return _svg(width, height, frame + content)


def screen_picture(lines: list[str]) -> str:
    """Lines of a terminal as an SVG; what was typed stands in bold."""
    width, height = round(82 * _LETTER), _LINE * len(lines) + 24
    texts = [f'<rect width="{width}" height="{height}" fill="{_PAPER}" stroke="{_QUIET}"/>']
    for number, line in enumerate(lines):
        prompt, mark, typed = line.partition("> ") if line.startswith("[") else (line, "", "")
        said = f'{escape(prompt + mark)}<tspan font-weight="bold">{escape(typed)}</tspan>'
        y = 12 + _LINE * (number + 1) - 5
        texts.append(f'<text x="12" y="{y}" xml:space="preserve">{said}</text>')
    group = f'<g font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="14" fill="{_INK}">'
    return _svg(width, height, f"{group}{''.join(texts)}</g>")


def _svg(width: int, height: int, content: str) -> str:
    size = f'width="{width}" height="{height}" viewBox="0 0 {width} {height}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{content}</svg>\n'


def _case(kb: Knowledge, read: int = len(FOUND)) -> Case:
    case = Case(kb, LOADER)
    for name, value in FOUND[:read]:
        case.record(name, value)
    return case


def _sheet(kb: Knowledge) -> str:
    case = _case(kb)
    case.repaired("renew_disconnect", cured=True)
    for name, value in PROVEN:
        case.record(name, value)
    fields = (("job", "4711"), ("serial", "L7-0042"), ("hours", "8210"))
    told = SheetMeta("7-114", "loader 7", "cranks slow", confirmed=("disconnect_contacts",), fields=fields)
    return sheet_html(sheet_of(case, told))


def _session() -> list[str]:
    lines = (Path(__file__).parent / "technician.md").read_text("utf-8").splitlines()
    first = next(n for n, line in enumerate(lines) if line.startswith("[") and "> " in line)
    return [clipped(line, _COLUMNS) for line in lines[first : first + _SHOWN]]


def _session_picture(kb: Knowledge) -> str:
    del kb  # it is recorded already
    return screen_picture(_session())


def _card_picture(kb: Knowledge) -> str:
    return page_picture(card_page(_case(kb, 4), "positive_leg_drop", "loader 7"), 390, 844)


def _chart_picture(kb: Knowledge) -> str:
    return page_picture(chart_html(chart_of(_case(kb, 2), 2, "cranks slow, every time")), 794, 700)


def _sheet_picture(kb: Knowledge) -> str:
    return page_picture(_sheet(kb), 794, 1095)


PICTURES = {
    "session": _session_picture, "card": _card_picture, "chart": _chart_picture, "sheet": _sheet_picture,
}  # fmt: skip
"""Every picture of README: its name -> what draws it."""


def main() -> None:
    """Write all of them."""
    FOLDER.mkdir(exist_ok=True)
    kb = load_knowledge()
    for name, draw in PICTURES.items():
        (FOLDER / f"{name}.svg").write_text(draw(kb), "utf-8")


if __name__ == "__main__":
    main()
