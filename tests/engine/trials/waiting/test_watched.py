"""Machines that are watched until the right repair is named."""

from __future__ import annotations

from random import Random

import pytest
from shipped_base import shipped_knowledge

from crankpath.engine.cases.case import Case
from crankpath.engine.trials.waiting.watched import (
    MOST_FAILURES,
    WatchTrial,
    chosen_jointly,
    chosen_singly,
    left_on,
    watch_figures,
    watch_trial,
    watched_machine,
)

KB = shipped_knowledge()


def test_a_watched_machine_fails_in_5_to_30_percent_of_tries() -> None:
    rates = [watched_machine(KB, 3, number, "first").rate for number in range(5)]
    assert all(0.05 <= rate <= 0.30 for rate in rates)
    assert len(set(rates)) == 5


def watched(number: int) -> WatchTrial:
    return watch_trial(KB, watched_machine(KB, 3, number, "first"), 2, Random(number), chosen_jointly)


def test_a_trial_sees_failures_and_is_the_same_again() -> None:
    trial = watched(0)
    assert trial.failures <= MOST_FAILURES
    assert trial == watched(0)


@pytest.mark.slow
def test_trials_name_the_right_repair_of_most_machines() -> None:
    trials = [watched(number) for number in range(6)]
    assert all(trial.failures <= MOST_FAILURES for trial in trials)
    assert sum(trial.right for trial in trials) >= 3


def test_one_of_the_best_single_readings_is_no_better_than_the_joint_choice() -> None:
    case = Case(KB, {"system_voltage": 24})
    case.record("occurrence", "intermittent")
    case.record("crank_behaviour", "slow")
    singly = chosen_singly(case, 2)
    assert len([name for name in singly if KB.measurements[name].numeric]) == 2
    assert singly[0] == case.watch(meters=1)[0].measurements[0]


def test_figures_are_means_over_all_and_shares_of_those_named() -> None:
    trials = [
        WatchTrial(("a",), 1, "r", True, True), WatchTrial(("b",), 3, "s", False, False),
        WatchTrial(("c",), 6, None, False, False), WatchTrial(("d",), 2, "r", True, False),
    ]  # fmt: skip
    figures = watch_figures(trials)
    assert (figures.machines, figures.failures, figures.named) == (4, 3.0, 0.75)
    assert (round(figures.right, 3), round(figures.first_right, 3)) == (0.667, 0.333)


def test_what_the_verdict_says_to_try_at_the_failure_is_done_beside_the_meters() -> None:
    """An act takes no meter: a fuse that is looked at leaves both of them on."""
    case = Case(KB, {"system_voltage": 24, "start_relay": True})
    case.record("occurrence", "intermittent")
    case.record("crank_behaviour", "silent")
    for name, value in (("interlock_output_voltage", "0.001 V"), ("relay_contact_drop", "25 V")):
        case.record(name, value)
    case.record("control_feed_voltage", "0.01 V")
    case.record("key_switch_output_voltage", "0.003 V")
    case.record("start_fuse_inspection", "good", symptom=False)
    verdict = case.verdict()
    assert (verdict.action, verdict.measurement) == ("watch", "start_fuse_inspection")
    chosen = chosen_jointly(case, 2)
    assert left_on(case, verdict, chosen) == ("start_fuse_inspection", *chosen)
