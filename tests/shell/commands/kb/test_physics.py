"""``crankpath kb physics``: rules beside solved machines, worst first."""

from __future__ import annotations

import re

from click.testing import CliRunner

from crankpath.engine.knowledge.loading import load_knowledge
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
    kb = load_knowledge()
    rule = next(rule for rule in kb.rules.values() if rule.misleads)
    found = Comparison("f", "present", "m", 9, ("a", "b"), (1.0, 0.0), (0.5, 0.5), 1.0, rule.id, rule.origin)
    lines = list(physics_lines(kb, [found], 1))
    assert any(rule.misleads in line for line in lines if rule.misleads)
    assert any(rule.id in line for line in lines)


def test_what_the_machines_do_in_start_is_named_where_they_are_told_apart() -> None:
    arguments = ["--fault", "start_fuse", "--draws", "12", "--top", "2", "--by-complaint"]
    result = CliRunner().invoke(command, arguments, catch_exceptions=False)
    assert "machines, silent in start\n" in result.output


def test_an_unknown_fault_is_answered_with_a_near_spelling() -> None:
    result = CliRunner().invoke(command, ["--fault", "start_fus"])
    assert "start_fuse" in str(result.exception)
