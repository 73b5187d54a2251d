"""Knowledge files of any bytes: a knowledge base, or every slip with its place."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError, CrankpathError
from crankpath.engine.knowledge.loading import read_knowledge

Within = Callable[[float], AbstractContextManager[None]]
SMALL = Path(__file__).parent.parent / "data" / "small"
_WORDS = [
    "faults", "measurements", "rules", "reads", "given", "unless", "any", "none", "formula", "between",
    "covers", "bands", "limits", "at", "push", "both", "up", "healthy", "share", "degrees", "retire",
    "scale", "settings", "true", "null", "1e400", "-1", "0", "[]", "{}", "''", "&a", "*a", "!!x",
    "1 / 0", "a + a", "((((", "\u202e", "known", "unknown", "{above: 3}", "inherits", "where", "across",
    "masks", "value", "about", "9" * 30,
]  # fmt: skip


@st.composite
def mutations(draw: st.DrawFn) -> list[tuple[int, int, str, int]]:
    """Where to cut, how much, what to put in, and which line to double."""
    place, size = st.integers(0, 100_000), st.integers(0, 30)
    put_in = st.sampled_from(_WORDS) | st.text(max_size=8) | st.just("")
    return draw(st.lists(st.tuples(place, size, put_in, st.integers(0, 3)), min_size=1, max_size=4))


def mutated(text: str, changes: list[tuple[int, int, str, int]]) -> str:
    for place, size, put_in, doubled in changes:
        at = place % (len(text) + 1)
        text = text[:at] + put_in + text[at + size :]
        if doubled == 3:
            lines = text.split("\n")
            lines.insert(place % len(lines), lines[place % len(lines)])
            text = "\n".join(lines)
    return text


def test_any_folder_is_read_or_every_slip_told(
    plenty: settings, within: Within, tmp_path: Path
) -> None:
    folder = tmp_path / "shop süd"
    shutil.copytree(SMALL, folder)
    files = sorted(folder.rglob("*.yaml"))
    originals = {file: file.read_text("utf-8") for file in files}

    @plenty
    @given(st.sampled_from(files), mutations())
    def check(file: Path, changes: list[tuple[int, int, str, int]]) -> None:
        file.write_text(mutated(originals[file], changes), "utf-8", errors="replace")
        try:
            with within(20.0):
                kb, problems = read_knowledge(folder, shipped=False)
                assert (kb is None) == bool(problems)
                if kb is not None:
                    _use(Case(kb))
        except CrankpathError as slip:
            assert "\n" not in str(slip)  # noqa: PT017  what the base does not say is told when it is needed
        finally:
            file.write_text(originals[file], "utf-8")
        assert all(problem.message and problem.origin.line >= 1 for problem in problems)

    check()


def _use(case: Case) -> None:
    for measurement in list(case.assessment.model.measurements.values())[:3]:
        try:
            case.record(measurement.id, measurement.bands[-1] if not measurement.numeric else "1")
        except CaseError:
            continue
    case.causes()
    case.suggestions()
    case.verdict()


def test_a_file_of_any_bytes_is_a_problem_with_its_place(
    plenty: settings, within: Within, tmp_path: Path
) -> None:
    @plenty
    @given(st.binary(max_size=200))
    def check(content: bytes) -> None:
        (tmp_path / "a.yaml").write_bytes(content)
        with within(5.0):
            kb, problems = read_knowledge(tmp_path, shipped=False)
        assert kb is None
        assert problems

    check()
