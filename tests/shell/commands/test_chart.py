"""The command that prints a fault chart."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner, Result

from crankpath.shell.main import cli


def run(*arguments: object) -> Result:
    return CliRunner().invoke(cli, ["chart", *map(str, arguments)])


def test_a_machine_its_tools_and_its_complaint_give_a_chart() -> None:
    done = run("--complaint", "cranks slow", "--machine", "24 V", "--without", "clamp meter", "--depth", 1)
    assert done.exit_code == 0, done.output
    assert done.stdout.startswith("FAULT CHART: cranks slow\nMachine: 24 V")
    assert "\n1  " in done.stdout
    assert "\n   - " in done.stdout


def test_a_case_file_goes_on_from_where_it_stands(tmp_path: Path) -> None:
    file, out = tmp_path / "loader.yaml", tmp_path / "chart.html"
    file.write_text("readings: {crank_behaviour: slow, positive_leg_drop: 820 mV}\n", "utf-8")
    done = run(file, "--depth", 1, "--html", out)
    assert (done.exit_code, done.stdout) == (0, ""), done.output
    assert "positive leg drop: 820 mV" in out.read_text("utf-8")


def test_what_is_not_understood_is_refused_with_what_can_be_said() -> None:
    for wrong, says in (
        (("--complaint", "purple"), "say what it does"),
        (("--machine", "purple paint"), "is not understood"),
        (("--without", "spaceship"), "There are:"),
    ):
        done = CliRunner().invoke(cli, ["chart", *wrong])
        assert done.exception is not None
        assert says in str(done.exception)


def test_a_file_and_a_machine_exclude_each_other(tmp_path: Path) -> None:
    assert run(tmp_path / "x.yaml", "--machine", "24 V").exit_code == 2
