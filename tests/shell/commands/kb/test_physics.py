"""``crankpath kb physics``: rules beside solved machines, worst first."""

from __future__ import annotations

import re

from click.testing import CliRunner
from shipped_base import shipped_knowledge

from crankpath.engine.inference.expected import Expected
from crankpath.engine.trials.physics_check import Comparison
from crankpath.shell.commands.kb.physics import command
from crankpath.shell.outlets.reports.physics import physics_lines


def test_the_worst_disagreements_come_first_with_their_place() -> None:
    arguments = ["--fault", "start_fuse", "--draws", "3", "--top", "4"]
    result = CliRunner().invoke(command, arguments, catch_exceptions=False)
    assert result.exit_code == 0
    bits = [float(found) for found in re.findall(r"^ *(\d+\.\d\d) bits", result.output, re.MULTILINE)]
    assert len(bits) == 4
    assert bits == sorted(bits, reverse=True)
    assert re.search(r"\.yaml:\d+", result.output)
    assert "occurrence" not in result.output


def test_a_rule_that_says_why_it_misleads_is_quoted() -> None:
    kb = shipped_knowledge()
    rule = next(rule for rule in kb.rules.values() if rule.misleads)
    found = Comparison(
        "f", "present", "m", 9, 1.0, rule.id, rule.origin,
        bands=("a", "b"), seen=(1.0, 0.0), expected=(0.5, 0.5),
    )  # fmt: skip
    lines = list(physics_lines(kb, [found], 1))
    assert any(rule.misleads in line for line in lines if rule.misleads)
    assert any(rule.id in line for line in lines)


def test_of_a_meter_reading_5_50_and_95_percent_stand_beside_the_rule_s() -> None:
    kb = shipped_knowledge()
    rule = kb.rules["slight_resistance_shows_across"]
    read, rule_reads = Expected(0.01, 0.02, 0.05, nothing=0.2), Expected(0.4, 1.5, 3.0)
    found = Comparison(
        "positive_cable", "slight", "positive_cable_drop", 40, 2.0, rule.id, rule.origin,
        read=read, rule_reads=rule_reads,
    )  # fmt: skip
    lines = list(physics_lines(kb, [found], 1, ("faults/positive_splice",)))
    assert [line.split() for line in lines[4:7]] == [
        ["in", "V", "5", "%", "50", "%", "95", "%", "nothing"],
        ["read", "0.01", "0.02", "0.05", "20%"],
        ["expected", "0.4", "1.5", "3", "0%"],
    ]
    assert lines[-2].startswith("Not compared, because the solved machine")
    assert lines[-1] == "  faults positive_splice"


def test_what_the_machines_do_in_start_is_named_where_they_are_told_apart() -> None:
    arguments = ["--fault", "start_fuse", "--draws", "12", "--top", "2", "--by-complaint"]
    result = CliRunner().invoke(command, arguments, catch_exceptions=False)
    assert "machines, silent in start\n" in result.output


def test_an_unknown_fault_is_answered_with_a_near_spelling() -> None:
    result = CliRunner().invoke(command, ["--fault", "start_fus"])
    assert "start_fuse" in str(result.exception)
