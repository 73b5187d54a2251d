"""Text of a recording as samples: whole blocks at once, odd lines one by one, and everything odd told."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest

from crankpath.engine.recordings.layout import layout_of
from crankpath.engine.recordings.remarks import Remarks
from crankpath.engine.recordings.samples import Block, EvenBlock, SampleReader


def read(text: str, pieces: int = 1, unit: str | None = "s",
         gap: float = 2.0) -> tuple[list[Block], tuple[str, ...]]:  # fmt: skip
    """The blocks of a text fed in so many pieces, and the remarks."""
    remarks = Remarks()
    layout = layout_of(text.split("\n")[:50])
    columns = [(column.place, 1.0) for column in layout.columns[1:]]
    reader = SampleReader(layout, 1, unit, columns, gap, remarks)
    cuts = [len(text) * i // pieces for i in range(pieces + 1)]
    blocks = [b.whole() for a, z in pairwise(cuts) for b in reader.feed(text[a:z])]
    return [*blocks, *(b.whole() for b in reader.end())], remarks.sentences()


def joined(blocks: list[Block]) -> tuple[list[float], list[list[float]]]:
    columns = zip(*(block.columns for block in blocks), strict=True)
    return [t for b in blocks for t in b.times], [[v for part in column for v in part] for column in columns]


@pytest.mark.parametrize("pieces", [1, 2, 7, 60])
def test_a_recording_reads_the_same_in_pieces_of_any_size(pieces: int) -> None:
    text = "t (s);U (V);I (A)\n" + "".join(f"{i / 10:.1f};12,{i};-{i},5\n" for i in range(10, 40))
    blocks, remarks = read(text.replace(".", ","), pieces)
    times, (volts, amperes) = joined(blocks)
    assert times == pytest.approx([i / 10 for i in range(10, 40)])
    assert volts == pytest.approx([12 + i / 100 for i in range(10, 40)])
    assert amperes == [-i - 0.5 for i in range(10, 40)]
    assert [block.begins for block in blocks] == [True] + [False] * (len(blocks) - 1)
    assert remarks == ()


def test_a_last_line_without_an_end_counts() -> None:
    assert joined(read("t (s),U (V)\n0,12.6\n1,12.5")[0]) == ([0.0, 1.0], [[12.6, 12.5]])


def test_lines_that_are_no_samples_are_left_out_and_told_with_their_numbers() -> None:
    text = "t (s),U (V)\n0,12.6\n1,\n2,OL\nt (s),U (V)\n3,12.4\n4,12.3,7\n\n5,nan\n6,12.2\n"
    blocks, remarks = read(text, gap=9)
    assert joined(blocks) == ([0.0, 3.0, 6.0], [[12.6, 12.4, 12.2]])
    assert remarks == (
        "Left out: lines where a column is empty or no number (lines 3, 4, 5, 9).",
        "Left out: lines without 2 columns (line 7).",
    )


def test_a_line_without_end_is_not_kept_for_ever() -> None:
    _, remarks = read("t (s),U (V)\n0,12.6\n" + "1" * 3_000_000, pieces=4)
    assert any("a line without end" in remark for remark in remarks)


def test_a_gap_begins_a_new_stretch_and_is_told() -> None:
    blocks, remarks = read("t (s),U (V)\n0,12.6\n1,12.5\n60,12.4\n61,12.4\n")
    assert [(b.times, b.begins) for b in blocks] == [([0.0, 1.0], True), ([60.0, 61.0], True)]
    assert remarks == ("No samples for longer than 2 s; a crank in such a gap is not seen (line 4).",)


def test_a_clock_that_goes_back_begins_a_new_stretch_and_is_told() -> None:
    blocks, remarks = read("t (s),U (V)\n10,12.6\n11,12.5\n3,12.4\n4,12.4\n")
    assert [(b.times, b.begins) for b in blocks] == [([10.0, 11.0], True), ([3.0, 4.0], True)]
    assert remarks == ("The clock goes back; what follows is taken as a recording of its own (line 4).",)


def test_a_clock_goes_on_over_midnight() -> None:
    blocks, remarks = read("t,U (V)\n23:59:59,12.6\n00:00:00,12.5\n00:00:01,12.4\n", unit=None)
    assert joined(blocks)[0] == [86399.0, 86400.0, 86401.0]
    assert [block.begins for block in blocks] == [True]
    assert remarks == ()


def test_a_long_even_stretch_is_told_by_its_lowest_and_highest_and_reads_as_its_samples() -> None:
    rng = random.Random(1)
    volts = [round(rng.gauss(12.6, 0.01), 3) for _ in range(5000)]
    text = "t (s),U (V)\n" + "".join(f"{i / 100:.2f},{v:.3f}\n" for i, v in enumerate(volts))
    layout = layout_of(text.split("\n")[:50])
    (block,) = SampleReader(layout, 1, "s", [(2, 1000.0)], 2.0, Remarks()).feed(text)
    assert isinstance(block, EvenBlock)
    assert block.extremes(0) == pytest.approx((1000 * min(volts), 1000 * max(volts)))
    assert block.step == pytest.approx(0.01)
    assert block.whole().times == pytest.approx([i / 100 for i in range(5000)])
    assert block.tail(3).columns[0] == pytest.approx([1000 * v for v in volts[-3:]])


@pytest.mark.parametrize("odd", ["17.00,x", "17.00,12.6,1", "99.00,12.6", "3.00,12.6", "17.00,nan", "17.00,"])
def test_one_odd_line_in_a_long_stretch_is_told(odd: str) -> None:
    lines = [f"{i / 100:.2f},12.6" for i in range(5000)]
    lines[1700:1700] = [odd]
    _, remarks = read("t (s),U (V)\n" + "\n".join(lines) + "\n")
    assert any("1702" in remark for remark in remarks)
