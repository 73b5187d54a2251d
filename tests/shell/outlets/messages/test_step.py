from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError, UnknownName
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.messages import (
    MessageStep,
    in_basic_letters,
    in_parts,
    reading_message,
    step_message,
)
from crankpath.shell.outlets.messages.preparations import (
    FAILING,
    answer_example,
    asks_whether_it_failed,
    choices,
    setups_for,
)
from crankpath.shell.outlets.messages.step import reading_sentences
from crankpath.shell.reader.reader import read_text

LIMITS = (70, 71, 97, 160, 306, 480)
EVERY_LIMIT = range(70, 481)
STEP = MessageStep("Step 12")
SmallCase = Callable[..., Case]


def together(parts: tuple[str, ...]) -> str:
    return parts[0] if len(parts) == 1 else " ".join(part.split(" ", 1)[1] for part in parts)


# -- word for word ----------------------------------------------------------------------


def test_a_reading_says_cautions_then_what_to_read_where_and_what_to_answer(small_case: SmallCase) -> None:
    assert reading_message(small_case(), ["positive_leg_drop"], 160, step=MessageStep("Step 2")) == (
        ("1/3 Step 2: positive leg drop. SAFETY: S1 Neutral, brake, chocks. S2 Everybody clear. "
        "S3 Battery gas: no sparks. Got all 3 messages? Then:"),
        ("2/3 Ready first: batteries uncovered. Read positive leg drop (V), cranking, fuel off. "
        "One clip on the positive post, one on the starter stud."),
        "3/3 Reply e.g. pos leg 0.3 V. Not possible: pos leg n/a.",
    )


def test_a_long_limit_takes_it_in_one_message(small_case: SmallCase) -> None:
    assert reading_message(small_case(), ["positive_leg_drop"], 480) == (
        ("NEXT: positive leg drop. SAFETY: S1 Neutral, brake, chocks. S2 Everybody clear. "
        "S3 Battery gas: no sparks. "
        "Ready first: batteries uncovered. Read positive leg drop (V), cranking, fuel off. "
        "One clip on the positive post, one on the starter stud. "
        "Reply e.g. pos leg 0.3 V. Not possible: pos leg n/a."),
    )


def test_an_observation_lists_its_answers_and_names_no_leads(small_case: SmallCase) -> None:
    assert reading_message(small_case(), ["crank_behaviour"], 480) == (
        ("NEXT: what it does in start. SAFETY: S1 Neutral, brake, chocks. S2 Everybody clear. "
        "What does it do with the key in start? Reply e.g. behaviour slow. "
        "Choices: 1 normal, 2 slow, 3 silent. Not possible: behaviour n/a."),
    )


def test_a_fault_that_comes_and_goes_asks_whether_it_was_there(small_case: SmallCase) -> None:
    case = small_case(occurrence="intermittent")
    assert "Add: failed, or: cranked well." in together(reading_message(case, ["positive_leg_drop"]))
    assert "Add:" not in together(reading_message(small_case(), ["positive_leg_drop"]))


def test_a_proven_repair_says_why_and_how_it_will_be_proven(proven: Case) -> None:
    assert step_message(proven, 160, step=MessageStep("Step 5")) == (
        ("1/2 Step 5: REPAIR: replace the positive cable. Cause: bad positive cable (99 %). "
        "SAFETY: S1 Ground cable off first. S2 Battery gas: no sparks."),
        ("2/2 Got all 2 messages? Then: Do the repair. Proof after it: positive leg drop, at most 0.4 V. "
        "Reply: done, or what is in the way."),
    )


def test_a_repair_that_is_only_the_best_try_says_so(small_case: SmallCase) -> None:
    case = small_case(crank_behaviour="slow", positive_leg_drop="0.32 V")
    for name in ("negative_leg_drop", "battery_crank_voltage"):
        case.cannot(name)
    assert case.verdict().action == "repair"
    assert "%, not proven)." in together(step_message(case))


def test_a_made_repair_asks_for_its_proof_with_everything_made_ready_anew(proven: Case) -> None:
    proven.repaired("replace_hot_cable")
    assert step_message(proven, 480) == (
        ("PROOF of the repair: replace the positive cable. SAFETY: S1 Neutral, brake, chocks. "
        "S2 Everybody clear. "
        "S3 Battery gas: no sparks. Ready first: batteries uncovered. "
        "Read positive leg drop (V), cranking, fuel off. "
        "One clip on the positive post, one on the starter stud. Reply e.g. pos leg 0.3 V. "
        "Not possible: pos leg n/a. Pass: at most 0.4 V. Then one more try. Reply: cured, or not cured."),
    )


def test_the_proof_of_a_fault_that_comes_and_goes_counts_good_cranks(small_case: SmallCase) -> None:
    case = small_case(crank_behaviour="slow", occurrence="intermittent", positive_leg_drop="0.9 V")
    case.repaired("replace_hot_cable")
    text = together(step_message(case))  # 1 / (n + 1) < 0.05 from n = 20 on; 1 - 0.05 ** (1 / 20) = 0.14
    holds = "enough if it used to fail at 14 % of tries or more"
    assert f"Then 20 tries, with rests; all must be good ({holds})." in text
    assert "Reply e.g. failed 0 of 20." in text


def test_a_cured_machine_needs_nothing_more(proven: Case) -> None:
    proven.repaired("replace_hot_cable", cured=True)
    assert together(step_message(proven)) == (
        "CURED by: replace the positive cable. "
        "Put back what was taken off or unplugged for the readings. Nothing more to read."
    )


def test_where_nothing_fits_no_part_is_to_be_replaced(
    proven: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    from crankpath.engine.advice.advisor import Verdict

    stuck = Verdict("stuck", "positive_leg_drop", None, (), 0.8, "nothing fits")
    monkeypatch.setattr(Case, "verdict", lambda self: stuck)
    text = together(step_message(proven))
    assert text.startswith("STUCK: nothing listed explains the readings. Replace nothing. SAFETY: ")
    assert "Take positive leg drop again: it fits the other readings worst." in text


# -- nothing needed for safety is cut -----------------------------------------------------


@pytest.mark.parametrize("limits", [LIMITS, pytest.param(EVERY_LIMIT, marks=pytest.mark.slow)])
def test_every_caution_of_every_reading_is_sent_whole_at_every_limit(
    every_part: Case, shipped: Knowledge, limits: Sequence[int]
) -> None:
    assert set(every_part.assessment.model.measurements) == set(shipped.measurements)
    for m in shipped.measurements.values():
        state = shipped.states[m.state]
        needed = {*m.cautions, *state.cautions}
        for setup in setups_for(every_part, m, every=True):
            needed |= set(setup.cautions)
        first, then = reading_sentences(every_part, [m.id], STEP)
        for limit in limits:
            parts = in_parts(first, then, limit)
            assert max(map(len, parts)) <= limit, (m.id, limit)
            text = together(parts)
            lost = [c for c in needed if in_basic_letters(shipped.cautions[c].short) not in text]
            assert lost == [], (m.id, limit)
            cautions = text.index("Reply e.g.")
            assert all(text.index(in_basic_letters(shipped.cautions[c].short)) < cautions for c in needed)


@pytest.mark.parametrize("limit", [70, 160, 480])
def test_the_message_is_these_sentences_in_parts(every_part: Case, limit: int) -> None:
    for name in ("positive_leg_drop", "solenoid_bypass", "charging_voltage"):
        assert reading_message(every_part, [name], limit, STEP) == in_parts(
            *reading_sentences(every_part, [name], STEP), limit
        )


def test_a_caution_that_the_readings_call_for_is_sent_too(every_part: Case, shipped: Knowledge) -> None:
    before = together(reading_message(every_part, ["battery_rest_voltage"]))
    every_part.record("warm_joint", "positive_post")
    after = together(reading_message(every_part, ["battery_rest_voltage"]))
    short = in_basic_letters(shipped.cautions["hot_joint"].short)
    assert short not in before
    assert short in after


def test_a_reading_that_a_stop_forbids_is_not_sent(every_part: Case) -> None:
    every_part.record("crank_behaviour", "keeps_running")
    with pytest.raises(CaseError, match="crank no more, by key or button"):
        reading_message(every_part, ["start_fuse_inspection"])


def test_the_reason_of_a_stop_is_the_first_sentence_of_every_message(every_part: Case) -> None:
    every_part.record("crank_behaviour", "keeps_running")
    named = reading_message(every_part, ["battery_rest_voltage"])
    for parts in (named, step_message(every_part)):
        assert together(parts).startswith("STOP: The starter stays in")


def test_what_goes_with_the_act_is_sent_again_and_what_goes_with_finished_work_is_not(
    small_case: SmallCase,
) -> None:
    case = small_case(negative_leg_drop="0.1 V")
    text = together(reading_message(case, ["positive_leg_drop"]))
    assert "S1 Neutral, brake, chocks. S2 Everybody clear." in text
    assert "Battery gas" not in text
    assert "Ready first" not in text
    told = together(reading_message(small_case(), ["positive_leg_drop"], told=frozenset(("gas", "chocks"))))
    assert "Battery gas" not in told
    assert "Neutral, brake, chocks." in told


# -- what is asked for is understood ------------------------------------------------------


@pytest.mark.parametrize("intermittent", [False, True])
def test_every_answer_that_a_message_shows_is_understood_as_that_reading(
    every_part: Case, intermittent: bool
) -> None:
    if intermittent:
        every_part.record("occurrence", "intermittent")
    facts = every_part.assessment.now.facts
    for m in every_part.assessment.model.measurements.values():
        name, example = answer_example(every_part, m)
        read = read_text(example, every_part.kb, facts)
        # a value told apart is a reading of both measurements, so either name takes it
        both = {m.id, *(n.id for n in every_part.kb.measurements.values() if n.finer_as == m.id)}
        assert [r.symptom for r in read.taken] == [None], example
        assert read.taken[0].measurement in both, example
        assert not read.asked
        assert [c for c, _ in read_text(f"{name} n/a", every_part.kb, facts).cannot] == [m.id]
        if asks_whether_it_failed(every_part, m):
            for words, there in ((FAILING, True), (every_part.kb.about.went_well, False)):
                told = read_text(f"{example} {words}", every_part.kb, facts)
                assert any(r.measurement in both and r.symptom is there for r in told.taken), example


def test_every_listed_choice_is_a_value(every_part: Case) -> None:
    for m in every_part.assessment.model.measurements.values():
        if not m.numeric:
            for choice in choices(m).split(", "):
                assert every_part.read(m.id, choice).value in m.choices


# -- what cannot be sent --------------------------------------------------------------------


def test_a_reading_that_does_not_exist_is_refused_with_near_ones(every_part: Case) -> None:
    with pytest.raises(UnknownName, match="Did you mean positive_leg_drop"):
        reading_message(every_part, ["positive_leg_drp"])


def test_a_reading_that_this_machine_cannot_have_is_refused(shipped: Knowledge) -> None:
    with pytest.raises(CaseError, match="no such part"):
        reading_message(Case(shipped, {"disconnect_switch": "none"}), ["disconnect_drop"])


def test_a_limit_below_the_least_is_refused(every_part: Case) -> None:
    with pytest.raises(CaseError, match="70 or more"):
        step_message(every_part, 40)
