"""Silences: what they keep back, and those that keep nothing back."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from crankpath.engine.checking.checks import check_knowledge
from crankpath.engine.knowledge.records import Knowledge

Laid = Callable[..., Knowledge]

UNUSED = "tools: {lamp: {label: lamp}}\n"
SILENCE = "silence: {%s: {entries: [%s], because: it is for next year}}\n"


def told(kb: Knowledge) -> list[str]:
    return [f"{p.check}: {p.message}" for p in check_knowledge(kb)]


def test_the_clean_base_is_clean_under_all_checks(laid: Laid) -> None:
    assert told(laid()) == []


@pytest.mark.parametrize("name", ["lamp", "tools/lamp", "tools"])
def test_a_finding_is_silenced_by_id_by_section_and_id_or_by_section(laid: Laid, name: str) -> None:
    assert told(laid(UNUSED)) == ["unused: tools lamp is used nowhere"]
    assert told(laid(UNUSED + SILENCE % ("unused", name))) == []


def test_a_silence_speaks_of_its_own_check_only(laid: Laid) -> None:
    assert sorted(told(laid(UNUSED + SILENCE % ("no_source", "lamp")))) == [
        "idle_silence: no_source finds nothing in 'lamp', so there is nothing to silence",
        "unused: tools lamp is used nowhere",
    ]


def test_a_silence_that_outlived_its_cause_is_told_at_its_line(laid: Laid) -> None:
    (problem,) = check_knowledge(laid(SILENCE % ("no_source", "joint")))
    assert (problem.check, problem.origin.file, problem.origin.line) == ("idle_silence", "shop.yaml", 1)


@pytest.mark.parametrize("check", ["unusd", "structure", "idle_silence"])
def test_what_cannot_be_silenced_is_told(laid: Laid, check: str) -> None:
    (line,) = told(laid(SILENCE % (check, "joint")))
    assert line == f"idle_silence: '{check}' is no check that can be silenced"


def test_a_shop_adds_to_the_silences_below_and_replaces_none(laid: Laid) -> None:
    base = {"old": "tools:\n", "new": SILENCE % ("unused", "lamp") + "tools:\n  lamp: {label: lamp}\n"}
    assert told(laid("tools: {saw: {label: saw}}\n" + SILENCE % ("unused", "saw"), **base)) == []


def test_physics_may_be_silenced_where_it_did_not_run(laid: Laid) -> None:
    assert told(laid(SILENCE % ("physics", "slight_shows"))) == []
