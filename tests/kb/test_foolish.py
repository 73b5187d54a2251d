"""Advice that an electrician would laugh at does not come back."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge

CASES: list[dict[str, Any]] = yaml.safe_load((Path(__file__).parent / "foolish.yaml").read_text("utf-8"))


def at(kb: Knowledge, written: dict[str, Any]) -> Case:
    case = Case(kb, written.get("equipment", {}))
    for name, value in written["readings"].items():
        case.record(name, value)
    for name in written.get("cannot", ()):
        case.cannot(name)
    return case


@pytest.mark.parametrize("written", CASES, ids=[case["about"] for case in CASES])
def test_it_is_not_asked(kb: Knowledge, written: dict[str, Any]) -> None:
    verdict = at(kb, written).verdict()
    assert not {verdict.measurement, *verdict.together} & set(written.get("never", ())), verdict
    if "first" in written:
        assert {verdict.measurement, verdict.repair} & set(written["first"]), verdict


def test_no_reading_asked_for_is_worth_nothing(kb: Knowledge) -> None:
    for written in CASES:
        case = at(kb, written)
        verdict = case.verdict()
        if verdict.action == "measure" and not verdict.again:
            worth = {s.measurement: s.bits for s in case.suggestions()}
            assert all(worth[name] > 0.0 for name in verdict.together), verdict
