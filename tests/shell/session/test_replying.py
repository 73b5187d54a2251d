"""Replies taken in: gathered, doubts asked, confirmed with one key, each entry with its source."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from crankpath.engine.knowledge.records import Knowledge

OPENING = ("turns over slow", "slow", "every time", "loader 7: 24 V", "")
REPLY = "reply pos .35, neg 240mV, crank 19.8"


def sitting(sit: Callable[..., Any], kb: Knowledge, width: int = 79) -> Any:
    seat = sit(kb, width)
    seat.type(*OPENING)
    return seat


def readings(seat: Any) -> list[tuple[str, str, str]]:
    """(measurement, text, by) of the readings after the opening."""
    events = [e for e in seat.state.events if e.kind == "reading"]
    return [(e.body["measurement"], e.body["text"], e.by) for e in events[2:]]


def test_nothing_is_taken_before_the_key(sit: Callable[..., Any], shipped: Knowledge) -> None:
    seat = sitting(sit, shipped)
    shown = seat.type(REPLY)
    assert seat.prompt == "Enter = take> "
    assert shown == [
        ">> The reply from the field technician on loader 7, turns over slow:",
        '   1 pos leg: 0.35 V   ("pos .35")',
        '   2 neg leg: 0.24 V   ("neg 240mV")',
        '   3 battery crank: 19.8 V   ("crank 19.8")',
        "   Enter takes it; 2 leaves number 2 out (or in again); o 2: the operator told",
        "   it; n: none of it.",
    ]
    assert readings(seat) == []
    seat.type("")
    assert readings(seat) == [
        ("positive_leg_drop", ".35", "field"),
        ("negative_leg_drop", "240 mV", "field"),
        ("battery_crank_voltage", "19.8", "field"),
    ]


def test_one_item_is_dropped_and_another_told_by_the_operator(
    sit: Callable[..., Any], shipped: Knowledge
) -> None:
    seat = sitting(sit, shipped)
    seat.type(REPLY)
    assert any("left out: pos leg" in line for line in seat.type("1"))
    assert any("from the operator" in line for line in seat.type("o 2"))
    seat.type("")
    assert readings(seat) == [
        ("negative_leg_drop", "240 mV", "operator"),
        ("battery_crank_voltage", "19.8", "field"),
    ]


def test_a_dropped_item_comes_back_with_the_same_key(sit: Callable[..., Any], shipped: Knowledge) -> None:
    seat = sitting(sit, shipped)
    seat.type(REPLY, "1", "1", "")
    assert len(readings(seat)) == 3


def test_the_whole_reply_can_be_left(sit: Callable[..., Any], shipped: Knowledge) -> None:
    seat = sitting(sit, shipped)
    assert "-- Stopped: nothing from this reply was taken." in seat.type(REPLY, "n")
    assert readings(seat) == []


@pytest.mark.parametrize("key", ["7", "yes please", "cases", "0", "o 9 x"])
def test_any_other_key_takes_nothing_and_leaves_the_reply_standing(
    sit: Callable[..., Any], shipped: Knowledge, key: str
) -> None:
    seat = sitting(sit, shipped)
    assert seat.type(REPLY, key)[0].startswith("? Nothing was taken yet.")
    assert readings(seat) == []
    seat.type("")
    assert len(readings(seat)) == 3


def test_doubtful_ones_are_asked_before(sit: Callable[..., Any], shipped: Knowledge) -> None:
    seat = sitting(sit, shipped)
    shown = seat.type("reply pos leg 310, neg .2")
    assert "310 V is not possible" in " ".join(shown)
    assert seat.prompt == "which> "
    seat.type("")
    assert seat.prompt == "which> "  # nothing doubtful is taken by Enter
    seat.type("y")
    assert seat.prompt == "Enter = take> "
    seat.type("")
    assert sorted(readings(seat)) == [
        ("negative_leg_drop", ".2", "field"),
        ("positive_leg_drop", "310 mV", "field"),
    ]


def test_a_doubt_is_settled_by_the_value_again_or_left_out_and_said(
    sit: Callable[..., Any], shipped: Knowledge
) -> None:
    seat = sitting(sit, shipped)
    seat.type("reply pos leg 310, neg .2", "0.31 V", "")
    assert ("positive_leg_drop", "0.31 V", "field") in readings(seat)
    shown = seat.type("reply pos leg 310, neg .2", "n")
    assert any(line.startswith("! Left out: 310 V is not possible") for line in shown)


def test_lines_are_gathered_until_an_empty_one(sit: Callable[..., Any], shipped: Knowledge) -> None:
    seat = sitting(sit, shipped)
    seat.type("told")
    assert seat.prompt == "reply line> "
    seat.type("pos leg .35", "it rained all night", "neg leg n/a")
    assert readings(seat) == []
    shown = seat.type("")
    assert any("note: it rained all night" in line for line in shown)
    seat.type("")
    assert readings(seat) == [("positive_leg_drop", ".35", "operator")]
    kinds = [(e.kind, e.by) for e in seat.state.events][-3:]
    assert sorted(kinds) == [("cannot", "operator"), ("note", "operator"), ("reading", "operator")]


def test_several_lines_pasted_at_once_are_a_reply(sit: Callable[..., Any], shipped: Knowledge) -> None:
    seat = sitting(sit, shipped)
    seat.type("pos leg .35\nneg leg .2\n")
    assert seat.prompt == "Enter = take> "
    seat.type("n", "told pos leg .35\nneg leg .2", "")
    assert [by for _, _, by in readings(seat)] == ["operator", "operator"]


def test_a_reply_without_a_reading_is_kept_as_a_note(sit: Callable[..., Any], shipped: Knowledge) -> None:
    seat = sitting(sit, shipped)
    assert any(
        "note: will do that after lunch" in line for line in seat.type("reply will do that after lunch")
    )


def test_an_empty_reply_takes_nothing(sit: Callable[..., Any], shipped: Knowledge) -> None:
    seat = sitting(sit, shipped)
    seat.type("list")
    before = seat.state.events
    seat.type("reply", "")
    assert seat.state.events == before
    assert any("nothing was taken" in line for line in seat.type("reply ..."))


def test_a_reply_answers_what_was_sent_last(sit: Callable[..., Any], shipped: Knowledge) -> None:
    seat = sitting(sit, shipped)
    seat.type("send neg leg")
    assert "neg leg: 0.24 V" in seat.type("reply .24")[1]


@pytest.mark.parametrize("width", [39, 79])
def test_no_line_is_wider_than_the_terminal(sit: Callable[..., Any], shipped: Knowledge, width: int) -> None:
    seat = sitting(sit, shipped, width)
    for line in (
        "reply pos leg 310, crank 9.8 clicks sometimes, xx 5 yy\nrained",
        "n",
        "1",
        "send",
        "send whole",
    ):
        assert all(len(shown) <= width for shown in seat.type(line)), line


# -- which message a reply answers ----------------------------------------------------------------


def reference_of(seat: Any) -> str:
    """The reference in the last message."""
    sent = [e for e in seat.state.events if e.kind == "sent"]
    return str(re.search(r"[A-Z]{4}-\d+", sent[-1].body["text"])[0])  # type: ignore[index]


def test_a_round_trip_makes_one_message_of_several_readings(
    sit: Callable[..., Any], shipped: Knowledge
) -> None:
    seat = sitting(sit, shipped)
    seat.type("send trip 40", "send")
    asked = next(e for e in seat.state.events if e.kind == "sent").body["measurements"]
    assert len(asked) > 1
    text = " ".join(next(e for e in seat.state.events if e.kind == "sent").body["text"].split())
    example = re.search(r"Reply e.g. (.*?)\. ", re.sub(r" \d+/\d+ ", " ", text))
    assert example is not None
    seat.type(f"reply {example[1]}", "")
    assert [name for name, _, _ in readings(seat)] == asked
    assert seat.store.cases()[0].waits_for == ""


def test_a_reply_to_an_older_message_is_told_and_its_readings_are_asked(
    sit: Callable[..., Any], shipped: Knowledge
) -> None:
    seat = sitting(sit, shipped)
    seat.type("send neg leg")
    older = reference_of(seat)
    seat.type("send pos leg")
    assert reference_of(seat) != older
    shown = " ".join(seat.type(f"reply {older} .24"))
    assert f"It answers message {older} of" in shown
    assert "neg leg: 0.24 V" in shown
    seat.type("")
    assert readings(seat) == []
    seat.type("y", "")
    assert readings(seat) == [("negative_leg_drop", ".24", "field")]


def test_a_reply_of_another_case_takes_nothing_and_says_where_it_belongs(
    sit: Callable[..., Any], shipped: Knowledge
) -> None:
    seat = sitting(sit, shipped)
    seat.type("send neg leg")
    mark, first = reference_of(seat), seat.state.id
    seat.type("new", "silent, nothing happens")
    shown = " ".join(seat.type(f"reply {mark} .24"))
    assert "This reply is of another case, loader 7: turns over slow" in shown
    number = re.search(r"@(\d)", shown)
    assert number is not None
    seat.type(number[0], f"reply {mark} .24", "")
    assert seat.state.id == first
    assert readings(seat) == [("negative_leg_drop", ".24", "field")]


@pytest.mark.slow
def test_cards_for_several_readings_are_each_answered_by_themselves(
    sit: Callable[..., Any], shipped: Knowledge, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    seat = sitting(sit, shipped)
    seat.type("send trip 40")
    shown = " ".join(" ".join(seat.type("send card step.html")).split())
    asked = next(e for e in seat.state.events if e.kind == "sent").body["measurements"]
    assert len(asked) > 1
    pages = [tmp_path / f"step{f'-{n}' * (n > 1)}.html" for n in range(1, len(asked) + 1)]
    assert "a card for each reading" in shown
    for name, page in zip(asked, pages, strict=True):
        text = page.read_text("utf-8")
        reference = re.search(r'data-reference="([A-Z]{4}-1)"', text)
        assert reference is not None
        m = shipped.measurements[name]
        called = re.search(r'data-called="([^"]+)"', text)
        said = f"{called[1]} {m.healthy[0].reads.low:g} {m.unit}" if called else f"{m.short} 1"
        seat.type(f"reply {reference[1]} {said}")
        assert seat.prompt == "Enter = take> ", said
        seat.type("")
    assert {name for name, *_ in readings(seat)} == set(asked)
