"""A shop's folder tried with one file changed, before the file is written: its check, and its cases."""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

import click

from crankpath.engine.checking.checks import check_knowledge
from crankpath.engine.knowledge.folders import Read
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.trials.case_check import CaseResult, check_text
from crankpath.shell.kb_folders import Folders

Offer = TypeVar("Offer")
_Case = tuple[str, str, bytes | str]


@dataclass
class Trial:
    """A copy of the shop's folder in which a file may be another one.

    Attributes:
        folders: the shop's folder over its base.
        file: its name in the shop's folder; it need not be there.
        copy: the copy of the shop's folder.
    """

    folders: Folders
    file: Path
    copy: Path
    _seen: Read = field(default_factory=dict)

    def harm(self, text: str, only: Sequence[_Case] | None = None) -> tuple[list[str], list[_Case]]:
        """What goes wrong with that text in the file and did not before: sentences, and the cases that fail.

        only: the cases to be tried; all by default.
        """
        kb, problems = self._knowledge(text)
        fresh = [problem for problem in problems if _named(problem) not in self._known_slips]
        said = [f"kb check: {problem.message}" for problem in fresh]
        failing = [] if kb is None or said else list(self._failing(kb, self.cases if only is None else only))
        return said + [f"kb test: {file} no longer comes out as required" for _, file, _ in failing], failing

    @cached_property
    def cases(self) -> list[_Case]:
        """The cases of the shop and its base."""
        return self.folders.cases()

    def _failing(self, kb: Knowledge, cases: Sequence[_Case]) -> Iterator[_Case]:
        with progress(cases, "trying") as shown:
            for case in shown:
                if not _run(kb, case).passed and (self._before is None or _run(self._before, case).passed):
                    yield case

    def _knowledge(self, text: str) -> tuple[Knowledge | None, tuple[Problem, ...]]:
        inside = self.copy / self.file
        inside.unlink(missing_ok=True)
        if text:
            inside.write_bytes(text.encode())
        kb, problems = self.folders.over(str(self.copy)).read(self._seen)
        return kb, problems if kb is None else check_knowledge(kb)

    @cached_property
    def _before(self) -> Knowledge | None:
        kb, _ = self.folders.read(self._seen)
        return kb

    @cached_property
    def _known_slips(self) -> frozenset[tuple[str, str, str]]:
        if self._before is None:
            return frozenset()
        return frozenset(map(_named, check_knowledge(self._before)))


def _named(problem: Problem) -> tuple[str, str, str]:
    """The slip, whatever figures it names."""
    return problem.check, problem.entry, re.sub(r"\d[\d.]*", "0", problem.message)


def _run(kb: Knowledge, case: _Case) -> CaseResult:
    _, file, text = case
    return check_text(kb, text.encode() if isinstance(text, str) else text, file)


@contextmanager
def trial(folders: Folders, file: Path) -> Iterator[Trial]:
    """A trial of the folder that the file stands in, or will, over the base."""
    folder = root_of(folders, file)
    with TemporaryDirectory() as place:
        copy = Path(place) / folder.name
        shutil.copytree(folder, copy, ignore=_no_knowledge)
        has = any(path.suffix in (".yaml", ".yml") for path in copy.rglob("*"))
        inside = file.resolve().relative_to(folder)
        yield Trial(folders.over(str(folder)) if has else folders.below, inside, copy)


def root_of(folders: Folders, file: Path) -> Path:
    """The shop's folder that a file belongs to: the one in use, if it stands in that."""
    here = file.resolve().parent
    own = folders.paths[-1].resolve() if folders.own else here
    return own if own in (here, *here.parents) else here


def _no_knowledge(folder: str, names: list[str]) -> list[str]:
    return [n for n in names if Path(n).suffix not in (".yaml", ".yml") and not (Path(folder) / n).is_dir()]


def harmless(
    tried: Trial, offers: Sequence[Offer], text: Callable[[Sequence[Offer]], str]
) -> tuple[list[Offer], list[tuple[Offer, list[str]]]]:
    """Which of several offers do no harm together, and what each of the others would do.

    text: what the file is with some of them.
    """
    left = list(offers)
    refused: list[tuple[Offer, list[str]]] = []
    while left:
        said, failing = tried.harm(text(left))
        if not said:
            break
        kept: list[Offer] = []
        _halved(tried, left, kept, refused, text, failing)
        if len(kept) == len(left):  # harm that is only done by all of them together
            refused += [(offer, said) for offer in kept]
            kept = []
        left = kept
    return left, refused


def _halved(
    tried: Trial,
    offers: Sequence[Offer],
    kept: list[Offer],
    refused: list[tuple[Offer, list[str]]],
    text: Callable[[Sequence[Offer]], str],
    cases: Sequence[_Case],
) -> None:
    """Add to those kept whatever does no harm beside them, half by half."""
    said, _ = tried.harm(text([*kept, *offers]), cases)
    if not said:
        kept += offers
    elif len(offers) == 1:
        refused.append((offers[0], said))
    else:
        half = len(offers) // 2
        _halved(tried, offers[:half], kept, refused, text, cases)
        _halved(tried, offers[half:], kept, refused, text, cases)


Item = TypeVar("Item")


@contextmanager
def progress(items: Sequence[Item], label: str) -> Iterator[Iterator[Item]]:
    """The items one by one, with a bar on standard error where that is a terminal."""
    hidden = not sys.stderr.isatty()
    with click.progressbar(items, label=label, width=30, file=sys.stderr, hidden=hidden) as shown:
        yield iter(shown)
