from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crankpath.shell.outlets.drawing.picture import DrawnSegment, Picture, PicturePoint, Run
from crankpath.shell.outlets.drawing.text import ASCII, NARROW, UNICODE, WIDE, Signs, draw_control, draw_main
from crankpath.shell.text.columns import columns

Draw = Callable[..., Picture]

LEG = ("positive", "stud")
VALUES = {"cable_in": "0.31 V", "switch": "12 mV", "battery": "11.2 V", "ground": "0.1 V"}


def golden(text: str) -> list[str]:
    return [line.rstrip() for line in textwrap.dedent(text).strip("\n").splitlines()]


def indented(lines: Sequence[str]) -> list[str]:
    """As dedent leaves a golden drawing: without the margin that all its lines share."""
    return textwrap.dedent("\n".join(lines)).splitlines()


def test_a_wide_terminal_shows_the_main_circuit_as_a_loop(draw: Draw) -> None:
    assert indented(draw_main(draw(LEG, VALUES, disconnect=True))) == golden("""
             +---------------------[ battery bank 11.2 V ]----------------------+
        red> o  B+ post                                                B- post  o
             #    cable up to the       0.31 V  0.1 V    ground cable <2 m &    |
             #    disconnect switch                                  50 mm2>    |
             o  disc. in                                                  case  o
             #    contacts               12 mV                                  |
             o  disc. out                                                       |
             #    cable from there on                                           |
             o  pos lug                                                         |
             #    joint of lug and stud                                         |
        blk> o  BAT stud                                                        |
             +------------------------[ starter motor ]-------------------------+
    """)


def test_leads_on_the_way_back_stand_on_the_right(draw: Draw) -> None:
    assert indented(draw_main(draw(("case", "negative")), signs=UNICODE)) == golden("""
        ┌─────────────────────────[ battery bank ]─────────────────────────┐
        ○  B+ post                                                B- post  ○ ◀blk
        │    positive cable                 ground cable <2 m & 50 mm²>    ┃
        ○  pos lug                                                   case  ○ ◀red
        │    joint of lug and stud                                         │
        ○  BAT stud                                                        │
        └────────────────────────[ starter motor ]─────────────────────────┘
    """)


def test_a_narrow_terminal_shows_the_main_circuit_as_a_list(draw: Draw) -> None:
    assert indented(draw_main(draw(LEG, VALUES, disconnect=True), width=NARROW)) == golden("""
             +--[ battery bank 11.2 V ]
        red> o  B+ post
             #    cable up to the       0.31 V
             #    disconnect switch
             o  disc. in
             #    contacts               12 mV
             o  disc. out
             #    cable from there on
             o  pos lug
             #    joint of lug and stud
        blk> o  BAT stud
             |    starter motor
             o  case
             |    ground cable <2 m &    0.1 V
             |    50 mm2>
             o  B- post
             +--[ back to: battery bank ]
    """)


def test_control_runs_stand_beside_each_other_on_a_wide_terminal(draw: Draw) -> None:
    assert indented(draw_control(draw(("coil_out", "negative"), {"coil_ground": "0.02 V"}))) == golden("""
             @  BAT stud                             @  BAT stud
             |    key switch                         |    relay contacts
             o  key start                            o  S term
             |    relay coil                         |    solenoid windings
        red> o  coil -                               @  case
             #    coil ground           0.02 V
        blk> @  B- post
    """)


def test_control_runs_stand_below_each_other_on_a_narrow_terminal(draw: Draw) -> None:
    assert indented(draw_control(draw(("terminal", "case")), width=NARROW, signs=UNICODE)) == golden("""
             ●  BAT stud
             │    key switch
             ○  key start
             │    relay coil
             ○  coil -
             │    coil ground
             ●  B- post

             ●  BAT stud
             │    relay contacts
        red▶ ○  S term
             ┃    solenoid windings
        blk▶ ●  case
    """)


def test_across_the_posts_the_battery_has_the_heavy_line(draw: Draw) -> None:
    first, *others = draw_main(draw(("positive", "negative")))
    assert first.strip() == "+=========================[ battery bank ]=========================+"
    assert not any("#" in line for line in others)


def test_a_machine_without_control_segments_has_no_control_drawing(draw: Draw) -> None:
    seen = draw()
    assert draw_control(Picture(seen.battery, seen.load, seen.there, seen.back, ())) == ()


def test_ohms_degrees_and_accents_are_spelled_out_in_ascii(draw: Draw) -> None:
    lines = draw_main(draw(labels={"cable": "câble 20 °C"}, values={"cable": "3 mΩ"}), width=NARROW)
    assert "     |    cable 20 degC         3 mohm" in lines


ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)
PIECES = st.builds(DrawnSegment, ANY_TEXT, ANY_TEXT, st.just("plates"), st.just(""), ANY_TEXT, st.booleans())


@st.composite
def runs(draw_value: st.DrawFn, on_main: bool = True) -> Run:
    pieces = draw_value(st.lists(PIECES, min_size=1, max_size=4))
    lead = st.sampled_from([None, "red", "black"])
    stop = st.builds(PicturePoint, ANY_TEXT, ANY_TEXT, st.just(on_main), lead)
    return Run(tuple(draw_value(stop) for _ in range(len(pieces) + 1)), tuple(pieces))


PICTURES = st.builds(
    Picture, PIECES, PIECES, runs(), runs(), st.lists(runs(on_main=False), max_size=3).map(tuple)
)


@pytest.mark.parametrize("width", [NARROW, 60, WIDE])
@settings(max_examples=25)
@given(seen=PICTURES)
def test_whatever_the_texts_lines_fit_and_ascii_stays_ascii(width: int, seen: Picture) -> None:
    for draw_it in (draw_main, draw_control):
        lines = draw_it(seen, width=width, signs=ASCII)
        assert all(len(line) <= width and line.isascii() for line in lines)
        drawn = draw_it(seen, width=width, signs=UNICODE)
        assert all(columns(line) <= width and line.isprintable() for line in drawn)


@pytest.mark.parametrize("signs", [ASCII, UNICODE], ids=["ascii", "unicode"])
@settings(max_examples=25)
@given(seen=PICTURES)
def test_every_test_point_has_its_dot_in_the_loop(signs: Signs, seen: Picture) -> None:
    lines = draw_main(seen, signs=signs)[1:-1]
    assert sum(in_column(line, 5) == signs.dot for line in lines) == len(seen.there.stops)
    assert sum(in_column(line, 72) == signs.dot for line in lines) == len(seen.back.stops)


def in_column(line: str, column: int) -> str:
    return next((letter for n, letter in enumerate(line) if columns(line[:n]) == column), "")
