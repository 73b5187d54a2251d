"""The table of faults: nothing acknowledged is lost, and what two damaged files lost is told."""

from __future__ import annotations

import importlib.util
import os
import shutil
import tempfile
from pathlib import Path

import pytest

SCRIPT = Path(__file__).with_name("fault_table.py")


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="the writers are forked")
def test_nothing_acknowledged_is_lost_and_nothing_missing_is_kept_quiet(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("TMPDIR")  # another user runs the database: no folder of pytest is open to it
    monkeypatch.setattr(tempfile, "tempdir", None)
    spec = importlib.util.spec_from_file_location("fault_table", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    script = importlib.util.module_from_spec(spec)
    monkeypatch.setitem(__import__("sys").modules, "fault_table", script)
    spec.loader.exec_module(script)
    without = () if shutil.which("initdb") else ("network database goes away",)
    for name, row in script.table(1, left_out=without).items():
        assert row.unsaid == 0, name
        assert row.lost == 0 or "both" in name or "and journal" in name, name
