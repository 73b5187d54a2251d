"""Case files of any bytes: a case, or problems with their places; the command ends in order."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import read_case
from crankpath.engine.cases.replay import replay
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.kb_folders import Folders
from crankpath.shell.main import cli

Within = Callable[[float], AbstractContextManager[None]]
EXIT_CODES = {0, 1, 2}

VALID = b"""\
about: a loader
equipment: {system_voltage: 12, duty: heavy}
complaint: just clicks
lacks: [clamp_meter]
readings:
  positive_leg_drop: 820 mV
entries:
  - {reading: crank_behaviour, value: single_click}
  - {reading: battery_crank_voltage, value: 10.1, symptom: false, at: "2026-01-05T10:00:00Z", by: operator}
  - {cannot: crank_current}
  - {tries: {failures: 2, of: 10}}
  - {repaired: clean_positive_post, cured: false}
  - {note: rained all night}
"""
_BITS = [
    b"\n", b": ", b"- ", b"{", b"}", b"[", b"]", b"'", b'"', b"|", b">", b"&a", b"*a",
    b"!!python/name:os.system", b"%YAML", b"---", b"...", b"#", b"\t", b"\0", b"\xff\xfe", b"\xf0\x9f",
    b"null", b"~", b"yes", b"1e400", b"-1", b"999999999999999999999", b"?", b"<<: ", b"2026-13-45",
    b".inf", b".nan", b"0x7f",
]  # fmt: skip
EXHAUSTING = [b"[" * 100_000, b"{a: " * 50_000, b"a: " + b"'" * 100_000, b"- " * 100_000, b"a: &x [*x]\n",
              b"? " * 50_000]  # fmt: skip
READINGS = (("crank_behaviour", "slow"), ("positive_leg_drop", "0,82 V"), ("battery_rest_voltage", "12.6"))


@st.composite
def files(draw: st.DrawFn) -> bytes:
    """A file in order with some cuts, doublings and bits put in; now and then any bytes."""
    if draw(st.integers(0, 9)) == 0:
        return draw(st.binary(max_size=300))
    text = VALID
    for _ in range(draw(st.integers(1, 4))):
        at, to = draw(st.integers(0, len(text))), draw(st.integers(0, 40))
        match draw(st.integers(0, 3)):
            case 0:
                text = text[:at] + text[at + to :]
            case 1:
                text = text[:at] + draw(st.sampled_from(_BITS)) + text[at:]
            case 2:
                text = text[:at] + text[at : at + to] * 2 + text[at + to :]
            case _:
                text = text[:at] + draw(st.binary(max_size=4)) + text[at + 1 :]
    return text


def test_any_file_gives_a_case_or_problems_with_their_places(
    kb: Knowledge, plenty: settings, within: Within
) -> None:
    @plenty
    @given(files())
    def check(text: bytes) -> None:
        with within(5.0):
            written, problems = read_case(text, "loader.yaml")
            if written is not None:
                replayed = replay(kb, written)
                assert replayed.case is not None or replayed.problems
            else:
                assert problems
        assert all(problem.origin.line >= 1 and problem.message for problem in problems)

    check()


def test_the_command_ends_in_order_for_any_file(
    kb: Knowledge, plenty: settings, within: Within, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(Folders, "load", lambda *_: kb)  # loading is another test's matter
    file = tmp_path / "Bagger Süd №5" / "a file.yaml"
    file.parent.mkdir()

    @plenty
    @given(files(), st.booleans(), st.integers(40, 200))
    def check(text: bytes, as_json: bool, width: int) -> None:
        file.write_bytes(text)
        arguments = ["diagnose", str(file), "--width", str(width), *(["--json"] if as_json else [])]
        with within(10.0):
            done = CliRunner().invoke(cli, arguments)
        refused = done.exception is not None and type(done.exception).__module__.startswith("crankpath")
        assert done.exit_code in EXIT_CODES or refused, (text, done.output)
        assert done.exception is None or isinstance(done.exception, SystemExit) or refused, text

    check()


@pytest.mark.parametrize("text", EXHAUSTING)
def test_files_made_to_exhaust_are_refused_soon(text: bytes, within: Within) -> None:
    with within(10.0):
        written, problems = read_case(text, "bomb.yaml")
    assert problems or written is not None


def test_a_case_is_the_same_whatever_the_locale_writes_between_digits(
    kb: Knowledge, monkeypatch: pytest.MonkeyPatch
) -> None:
    import locale

    plain = _chances(kb)
    for name in ("de_DE.UTF-8", "fr_FR.UTF-8"):
        try:
            before = locale.setlocale(locale.LC_ALL)
            locale.setlocale(locale.LC_ALL, name)
        except locale.Error:
            continue
        try:
            assert _chances(kb) == plain
        finally:
            locale.setlocale(locale.LC_ALL, before)


def _chances(kb: Knowledge) -> list[tuple[str | None, float]]:
    case = Case(kb, {"system_voltage": 12})
    for name, text in READINGS:
        case.record(name, text)
    return [(cause.fault, cause.probability) for cause in case.causes()]
