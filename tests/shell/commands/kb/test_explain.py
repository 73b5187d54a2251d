"""``crankpath kb explain``: a chance down to the lines of YAML."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from crankpath.engine.knowledge.folders import shipped_folder
from crankpath.shell.main import cli

CASE = """\
equipment: {system_voltage: 12}
entries:
  - {reading: crank_behaviour, value: slow}
  - {reading: positive_leg_drop, value: 0.42 V}
  - {repaired: clean_positive_post, cured: false}
"""


@pytest.fixture
def case(tmp_path: Path) -> Path:
    path = tmp_path / "case.yaml"
    path.write_text(CASE, "utf-8")
    return path


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, ["kb", "explain", *map(str, words)])


def test_every_place_that_is_named_holds_what_is_said_to_stand_there(case: Path) -> None:
    text = " ".join(run(case, "positive_cable", "--width", "200").stdout.split())
    placed = re.findall(r"(rule (\w+)), \S*?((?:rules|faults)/\w+\.yaml):(\d+)", text)
    assert {rule for _, rule, _, _ in placed} >= {"slight_resistance_shows_across"}
    for _, rule, file, line in placed:
        lines = (shipped_folder() / file).read_text("utf-8").splitlines()
        assert lines[int(line) - 1].strip() == f"{rule}:"
    found = re.search(r"the setting co_occurrence_scale: \S*settings\.yaml:(\d+)", text)
    assert found is not None
    settings = (shipped_folder() / "settings.yaml").read_text("utf-8").splitlines()
    assert settings[int(found[1]) - 1].strip() == "co_occurrence_scale:"


def test_the_product_and_what_the_case_states_agree(case: Path) -> None:
    output = run(case, "positive_cable").stdout
    total = re.search(r"sum +(\d\.\d+)", output)
    stated = re.search(r"the case states +(\d\.\d+)", output)
    assert total is not None
    assert stated is not None
    assert total[1] == stated[1]
    assert "The two agree." in output


def test_a_meter_reading_is_told_with_the_limits_for_people_both_ranges_and_densities(case: Path) -> None:
    output = " ".join(run(case, "positive_cable").stdout.split())
    assert "limits in V, for people: none to 0.01," in output
    assert re.search(r"with it 0\.\d+ to \d(\.\d)? V", output)
    assert re.search(r"healthy \d+ mV to 0\.\d+ V \(\S*cranking\.yaml:\d+\)", output)
    assert re.search(r"density \S+ \(sound \S+\); a slip in 0\.\d+ of readings", output)


def test_without_a_fault_the_likeliest_is_told_and_not_listed_can_be(case: Path) -> None:
    assert run(case).exit_code == 0
    output = run(case, "not_listed").stdout
    assert output.startswith("something this knowledge base does not list: ")
    assert "the setting unlisted" in " ".join(output.split())


def test_a_repair_that_did_not_cure_is_told_with_its_setting(case: Path) -> None:
    output = " ".join(run(case, "positive_post_joint").stdout.split())
    assert "It was repaired, and work comes out so by the setting failed_repair" in output


@pytest.mark.parametrize(
    ("name", "says"), [("positive_cabel", "positive_cable"), ("disconnect_contacts", "machine of this case")]
)
def test_a_fault_that_cannot_be_here_is_refused(case: Path, name: str, says: str) -> None:
    assert says in str(run(case, name).exception)
