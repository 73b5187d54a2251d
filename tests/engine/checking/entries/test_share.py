"""Shares out of line."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


def test_shares_about_one_together_are_fine(finds: Finds) -> None:
    assert finds("share") == []


def test_a_share_too_large_for_one_fault_is_told(finds: Finds) -> None:
    (told, *_) = finds("share", old="share: 0.2,", new="share: 0.35,")
    assert told == "faults/switch: fault switch: a share of 0.35 is out of line"


def test_a_share_too_small_is_told(finds: Finds) -> None:
    (told, *_) = finds("share", old="share: 0.2,", new="share: 0.00001,")
    assert "a share of 1e-05 is out of line" in told


def test_a_sum_too_small_is_told_with_its_machine(finds: Finds) -> None:
    assert finds(
        "share", old="share: 0.25, repair: replace_starter", new="share: 0.05, repair: replace_starter"
    ) == ["faults/cable: the shares of all faults add up to 0.6; the largest is that of cable"]


def test_a_sum_too_large_on_one_machine_only_is_told(finds: Finds) -> None:
    text = "faults:\n" + "".join(
        f"  extra_{n}: {{like: switch, label: extra {n}, share: 0.15, places: [switch]}}\n"
        for n in range(4)
    )
    (told,) = finds("share", text)
    assert "with disconnect true" in told
