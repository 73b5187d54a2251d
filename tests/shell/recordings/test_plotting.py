"""A crank as plain characters."""

from __future__ import annotations

from crankpath.engine.recordings.outline import Outline
from crankpath.shell.recordings.plotting import level_bar, plot, plot_columns

PAIRS = ((12.0, 12.0),) * 4 + ((6.0, 12.0),) + ((9.0, 9.0),) * 11 + ((12.0, 12.0),) * 4


def test_a_plot_has_its_scale_and_its_seconds() -> None:
    lines = plot(Outline(-0.4, 1.6, (PAIRS,)), 0, "V")
    assert lines == [
        "     12 V |||||           ||||",
        "              |",
        "              |",
        "              ||||||||||||",
        "              |",
        "              |",
        "      6 V     |",
        "              0 s       1 s",
    ]


def test_a_level_that_never_moves_is_drawn() -> None:
    lines = plot(Outline(0.0, 1.0, (((5.0, 5.0),) * 20,)), 0, "A")
    assert lines[0] == "      5 A " + "|" * 20


def test_a_plot_fits_its_terminal() -> None:
    for width in (40, 80, 132):
        pairs = ((9.0, 12.0),) * plot_columns(width)
        assert max(map(len, plot(Outline(-0.4, 3.0, (pairs,)), 0, "V"))) <= width


def test_a_bar_stays_within_its_width() -> None:
    assert [level_bar(v, 0.0, 12.0, 4) for v in (-1.0, 6.0, 12.0, 99.0)] == ["", "||", "||||", "||||"]
