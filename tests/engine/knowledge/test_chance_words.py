"""Chances as written become the chance of every band."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.knowledge.chance_words import FLOOR, ChanceError, chance, spread

SCALE = {"often": 0.8, "seldom": 0.05}
BANDS = ("low", "near", "high", "severe")


def test_what_is_left_is_spread_evenly_over_the_bands_not_named() -> None:
    assert spread({"high": "often"}, BANDS, SCALE) == pytest.approx((0.2 / 3, 0.2 / 3, 0.8, 0.2 / 3))


def test_named_chances_are_meant_literally() -> None:
    assert spread({"high": 0.5, "severe": 0.3}, BANDS) == pytest.approx((0.1, 0.1, 0.5, 0.3))


def test_no_band_is_ever_impossible() -> None:
    found = spread({"high": 1}, BANDS)
    assert min(found) == pytest.approx(FLOOR / (1 + 3 * FLOOR))
    assert found[2] == pytest.approx(1 / (1 + 3 * FLOOR))


def test_chances_of_all_bands_may_miss_one_a_little_and_are_normalised() -> None:
    assert spread({"low": 0.5, "high": 0.46}, ("low", "high")) == pytest.approx((0.5 / 0.96, 0.46 / 0.96))
    assert spread({"low": 0.5, "high": 0.54}, ("low", "high")) == pytest.approx((0.5 / 1.04, 0.54 / 1.04))


@pytest.mark.parametrize("reads", [{"low": 0.5, "high": 0.4}, {"low": 0.5, "high": 0.6}])
def test_chances_of_all_bands_that_miss_one_by_more_are_refused(reads: dict[str, float]) -> None:
    with pytest.raises(ChanceError, match="add up to"):
        spread(reads, ("low", "high"))


def test_more_than_one_is_refused_even_if_bands_are_unnamed() -> None:
    with pytest.raises(ChanceError, match=r"add up to 1\.6, more than 1"):
        spread({"high": 0.8, "near": "often"}, BANDS, SCALE)


def test_none_goes_to_low_where_a_measurement_has_no_band_none() -> None:
    assert spread({"none": 0.7}, ("low", "high")) == pytest.approx((0.7, 0.3))
    assert spread({"none": 0.7, "low": 0.1}, ("low", "near", "high")) == pytest.approx((0.8, 0.1, 0.1))
    assert spread({"none": 0.7}, ("none", "low", "high")) == pytest.approx((0.7, 0.15, 0.15))


def test_any_other_missing_band_is_refused_with_a_near_spelling() -> None:
    with pytest.raises(ChanceError, match=r"'sever' is no band here. Did you mean severe\?"):
        spread({"sever": 0.7}, BANDS)
    with pytest.raises(ChanceError, match="'none' is no band"):
        spread({"none": 0.7}, ("small", "high"))


def test_a_word_that_is_not_on_the_scale_is_refused_with_a_near_spelling() -> None:
    with pytest.raises(ChanceError, match=r"'offen' is no word of the scale. Did you mean often\?"):
        spread({"high": "offen"}, BANDS, SCALE)


@pytest.mark.parametrize("written", [True, None, [0.5], 1.01, -0.1, float("nan")])
def test_what_is_no_chance_is_refused(written: object) -> None:
    with pytest.raises(ChanceError, match="no chance"):
        chance(written, SCALE)


def test_nothing_named_is_refused() -> None:
    with pytest.raises(ChanceError, match="name at least one"):
        spread({}, BANDS)


@given(st.dictionaries(st.sampled_from(BANDS), st.floats(0, 0.25), min_size=1, max_size=3))
def test_the_result_sums_to_one_and_keeps_the_order_of_what_is_named(reads: dict[str, float]) -> None:
    found = dict(zip(BANDS, spread(reads, BANDS), strict=True))
    assert sum(found.values()) == pytest.approx(1)
    assert min(found.values()) > 0
    for one in reads:
        for other in reads:
            if reads[one] > max(reads[other], FLOOR):
                assert found[one] > found[other]
