"""What is said of an entry whose fields do not agree: the slip itself, once."""

from __future__ import annotations

from pathlib import Path

import pytest

from crankpath.engine.knowledge.loading import read_knowledge

CLEAN = (Path(__file__).parents[2] / "checking" / "clean.yaml").read_text("utf-8")


LAMP = """
equipment:
  lamp: {label: lamp, values: [yes, no], default: true}
cautions:
  hot: {text: Hot., short: Hot., only: {lamp: true}, source: [shop]}
"""
NO_UNIT = """
measurements:
  near:
    {label: near, asks: How?, group: drops, bands: [low, high], limits: [{at: [0.2], source: [shop]}],
     combination: adds, healthy: {between: [0, 0.1]}, state: cranking, minutes: 2, source: [shop]}
rules:
  r: {faults: [joint], measurements: [near], reads: {between: [1, 2]}, because: so, source: [shop]}
"""
LOOK = """
measurements:
  look:
    like: behaviour
    label: look
    short: look
    values: [good bad]
    healthy: {good: 0.9, bad: 0.1}
"""


@pytest.mark.parametrize(
    ("shop", "line", "says"),
    [
        (LAMP, 3, "Type [true, false]"),
        ("faults:\n  joint: {like: joint, leads_to: [joint]}\n", 2, "joint cannot lead to itself"),
        ("faults:\n  joint:\n    Like: joint\n    share: 0.2\n", 3, "Type like"),
        ("faults:\n  joint: {like: joint, places: []}\n", 2, "places"),
        ("repairs:\n  - clean_joint: {like: clean_joint, minutes: 5}\n", 2, "Take the '-' away"),
        (NO_UNIT, 3, "no 'unit'"),
        (LOOK, 7, "[good, bad]"),
    ],
)
def test_one_slip_is_one_finding(tmp_path: Path, shop: str, line: int, says: str) -> None:
    for name, text in (("base", CLEAN), ("shop", shop)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "one.yaml").write_text(text, "utf-8")
    _, problems = read_knowledge(tmp_path / "base", tmp_path / "shop", shipped=False)
    (told,) = problems
    assert told.origin.line == line
    assert says in str(told)
