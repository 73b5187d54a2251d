"""The chart from inside a case."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from crankpath.engine.knowledge.records import Knowledge

OPENING = ("it only hums", "slow", "every time", "")


def test_a_chart_is_shown_from_where_the_case_stands_or_written(
    small: Knowledge, sit: Callable[..., Any], tmp_path: Path
) -> None:
    sitting = sit(small)
    sitting.type(*OPENING)
    assert any(line.startswith("FAULT CHART: it only hums") for line in sitting.type("chart"))
    page, text = tmp_path / "next.html", tmp_path / "next.txt"
    assert "written to" in " ".join(sitting.type(f"chart {page}"))
    sitting.type(f"chart {text}")
    assert page.read_text("utf-8").startswith("<!DOCTYPE html>")
    assert text.read_text("utf-8").startswith("FAULT CHART")
    assert "exists already" in " ".join(" ".join(sitting.type(f"chart {page}")).split())
    assert ".html or .txt" in " ".join(sitting.type("chart next.pdf"))
