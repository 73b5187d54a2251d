"""`crankpath understand`: the reader's proposals as JSON and in words."""

from __future__ import annotations

import json

from click.testing import CliRunner

from crankpath.shell.main import cli


def run(*words: str) -> str:
    done = CliRunner().invoke(cli, ["understand", *words])
    assert done.exit_code == 0, done.output
    return done.output


def test_json_says_what_is_taken_asked_and_noted() -> None:
    said = json.loads(run("pos .35 neg 310, call me at 5", "--json"))
    pos = {"measurement": "positive_leg_drop", "value": 0.35, "unit": "V", "symptom": None}
    assert said["taken"] == [pos]
    (asked,) = said["asked"]
    assert asked["measurement"] == "negative_leg_drop"
    assert {"value": 0.31, "unit": "V"} in asked["options"]
    assert set(said) == {"taken", "asked", "notes"}


def test_facts_of_the_machine_and_what_was_asked_decide() -> None:
    said = json.loads(run("24.6", "--asked", "battery rest", "--fact", "system_voltage=24", "--json"))
    assert [t["value"] for t in said["taken"]] == [24.6]


def test_a_person_is_told_in_lines() -> None:
    assert run("pos .35").startswith("taken  positive leg drop: 0.35 V")
