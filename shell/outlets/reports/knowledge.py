"""Lines about a knowledge base: problems found, cases that came out otherwise."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from crankpath.engine.knowledge.folders import shipped_folder
from crankpath.engine.knowledge.problems import Problem
from crankpath.shell.outlets.reports.words import factor, percent

if TYPE_CHECKING:  # what lists slips waits for no case
    from crankpath.engine.advice.explain import Reason
    from crankpath.engine.trials.case_check import CaseResult

_MOST_CAUSES = 5
_UNNAMED = "structure"


def place_of(problem: Problem) -> str:
    """File, line and column; the path as short as the working folder allows."""
    path = shown_path(problem.folder, problem.origin.file)
    return f"{path}:{problem.origin.line}:{problem.origin.column}" if problem.origin.file else path


def shown_path(folder: str, file: str) -> str:
    """The path of a file of a knowledge-base folder (empty: the shipped one)."""
    path = Path(folder or shipped_folder()) / file
    try:
        return str(path.resolve().relative_to(Path.cwd()))
    except (ValueError, OSError):
        return str(path)


def problem_line(problem: Problem) -> str:
    """One problem as a line that editors can follow."""
    return f"{place_of(problem)} {_said(problem)} ({problem.check or _UNNAMED})"


def problem_data(problem: Problem) -> dict[str, object]:
    """One problem as plain data."""
    return {
        "file": shown_path(problem.folder, problem.origin.file),
        "line": problem.origin.line,
        "column": problem.origin.column,
        "check": problem.check or _UNNAMED,
        "entry": problem.entry or None,
        "message": problem.message,
        "advice": problem.advice,
    }


def annotation(problem: Problem) -> str:
    """One problem as a line that continuous-integration services show beside the file's line."""
    data = problem_data(problem)
    path = str(data["file"]).replace(os.sep, "/")
    where = f"file={_escaped(path, ':,')},line={problem.origin.line},col={problem.origin.column}"
    return f"::error {where},title={data['check']}::{_escaped(_said(problem))}"


def _escaped(text: str, more: str = "") -> str:
    """Percent signs, line ends and the given characters as %XX."""
    return "".join(f"%{ord(c):02X}" if c in f"%\r\n{more}" else c for c in text)


def _said(problem: Problem) -> str:
    return " ".join(_sentence(text) for text in (problem.message, problem.advice) if text)


def _sentence(text: str) -> str:
    return text if text[-1] in ".?!" else text + "."


def result_lines(result: CaseResult, folder: str = "") -> Iterator[str]:
    """What came out otherwise in a case: expected and got, readings, ranking, rules."""
    about = f": {result.about}" if result.about else ""
    yield f"FAILED {shown_path(folder, result.file)}:{result.origin.line}{about}"
    for slip in result.problems:
        yield f"  {slip.origin.line}:{slip.origin.column} {_said(slip)}"
    for failure in result.failures:
        after = f" after {failure.after}" if failure.after else ""
        must = "must never be concluded" if failure.what == "never" else "expected"
        yield f"  {failure.what}{after}: {must} {failure.expected}; got {failure.got}"
    if not result.failures:
        return
    yield f"  readings: {'; '.join(result.entries) or 'none'}"
    ranking = ", ".join(f"{name} {percent(chance)}" for name, chance in result.ranking[:_MOST_CAUSES])
    yield f"  ranking: {ranking}"
    for name, reasons in result.reasons:
        place = next((i + 1 for i, (fault, _) in enumerate(result.ranking) if fault == name), None)
        yield f"  {name}{f' (number {place})' if place else ''}:"
        yield from (f"    {_reason(reason)}" for reason in reasons)


def _reason(reason: Reason) -> str:
    what = f"{reason.measurement} {reason.text} ({reason.band})" if reason.measurement else reason.text
    by = f"rule {reason.rule} ({reason.origin})" if reason.rule else "no rule: the healthy reading"
    return f"{what}: {factor(reason.factor)}, by {by}"
