"""Faults whose repair no reading proves."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


def test_a_proof_that_the_fault_changes_is_fine(finds: Finds) -> None:
    assert finds("no_proof") == []


def test_a_fault_without_a_proof_is_told(finds: Finds) -> None:
    (told,) = finds("no_proof", old="proof: joint_drop, ", new="")
    assert told.startswith("faults/joint: fault joint has no 'proof'")


def test_a_proof_that_the_fault_leaves_alone_is_told(finds: Finds) -> None:
    (told,) = finds("no_proof", old="proof: joint_drop", new="proof: cable_drop")
    assert told == "faults/joint: fault joint: its proof cable_drop reads much the same with it as without"
