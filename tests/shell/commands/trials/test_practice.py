"""``crankpath practice`` from the outside: piped answers, whole lines, an exit code."""

from __future__ import annotations

from click.testing import CliRunner, Result

from crankpath.shell.commands.trials.practice import command


def practise(*lines: str, seed: int = 12) -> Result:
    return CliRunner().invoke(
        command, ["--seed", str(seed)], input="\n".join(lines) + "\n", catch_exceptions=False
    )


def test_the_machine_is_described_and_the_fault_is_not() -> None:
    result = practise("quit")
    assert result.exit_code == 1
    assert "What it does in start" in result.output
    assert "it was" not in result.output


def test_readings_are_shown_and_paid_and_the_end_tells_the_truth() -> None:
    result = practise("positive leg drop", "battery rest", "minutes", "cause battery discharged")
    assert "positive leg drop:" in result.output
    assert "minutes so far" in result.output
    assert "it was" in result.output
    assert "The advice would have taken" in result.output
    assert all(len(line) <= 100 for line in result.output.splitlines())


def test_what_is_not_understood_is_said_and_the_practice_goes_on() -> None:
    result = practise("xyzzy", "cause xyzzy", "?", "quit")
    assert result.output.count("xyzzy") >= 2
    assert "Given up" in result.output


def test_the_end_of_the_input_is_giving_up() -> None:
    result = CliRunner().invoke(command, ["--seed", "3"], input="", catch_exceptions=False)
    assert result.exit_code == 1


def test_on_a_phone_every_line_fits() -> None:
    typed = "?\nlist\nfaults\npos leg\nrest\nxyzzy\ncause battery discharged\n"
    result = CliRunner().invoke(command, ["--seed", "12", "--width", "40"], input=typed)
    lines = result.output.replace("practice> ", "").splitlines()
    assert len(lines) > 40
    assert [line for line in lines if len(line) > 40] == []
