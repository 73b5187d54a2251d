"""Whole cases from the complaint to the proof, in a real terminal, on readings of solved machines."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest
from playing import Person, asked_by

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.engine.solved.machine import Machine

WIDE, NARROW = (80, 24), (40, 20)


def slowly(size: tuple[int, int]) -> object:
    return pytest.param(*size, marks=pytest.mark.slow)


def play(window: Any, person: Person, most: int = 600) -> str:
    """Answer every prompt until the case is closed; the question must never scroll away.

    Returns everything that was on the screens, in one line.
    """
    seen = ""
    for _ in range(most):
        prompt = asked_by(window.prompt)
        if prompt == "case":
            return " ".join(seen.replace("\n>> ", " ").split())
        assert ">> " in window.text, f"the question is not on the screen:\n{window.text}"
        assert not window.line.startswith(" ")
        seen += "\n" + window.text
        window.type(person.answer(prompt, window.text))
    raise AssertionError(f"the case did not end:\n{window.text}")


def person(kb: Knowledge, machine: Machine, seed: int, complaint: str) -> Person:
    return Person(kb, machine, random.Random(seed), complaint)


@pytest.mark.parametrize(("columns", "rows"), [slowly(WIDE), slowly(NARROW)])
def test_a_constant_fault_is_found_repaired_and_proven(
    shipped: Knowledge, window: Callable[..., Any], columns: int, rows: int
) -> None:
    machine = draw_machine(random.Random(3), shipped, faults={"positive_post_joint": "bad"})
    terminal = window(columns, rows)
    mechanic = person(shipped, machine, 4, "just clicks")
    seen = play(terminal, mechanic)
    assert mechanic.machine.healthy
    assert mechanic.done == ["clean_positive_post"]
    assert "Prove the repair" in seen
    assert "closed" in terminal.text
    assert "positive post" in terminal.text


@pytest.mark.parametrize(("columns", "rows"), [slowly(WIDE), slowly(NARROW)])
def test_an_intermittent_fault_is_proven_by_good_cranks(
    shipped: Knowledge, window: Callable[..., Any], columns: int, rows: int
) -> None:
    machine = draw_machine(random.Random(10), shipped, faults={"negative_cable": "slight"}, intermittent=True)
    terminal = window(columns, rows)
    mechanic = person(shipped, machine, 2, "turns over slow, comes and goes")
    seen = play(terminal, mechanic)
    assert mechanic.machine.healthy
    assert "Did it fail during this reading" in seen
    assert "more to go" in seen
    assert "The chance that it is not fixed is below" in seen
    assert "closed" in terminal.text


@pytest.mark.parametrize(("columns", "rows"), [slowly(WIDE), slowly(NARROW)])
def test_two_faults_are_found_one_after_the_other(
    shipped: Knowledge, window: Callable[..., Any], columns: int, rows: int
) -> None:
    faults = {"positive_post_joint": "bad", "negative_cable": "bad"}
    machine = draw_machine(random.Random(5), shipped, faults=faults)
    terminal = window(columns, rows)
    mechanic = person(shipped, machine, 6, "barely turns")
    play(terminal, mechanic)
    assert mechanic.machine.healthy
    assert {"clean_positive_post", "replace_negative_cable"} <= set(mechanic.done)
    assert "closed" in terminal.text


@pytest.mark.parametrize(("columns", "rows"), [slowly(WIDE), slowly(NARROW)])
def test_what_nothing_listed_explains_is_said_so(
    shipped: Knowledge, window: Callable[..., Any], columns: int, rows: int
) -> None:
    machine = draw_machine(random.Random(8), shipped, faults={})
    terminal = window(columns, rows)
    mechanic = person(shipped, machine, 9, "turns over slow")
    mechanic.never_cured = True
    seen = play(terminal, mechanic)
    assert "Nothing listed here explains this" in seen
    assert "none confirmed" in terminal.text
