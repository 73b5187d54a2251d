"""``record`` in a session: a recording's cranks, taken as readings with one key."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import Knowledge


@pytest.fixture(autouse=True)
def _settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CRANKPATH_SETTINGS", str(tmp_path / "settings.json"))


@pytest.fixture
def start(tmp_path: Path) -> Path:
    """A battery that is loaded twice, at 100 samples a second; nothing turns."""
    rng = random.Random(1)
    file = tmp_path / "start 1.csv"
    with file.open("w", encoding="utf-8") as out:
        out.write("time (s),U (V)\n")
        for i in range(1200):
            volts = (9.8 if 200 <= i < 500 or 800 <= i < 1000 else 12.6) + rng.gauss(0, 0.005)
            out.write(f"{i / 100:.2f},{volts:.3f}\n")
    return file


def cranks(sitting: Any) -> list[tuple[int | None, float | str]]:
    entries = sitting.state.case.entries
    return [(e.crank, e.value) for e in entries if isinstance(e, Reading) and e.crank is not None]


def test_columns_are_asked_for_cranks_are_shown_and_enter_takes_them(
    sit: Callable[..., Any], shipped: Knowledge, start: Path
) -> None:
    sitting = sit(shipped)
    asked = sitting.type("cranks slow", f"record '{start}'")
    assert any("The recording has these columns: 1 time (s), 2 U (V)." in line for line in asked)
    assert sitting.prompt == "columns> "
    assert any("There is no one column '7'" in line for line in sitting.type("7=battery crank"))
    shown = sitting.type("2=battery crank")
    assert any(line.startswith(">> Crank 2, at 8.00 s, 1.99 s long") for line in shown)
    assert cranks(sitting) == []
    sitting.type("2")
    assert any("-- 1 reading of 1 crank taken." in line for line in sitting.type(""))
    ((crank, value),) = cranks(sitting)
    assert (crank, value) == (1, pytest.approx(9.8, abs=0.01))


def test_a_recording_can_be_left(sit: Callable[..., Any], shipped: Knowledge, start: Path) -> None:
    sitting = sit(shipped)
    sitting.type("cranks slow", f"record '{start}' 2=battery crank", "nonsense")
    assert sitting.prompt == "Enter = take> "
    assert "-- Stopped: nothing from the recording was taken." in sitting.type("n")
    assert cranks(sitting) == []


def test_a_file_that_cannot_be_read_is_refused_in_a_sentence(
    sit: Callable[..., Any], shipped: Knowledge, tmp_path: Path
) -> None:
    sitting = sit(shipped)
    sitting.type("cranks slow")
    assert "cannot be read" in " ".join(" ".join(sitting.type(f"record {tmp_path}/none.csv")).split())
    assert any("Name the file" in line for line in sitting.type("record"))
