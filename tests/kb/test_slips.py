"""Slips that mechanics make are told first, at their line, with what to type; sound shops are left alone.

The slips stand in slips.yaml, the shops in shops/; ``python tests/kb/slips.py`` tells how many are found.
"""

from __future__ import annotations

import pytest
from slips import SHOPS, Slip, all_slips, halves, judged

from crankpath.engine.checking.checks import check_folders

ONE_IN = 40
SHOP_NAMES = sorted(path.name for path in SHOPS.iterdir())


def test_there_are_a_hundred_and_fifty_slips_and_ten_shops() -> None:
    assert len(all_slips()) >= 150
    assert len(SHOP_NAMES) == 10
    seen, aside = halves()
    assert abs(len(seen) - len(aside)) <= 1


@pytest.mark.parametrize("slip", halves()[0][::ONE_IN], ids=lambda slip: slip.name)
def test_a_slip_is_told_first_at_its_line(slip: Slip) -> None:
    found, placed, _, problems = judged(slip)
    assert found
    assert placed, [str(problem) for problem in problems]


@pytest.mark.slow
@pytest.mark.parametrize("half", [0, 1], ids=("worked_with", "set_aside"))
def test_nearly_all_slips_are_found_and_placed(half: int) -> None:
    results = [judged(slip) for slip in halves()[half]]
    assert sum(found for found, *_ in results) >= 0.98 * len(results)
    assert sum(placed for _, placed, *_ in results) >= 0.95 * len(results)


@pytest.mark.parametrize(
    "name", [*SHOP_NAMES[:2], *(pytest.param(name, marks=pytest.mark.slow) for name in SHOP_NAMES[2:])]
)
def test_no_sound_shop_has_a_false_alarm(name: str) -> None:
    kb, problems = check_folders(SHOPS / name)
    assert kb is not None
    assert [str(problem) for problem in problems] == []
