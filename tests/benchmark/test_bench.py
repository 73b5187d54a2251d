"""The benchmark on the shipped base."""

from __future__ import annotations

import bench
from bench_report import plot, table
from bench_timing import Steps
from click.testing import CliRunner


def test_it_prints_a_line_for_the_shipped_base() -> None:
    done = CliRunner().invoke(bench.main, ["--small", "--runs", "1"])
    assert done.exit_code == 0, done.output
    (line,) = [line for line in done.output.splitlines() if line.startswith("shipped")]
    assert len(line.split()) == 9


def test_a_row_of_the_table_stands_under_its_headings() -> None:
    lines = table([Steps("300 x 300", 450, 101326, 1.0, 2.0, 3.0, 4.0, 5.0, None)])
    assert lines[-1].split() == ["300", "x", "300", "450", "101326", "1.0", "2.0", "3.0", "4.0", "5.0", "-"]
    assert len(lines[0]) == len(lines[-1])


def test_the_plot_has_one_mark_a_point_and_says_the_power() -> None:
    lines = plot([(50.0, 10.0), (100.0, 20.0), (200.0, 40.0)], 1.0)
    assert sum(line.count("o") for line in lines[:-1]) == 3
    assert lines[-1].endswith("to the power 1.00")
