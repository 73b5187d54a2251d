"""What each crank, reading and sum gives one set of faults."""

from __future__ import annotations

from collections.abc import Callable
from math import prod

import pytest

from crankpath.engine import Case
from crankpath.engine.advice.accounting import account
from crankpath.engine.advice.followed_hypothesis import Factor, WeighedReading
from crankpath.engine.bayes.evidence import Metered
from crankpath.engine.inference.ranges import density
from crankpath.engine.knowledge.chance_words import spread
from crankpath.engine.knowledge.records import Knowledge, Range

CaseOf = Callable[..., Case]


def reading_of(case: Case, fault: str, measurement: str) -> tuple[Factor, WeighedReading]:
    """The factor that holds a reading, and the reading."""
    factors = account(case.assessment, fault).factors
    return next((f, r) for f in factors for r in f.readings if r.measurement == measurement)


def test_a_meter_reading_is_weighed_by_the_rule_s_own_density_and_its_chance_to_be_a_slip(
    case_of: CaseOf, kb: Knowledge
) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 0.41 V")
    factor, reading = reading_of(case, "positive_post_joint", "positive_post_drop")
    assert reading.rule is not None
    assert reading.rule.id == "slight_resistance_shows_across"
    assert isinstance(reading.rule.reads, Range)
    measurement = case.kb.measurements["positive_post_drop"]
    facts = case.assessment.now.facts
    own = density(reading.rule.reads, measurement, facts)
    assert own is not None
    (piece,) = [p for p in case.assessment.used if p.evidence.name == measurement.id]
    assert isinstance(piece.evidence.read, Metered)
    assert reading.value == pytest.approx(own.at(piece.evidence.read.position, piece.evidence.read.deviation))
    assert reading.slip == kb.settings["slip"]
    slipping = (1 - reading.slip) * reading.value + reading.slip * reading.slipped
    assert factor.value == pytest.approx(slipping)
    assert reading.expected is not None
    said = reading.rule.reads.between
    assert said is not None
    assert (reading.expected.low, reading.expected.high) == pytest.approx(said, rel=0.05)
    assert reading.healthy is not None
    assert reading.healthy.high is not None
    assert reading.healthy.high < reading.expected.high
    assert reading.limit_set is not None
    assert len(reading.limits) == len(measurement.bands) - 1
    assert reading.limit_set.sources


def test_an_observation_is_weighed_by_the_chance_of_its_value(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    factor, reading = reading_of(case, "positive_post_joint", "crank_behaviour")
    assert reading.rule is not None
    assert not isinstance(reading.rule.reads, Range)
    chances = spread(reading.rule.reads, reading.bands)
    assert reading.with_fault == pytest.approx(chances)
    assert factor.value == pytest.approx(chances[reading.bands.index("slow")])


def test_a_leg_and_its_parts_are_one_term_with_what_the_parts_leave(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_leg_drop 1.4 V", "positive_post_drop 0.9 V")
    factor, _ = reading_of(case, "positive_cable", "positive_leg_drop")
    (term,) = factor.terms
    assert [reading.measurement for reading in term.readings] == ["positive_leg_drop", "positive_post_drop"]
    first, without_the_post = term.rests
    assert first.read == pytest.approx(0.5, abs=0.01)
    assert (first.without, without_the_post.without) == ("", "positive_post_drop")
    assert without_the_post.read == pytest.approx(1.4, abs=0.01)


def test_with_the_symptom_away_all_readings_of_that_crank_share_one_draw(case_of: CaseOf) -> None:
    case = case_of("occurrence intermittent", "crank_behaviour slow")
    for name in ("positive_leg_drop", "battery_crank_voltage"):
        case.record(name, "0.06 V" if name == "positive_leg_drop" else "10.9 V", symptom=False, crank=1)
    fault = case.kb.faults["positive_post_joint"]
    factor, reading = reading_of(case, fault.id, "positive_leg_drop")
    assert [r.measurement for r in factor.readings] == ["battery_crank_voltage", "positive_leg_drop"]
    assert not reading.symptom
    assert factor.away == fault.away
    there, sound = (prod(getattr(t, of) for t in factor.terms) for of in ("value", "healthy_value"))
    assert factor.value == pytest.approx(fault.away * there + (1 - fault.away) * sound)


def test_where_nobody_saw_the_symptom_the_fault_is_there_as_often_as_it_is(case_of: CaseOf) -> None:
    case = case_of("occurrence intermittent", "crank_behaviour silent", "pull_in_resistance 40 ohm")
    fault = case.kb.faults["pull_in_winding"]
    factor, reading = reading_of(case, fault.id, "pull_in_resistance")
    symptom_probability = case.assessment.symptom_probability(case.kb.measurements["pull_in_resistance"])
    assert 0.0 < symptom_probability < 1.0
    assert reading.symptom
    assert factor.away == pytest.approx(symptom_probability + (1 - symptom_probability) * fault.away)
