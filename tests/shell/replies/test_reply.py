"""Pasted replies: what is understood, what is asked, what is talk."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.replies.names import Lexicon, lexicon
from crankpath.shell.replies.reply import ParsedReply, default_facts, parse_reply
from crankpath.shell.replies.text import stem

REPLIES: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("replies.yaml").read_text("utf-8"))
WANTED = 0.95  # share of the readings in REPLIES that must be understood


@cache
def shipped() -> tuple[Knowledge, Facts, Lexicon]:
    knowledge = load_knowledge()
    facts = default_facts(knowledge)
    return knowledge, facts, lexicon(knowledge, facts)


def read(text: str, expecting: str | None = None) -> ParsedReply:
    knowledge, facts, words = shipped()
    return parse_reply(text, knowledge, facts, expecting, words)


def same(found: float | str, meant: float | str) -> bool:
    if isinstance(found, str) or isinstance(meant, str):
        return found == meant
    return found == meant or math.isclose(found, meant, rel_tol=1e-4, abs_tol=1e-9)


def values(text: str) -> dict[str, float | str]:
    return {r.measurement: r.understood.value for r in read(text).readings}


def test_nearly_all_readings_in_the_replies_are_understood() -> None:
    meant = [(r["text"], m, v) for r in REPLIES for m, v in (r.get("reads") or {}).items()]
    missed = [(text, m) for text, m, v in meant if not same(values(text).get(m, math.nan), v)]
    assert len(missed) <= (1 - WANTED) * len(meant), missed


@pytest.mark.parametrize("reply", REPLIES, ids=lambda reply: reply["text"][:40])
def test_nothing_is_understood_that_was_not_meant(reply: dict[str, Any]) -> None:
    meant = reply.get("reads") or {}
    wrong = {m: v for m, v in values(reply["text"]).items() if m not in meant or not same(v, meant[m])}
    assert wrong == {}


UNCLEAR = [r for r in REPLIES if {"asks", "cannot", "unknown"} & r.keys()]


@pytest.mark.parametrize("reply", UNCLEAR, ids=lambda reply: reply["text"][:40])
def test_what_is_not_clear_is_asked_or_shown(reply: dict[str, Any]) -> None:
    parsed = read(reply["text"])
    asked = {m for doubt in parsed.doubtful for m in doubt.measurements}
    assert set(reply.get("asks", ())) <= asked
    assert {m for m, _ in parsed.cannot} == set(reply.get("cannot", ()))
    assert len(parsed.unknown) == reply.get("unknown", 0)


def test_an_impossible_figure_comes_back_with_what_was_probably_meant() -> None:
    (doubt,) = read("got 310 on neg").doubtful
    assert (doubt.measurements, doubt.values) == (("negative_leg_drop",), ("310 mV",))


def test_a_post_that_is_not_named_is_asked_about_with_both() -> None:
    (doubt,) = read("posts look green").doubtful
    assert set(doubt.measurements) == {"positive_post_inspection", "negative_post_inspection"}
    assert doubt.values == ("corroded",)


@pytest.mark.parametrize(
    ("text", "symptom"),
    [
        ("no crank, neg leg 0.02", True),
        ("No crank.\nneg leg 0.02", True),
        ("it cranked fine this time, neg leg 0.02", False),
        ("on a good crank neg was .08", False),
        ("neg leg 0.02", None),
        ("no crank at first. then it cranked fine. neg leg 0.02", None),
    ],
)
def test_a_reading_knows_whether_the_symptom_was_there(text: str, symptom: bool | None) -> None:
    (reading,) = [r for r in read(text).readings if r.measurement == "negative_leg_drop"]
    assert reading.symptom is symptom


def test_a_bare_figure_answers_what_was_asked_for() -> None:
    (reading,) = read("0.35", expecting="positive_leg_drop").readings
    assert (reading.measurement, reading.understood.value) == ("positive_leg_drop", 0.35)
    assert read("0.35").unknown == ("0.35",)


def test_a_figure_for_something_this_machine_lacks_is_asked_about() -> None:
    (doubt,) = read("ground strap .25").doubtful
    assert "This machine has no" in doubt.message


def test_talk_is_kept_as_talk() -> None:
    assert read("ok thanks, see you at 10:30").talk == ("ok thanks see you at 10:30",)


@pytest.mark.parametrize("word", ["clicking", "clicked", "Clicks", "click"])
def test_forms_of_a_word_are_one(word: str) -> None:
    assert stem(word) == "click"


@pytest.mark.parametrize("text", ["pos .3 " * 300, "x" * 30_000, "9.8 " * 300, "a neg b " * 300, "\n" * 3000])
def test_a_very_long_message_is_read_in_reasonable_time(text: str) -> None:
    read(text)


@settings(max_examples=60, deadline=None)
@given(st.text(st.sampled_from("pos neg crank 0.1.,/-+mV\n:?"), max_size=60))
def test_any_text_gives_a_result(text: str) -> None:
    read(text)
