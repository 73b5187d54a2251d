"""The table of a desk, word for word."""

from __future__ import annotations

from dataclasses import replace

import pytest

from crankpath.shell.desk.table import desk_table, waits_for
from crankpath.shell.store import CaseSummary
from crankpath.shell.store.order import local_time
from crankpath.shell.text.columns import columns

NOW = "2031-05-04T12:00:00Z"


def case(number: int, name: str, machine: str = "", state: str = "open", waits: str = "") -> CaseSummary:
    opened, updated = f"2031-05-0{4 - number}T09:00:00Z", "2031-05-04T11:35:00Z"
    return CaseSummary(str(number), name, machine, "", state, opened, updated, waits, (), 7)


CASES = (
    case(0, "just clicks", "bus 12", waits="negative leg drop"),
    case(1, "loader 7 cranks slowly", "loader 7", "repaired", "proof of clean_positive_post"),
    case(3, "nothing happens"),
)


def test_a_wide_table_goes_on_below_what_a_case_waits_for() -> None:
    proof = replace(CASES[1], waits_for="proof of: clean the positive post")
    assert desk_table((CASES[0], proof, CASES[2]), NOW, 79, present="1") == [
        "  #   case                       age     since   state     waits for",
        "  1   bus 12: just clicks        3 h     25 min  open      negative leg drop",
        "  2 * loader 7 cranks slowly     27 h    25 min  proof due proof of: clean the",
        "                                                           positive post",
        "  3   nothing happens            3 days  25 min  open      the next step",
    ]


def test_a_narrow_table_says_the_same_below_the_name() -> None:
    assert desk_table(CASES[:2], NOW, 39, present="1") == [
        "  1   bus 12: just clicks",
        "      age 3 h, last entry 25 min, open,",
        "      waits for negative leg drop",
        "  2 * loader 7 cranks slowly",
        "      age 27 h, last entry 25 min,",
        "      proof due, waits for proof of",
        "      clean_positive_post",
    ]


def test_what_is_awaited_is_told_with_its_time_and_who_has_the_case() -> None:
    asked = replace(CASES[0], asked_at="2031-05-04T11:20:00Z", holder="Mira")
    assert desk_table((asked,), NOW, 120)[1].endswith(" 40 min  open      negative leg drop")
    assert "unanswered for 40 min" in " ".join(desk_table((asked,), NOW, 40))
    assert "(Mira) bus 12: just clicks" in desk_table((asked,), NOW, 120)[1]
    due = local_time("2031-05-04T13:00:00Z", NOW)
    promised = replace(asked, promised="call back", due="2031-05-04T13:00:00Z")
    assert waits_for(promised, NOW) == f"{due} call back; negative leg drop"
    assert waits_for(promised, "2031-05-04T13:05:00Z").startswith(f"OVERDUE {due} call back")


@pytest.mark.parametrize("width", [40, 60, 79, 80, 120])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    long = case(0, "油圧" * 40, "m" * 90, waits="w" * 190)
    assert all(columns(line) <= width for line in desk_table((long, *CASES), NOW, width))


def test_numbers_are_those_of_the_list_that_the_cases_come_from() -> None:
    lines = desk_table(CASES[2:], NOW, 79, numbers=("0", "1", "3"))
    assert lines[1].startswith("  3 ")


def test_an_empty_desk_says_so() -> None:
    assert desk_table((), NOW, 79) == ["   There is no open case."]
