"""``crankpath kb list``: the ids of a section."""

from __future__ import annotations

from click.testing import CliRunner

from crankpath.engine.errors import UnknownName
from crankpath.shell.main import cli


def listed(*words: str) -> list[str]:
    done = CliRunner().invoke(cli, ["kb", "list", *words])
    if done.exception is not None:
        raise done.exception
    return done.output.splitlines()


def test_ids_stand_beside_what_they_are_called() -> None:
    assert listed("faults", "cable") == [
        "cables_undersized  cables too thin or too long",
        "negative_cable     damaged battery ground cable",
        "positive_cable     damaged positive cable",
    ]


def test_an_alias_finds_an_id_too() -> None:
    assert [line.split()[0] for line in listed("measurements", "breaker")] == ["start_fuse_inspection"]


def test_without_a_section_the_sections_are_counted() -> None:
    assert any(line.startswith("faults ") and line.endswith(" entries") for line in listed())


def test_what_is_not_there_is_told() -> None:
    slips = {("fault",): "Did you mean faults", ("faults", "zzz"): "No entry of 'faults' holds 'zzz'"}
    for words, said in slips.items():
        done = CliRunner().invoke(cli, ["kb", "list", *words])
        assert isinstance(done.exception, UnknownName)
        assert said in str(done.exception)
