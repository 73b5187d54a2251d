"""What the guide says of checks and of the splice is what there is."""

from __future__ import annotations

import re
from pathlib import Path

from crankpath.engine.checking.checks import CHECKS
from crankpath.engine.folders import shipped_folder

GUIDE = (shipped_folder() / "README.md").read_text("utf-8")


def test_the_guide_names_every_check() -> None:
    assert [check.id for check in CHECKS if f"`{check.id}`" not in GUIDE] == []


def test_the_splice_of_the_guide_is_the_one_that_is_tested() -> None:
    shown = re.search(r"<!-- splice:start -->\n```yaml\n(.*?)```\n<!-- splice:end -->", GUIDE, re.DOTALL)
    assert shown is not None
    assert shown[1] == (Path(__file__).parent / "splice.yaml").read_text("utf-8")
