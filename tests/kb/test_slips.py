"""Slips that mechanics make are told first, at their line, with what to type; sound shops are left alone.

The slips stand in slips_made/, the shops in shops/; ``python tests/kb/slips.py`` tells how many are found.
"""

from __future__ import annotations

import pytest
from slips import NAMES, SHOPS, Slip, judged, slips_of

from crankpath.engine.checking.checks import check_folders

ONE_IN = 40
SHOP_NAMES = sorted(path.name for path in SHOPS.iterdir())


def test_there_are_a_hundred_and_fifty_slips_and_ten_shops_or_more() -> None:
    assert sum(len(slips_of(name)) for name in NAMES) >= 150
    assert len(SHOP_NAMES) >= 10


@pytest.mark.parametrize("slip", [s for n in NAMES for s in slips_of(n)][::ONE_IN], ids=lambda s: s.name)
def test_a_slip_is_told_first_at_its_line(slip: Slip) -> None:
    found, placed, _, problems = judged(slip)
    assert found
    assert placed, [str(problem) for problem in problems]


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_nearly_all_slips_are_found_and_placed(name: str) -> None:
    results = [judged(slip) for slip in slips_of(name)]
    assert sum(found for found, *_ in results) >= 0.98 * len(results)
    assert sum(placed for _, placed, *_ in results) >= 0.95 * len(results)


@pytest.mark.parametrize(
    "name", [*SHOP_NAMES[:2], *(pytest.param(name, marks=pytest.mark.slow) for name in SHOP_NAMES[2:])]
)
def test_no_sound_shop_has_a_false_alarm(name: str) -> None:
    kb, problems = check_folders(SHOPS / name)
    assert kb is not None
    assert [str(problem) for problem in problems] == []
