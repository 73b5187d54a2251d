"""``like``: an entry takes from another what it does not write."""

from __future__ import annotations

from pathlib import Path

import pytest

from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.engine.knowledge.records import Knowledge

TINY = Path(__file__).parents[1] / "data" / "tiny"


def laid_over(folder: Path, text: str) -> tuple[Knowledge | None, list[str]]:
    (folder / "shop.yaml").write_text(text, "utf-8")
    kb, problems = read_knowledge(TINY, folder, shipped=False)
    return kb, [str(problem).replace(f"{folder}/", "") for problem in problems]


def sound(folder: Path, text: str) -> Knowledge:
    kb, problems = laid_over(folder, text)
    assert problems == []
    assert kb is not None
    return kb


def test_fields_that_are_not_written_are_taken_over(tmp_path: Path) -> None:
    kb = sound(tmp_path, "faults:\n  lug: {like: positive_post_joint, label: lug, away: seldom}\n")
    lug, post = kb.faults["lug"], kb.faults["positive_post_joint"]
    assert (lug.kinds, lug.degrees, lug.shares[0].chance, lug.proof) == (
        post.kinds, post.degrees, post.shares[0].chance, post.proof,
    )  # fmt: skip
    assert (lug.label, lug.away) == ("lug", 0.05)


def test_like_its_own_id_changes_single_fields_of_the_entry_below(tmp_path: Path) -> None:
    kb = sound(tmp_path, "faults:\n  positive_cable: {like: positive_cable, share: 0.09}\n")
    cable = kb.faults["positive_cable"]
    assert (cable.label, cable.shares[0].chance, cable.repair) == (
        "positive cable", 0.09, "replace_positive_cable",
    )  # fmt: skip


def test_like_may_go_over_several_entries_and_folders(tmp_path: Path) -> None:
    text = "repairs:\n  b: {like: a, label: b}\n  a: {like: clean_positive_post, label: a, minutes: 7}\n"
    assert sound(tmp_path, text).repairs["b"].minutes == 7
    assert sound(tmp_path, text).repairs["b"].parts_cost == 2


def test_an_own_place_drops_what_speaks_of_the_old_one(tmp_path: Path) -> None:
    text = """measurements:
  whole: {like: positive_leg_drop, label: whole, asks: "?", covers: [[battery_positive_post, positive_clamp]]}
  part: {like: whole, label: part, asks: "?", between: [positive_clamp, starter_battery_stud]}
"""
    kb = sound(tmp_path, text)
    assert kb.measurements["whole"].spans == (("battery_positive_post", "positive_clamp"),)
    assert kb.measurements["part"].spans == (("positive_clamp", "starter_battery_stud"),)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("faults: {x: {like: positve_cable, label: x}}", "Did you mean positive_cable?"),
        ("faults: {x: {like: y, label: x}, y: {like: x, label: y}}", "entries that are like each other"),
        ("faults: {x: {like: positive_cable}}", "fault x has no 'label'"),
        ("faults: {x: {like: [positive_cable], label: x}}", "is no id to be like"),
        ("faults: {x: {like: positive_cable, label: x, repair: none_such}}", "is not in 'repairs'"),
    ],
)
def test_slips_are_told_at_their_line(tmp_path: Path, text: str, said: str) -> None:
    kb, problems = laid_over(tmp_path, text + "\n")
    assert kb is None
    assert any(said in problem and problem.startswith("shop.yaml:1:") for problem in problems), problems


def test_a_slip_in_what_is_inherited_is_told_where_like_stands(tmp_path: Path) -> None:
    text = (
        "faults:\n  y: {like: positive_cable, label: y, repair: no_such_work}\n  x:\n    label: x\n  "
        "  like: y\n"
    )
    _, problems = laid_over(tmp_path, text)
    assert any(problem.startswith("shop.yaml:5:5: fault x repair:") for problem in problems), problems
