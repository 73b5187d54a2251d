"""Where the two leads go, in the fewest lines: the points, and what lies between them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.outlets.drawing.picture import DrawnSegment, Picture, Run, picture
from crankpath.shell.text.columns import wrapped

_MARGIN = "      "


def leads(case: Case, m: Measurement, width: int) -> list[str]:
    """The two points with what is between them, heavy; empty for a reading without leads.

    ::

         red> o battery positive post
              # joint of positive post and clamp
         blk> o positive battery clamp
    """
    if m.between is None:
        return []
    red, black = (case.kb.points[point].label for point in m.between)
    try:
        drawn = picture(case.kb, case.assessment.model.circuit, m)
    except ValueError:
        return _three(red, [], black, width)
    battery = drawn.battery.label if drawn.battery.marked else None
    between = [battery] if battery else list(_between(drawn, m.between))
    lines = _three(red, between, black, width)
    if not between:
        feed = [piece.label for piece in _marked(drawn)]
        lines += wrapped(f"the path: {', '.join(feed)}", width, _MARGIN) if feed and m.spans else []
    return lines


def _three(red: str, between: Sequence[str], black: str, width: int) -> list[str]:
    middle = (
        wrapped(", ".join(between), width, f"{_MARGIN}#  ", f"{_MARGIN}#  ") if between else [f"{_MARGIN}:"]
    )
    return [
        *wrapped(red, width, " red> o  ", _MARGIN + "   "),
        *middle,
        *wrapped(black, width, " blk> o  ", _MARGIN + "   "),
    ]


def _between(drawn: Picture, ends: tuple[str, str]) -> Iterator[str]:
    """Labels of the pieces from one lead to the other, if one run holds both."""
    whole = Run(drawn.there.stops + drawn.back.stops, (*drawn.there.pieces, drawn.load, *drawn.back.pieces))
    for run in (whole, *drawn.control):
        places = [n for n, stop in enumerate(run.stops) if stop.id in ends]
        if len(places) == 2:
            yield from (piece.label for piece in run.pieces[places[0] : places[1]])
            return


def _marked(drawn: Picture) -> Iterator[DrawnSegment]:
    for run in (drawn.there, drawn.back, *drawn.control):
        yield from (piece for piece in run.pieces if piece.marked)
