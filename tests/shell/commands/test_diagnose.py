"""``crankpath diagnose``: a file in, a verdict out, and every slip told with its place."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from crankpath.shell.commands.diagnose import command

GOOD = """
equipment: {system_voltage: 12, duty: heavy}
readings:
  crank_behaviour: slow
  battery_rest_voltage: "12.6"
  positive_leg_drop: 820 mV
  positive_post_drop: 700 mV
"""


def diagnose(tmp_path: Path, text: str | bytes, *options: str) -> Result:
    file = tmp_path / "case one.yaml"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return CliRunner().invoke(command, [str(file), *options], catch_exceptions=False)


def test_a_good_file_gives_causes_reasons_and_a_verdict(tmp_path: Path) -> None:
    result = diagnose(tmp_path, GOOD)
    assert result.exit_code == 0
    assert "positive post" in result.output
    assert "Verdict:" in result.output
    assert all(len(line) <= 80 for line in result.output.splitlines())


def test_json_carries_causes_with_rules_and_places(tmp_path: Path) -> None:
    data = json.loads(diagnose(tmp_path, GOOD, "--json").output)
    first = data["causes"][0]
    assert first["fault"] == "positive_post_joint"
    assert any(reason["rule"] and ":" in reason["at"] and reason["sources"] for reason in first["reasons"])
    assert data["verdict"]["action"] in ("measure", "repair")
    for said in data["verdict"]["expect"]:
        assert {"low", "middle", "high", "nothing", "whole", "sound"} <= set(said) or "chances" in said
    assert data["suggestions"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("readings: {positive_leg_drop: 310}", "310 mV"),
        ("readings: {positive_leg_dropp: 1}", "positive_leg_drop"),
        ("readings: {crank_behaviour: sluggish}", "slow"),
        ("readings: {crank_current: 12 V}", "crank"),
        ("equipment: {system_voltage: 13}", "12, 24"),
        ("equipment: {system_voltag: 12}", "system_voltage"),
        ("readings: [", "line"),
        (b"\x00\x01", "text"),
        ("entries: [{repaired: paint_the_post}]", "repair"),
    ],
)
def test_a_slip_is_one_sentence_with_its_place_and_nothing_is_diagnosed(
    tmp_path: Path, text: str | bytes, said: str
) -> None:
    result = diagnose(tmp_path, text)
    assert result.exit_code == 2
    assert "case one.yaml:" in result.output
    assert said in result.output or said == "line"
    assert "Traceback" not in result.output
    assert "Verdict" not in result.output


def test_all_slips_are_told_at_once(tmp_path: Path) -> None:
    result = diagnose(tmp_path, "readings:\n  positive_leg_drop: 310\n  crank_behaviour: sluggish\n")
    assert ":2:" in result.output
    assert ":3:" in result.output


def test_a_case_of_another_base_is_taken_along_and_what_is_left_out_is_told(tmp_path: Path) -> None:
    result = diagnose(tmp_path, GOOD + "  charging_voltage: 12.2 V\n", "--alone", "flat")
    assert result.exit_code == 0
    assert "charging voltage 12.2 V" in result.stdout
    assert "kept as notes: duty" not in result.stderr
    assert "crank_behaviour slow; positive_leg_drop 820 mV" in " ".join(result.stderr.split())
