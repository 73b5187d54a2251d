from __future__ import annotations

import pytest

from crankpath.engine import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.reports.diagnosis import diagnosis, remarks
from crankpath.shell.outlets.reports.diagnosis_data import diagnosis_data


@pytest.fixture
def corrected(shipped: Knowledge) -> Case:
    case = Case(shipped)
    case.record("crank_behaviour", "slow")
    for value in ("3.1 V", "0.2 V"):
        case.record("positive_leg_drop", value)
    return case


def test_a_diagnosis_says_which_take_was_set_aside(corrected: Case) -> None:
    text = " ".join(line.strip() for line in diagnosis(corrected))
    assert "positive leg drop: 3.1 V (set aside); 0.2 V was read later and stands." in text


def test_readings_as_data_have_the_take_that_stands_its_error_and_those_set_aside(corrected: Case) -> None:
    (drop,) = [r for r in diagnosis_data(corrected)["readings"] if r["measurement"] == "positive_leg_drop"]
    assert (drop["value"], drop["unit"], drop["takes"], drop["set_aside"]) == (0.2, "V", ["0.2 V"], ["3.1 V"])
    assert 0.0 < drop["standard_deviation"] < 0.1


@pytest.mark.parametrize(
    ("cured", "said"),
    [(True, "Verdict: cured by: "), (None, "Verdict: proof is due of: ")],
)
def test_a_repaired_machine_is_not_called_unproven_or_stuck(
    shipped: Knowledge, cured: bool | None, said: str
) -> None:
    case = Case(shipped)
    case.record("crank_behaviour", "slow")
    case.record("positive_post_drop", "1.5 V")
    case.repaired("clean_positive_post", cured=cured)
    lines = diagnosis(case)
    assert any(line.startswith(said + shipped.repairs["clean_positive_post"].label[:20]) for line in lines)
    assert not any("stuck" in line or "not proven" in line.lower() for line in lines)


@pytest.mark.parametrize(
    ("does", "again"), [("slow", "positive leg drop"), ("silent", "starter voltage while cranking")]
)
def test_two_readings_that_cannot_both_be_true_are_told_with_the_one_the_complaint_gainsays(
    shipped: Knowledge, does: str, again: str
) -> None:
    case = Case(shipped, {"system_voltage": 12})
    case.record("crank_behaviour", does)
    case.record("positive_leg_drop", "9.9 V")
    assert not any("both be true" in text for text in remarks(case))
    case.record("starter_crank_voltage", "9.1 V")
    (told,) = [text for text in remarks(case) if "both be true" in text]
    assert told == (
        "positive leg drop + starter voltage while cranking cannot both be true: together they are 5.2 V "
        f"above what battery voltage while cranking can be (13.8 V). Take {again} again."
    )
