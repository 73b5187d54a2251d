"""What to leave connected until the next failure, and what each picture will mean."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pytest

from crankpath.engine import Case
from crankpath.engine.advice.leading_hypotheses import JointDistribution
from crankpath.engine.advice.value_of_information import mutual_information
from crankpath.engine.advice.waiting.watch import Watcher

CaseOf = Callable[..., Case]


@pytest.fixture
def waiting(case_of: CaseOf) -> Case:
    return case_of("occurrence intermittent", "crank_behaviour slow", "battery_rest_voltage 12.6 V")


def test_two_meters_tell_more_together_than_one(waiting: Case) -> None:
    one, two = waiting.watch(meters=1)[0], waiting.watch(meters=2)[0]
    assert two.bits > one.bits
    metered = [n for n in two.measurements if waiting.kb.measurements[n].numeric]
    assert len(metered) == 2


def test_the_best_set_comes_first(waiting: Case) -> None:
    bits = [watch.bits for watch in waiting.watch(meters=2)]
    assert bits == sorted(bits, reverse=True)


def test_no_two_meters_tell_more_together_than_those_chosen(waiting: Case) -> None:
    advisor = waiting.advisor
    watcher = Watcher(advisor.assessment, advisor.options, advisor.leading)
    meters = [name for name in watcher.shown.candidates if waiting.kb.measurements[name].numeric]
    joint = {
        pair: JointDistribution(advisor.leading, watcher.shown.outcomes(pair))
        for pair in combinations(sorted(meters), 2)
    }
    bits = {pair: mutual_information(one.by_answer) for pair, one in joint.items()}
    assert [one.bits for one in joint.values()] == pytest.approx(list(bits.values()))
    assert all(one.told >= one.bits - 1e-9 for one in joint.values())
    chosen = {tuple(sorted(n for n in w.measurements if n in meters)) for w in waiting.watch(meters=2)}
    assert max(bits, key=bits.__getitem__) in chosen
    assert sorted(bits[pair] for pair in chosen) == pytest.approx(sorted(bits.values())[-len(chosen) :])


def test_only_what_can_stay_on_or_be_seen_while_it_cranks_is_watched(waiting: Case) -> None:
    for watch in waiting.watch(meters=2):
        for name in watch.measurements:
            measurement = waiting.kb.measurements[name]
            assert waiting.kb.states[measurement.state].symptom_shows
            setups = [waiting.kb.setups[setup] for setup in measurement.setups]
            assert not setups or any(setup.stays_on for setup in setups)


def test_the_pictures_are_chances_and_lead_to_repairs(waiting: Case) -> None:
    watch = waiting.watch(meters=2)[0]
    assert 0.9 < sum(picture.chance for picture in watch.outcomes) <= 1.0 + 1e-9
    assert {len(picture.bands) for picture in watch.outcomes} == {len(watch.measurements)}
    assert any(picture.repair and picture.probability > 0.8 for picture in watch.outcomes)


def test_on_a_machine_that_cranks_well_the_verdict_is_to_watch(waiting: Case) -> None:
    waiting.record("wiggle_test", "no_change")
    waiting.record("positive_leg_drop", "0.15 V", symptom=False)
    verdict = waiting.verdict()
    assert verdict.action == "watch"
    assert verdict.together


def test_what_has_been_read_at_a_failure_is_not_watched_again(waiting: Case) -> None:
    before = waiting.watch(meters=1)[0].measurements[0]
    waiting.record(before, 0.05)
    assert before not in waiting.watch(meters=1)[0].measurements


def test_the_verdict_leaves_on_what_the_watch_chooses(case_of: CaseOf) -> None:
    """What is noted without a meter counts in both: it decides here between two sets of meters."""
    silent = case_of("occurrence intermittent", "crank_behaviour silent")
    verdict, watch = silent.verdict(), silent.watch(meters=2)[0]
    assert verdict.action == "watch"
    assert verdict.together == watch.measurements
