"""Rules that could be written for one fault alone, in the place of no other rule."""

from __future__ import annotations

import pytest

from crankpath.engine import Case
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.records import Knowledge


@pytest.fixture
def model(kb: Knowledge) -> Model:
    return Case(kb, {"system_voltage": 12}).assessment.model


def test_a_rule_on_a_kind_may_be_narrowed_where_no_other_speaks_of_the_fault(model: Model) -> None:
    assert model.may_be_narrowed("slight_resistance_shows_across", "positive_cable")


def test_not_where_a_rule_with_a_further_condition_would_lose_its_place(model: Model) -> None:
    # one for machines that still crank speaks before it; a copy that names the fault would speak before that
    assert not model.may_be_narrowed("bad_resistance_spares_the_battery", "positive_cable")


def test_rules_whose_conditions_exclude_each_other_are_in_nobodys_way(model: Model) -> None:
    # this one is not said of silent and slow machines, the ones before it only of those
    assert model.may_be_narrowed("bad_resistance_lowers_the_current", "positive_cable")
