"""``crankpath kb check [DIR]``: every slip of a knowledge base at once."""

from __future__ import annotations

import gc
import json
import sys
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from crankpath.engine.errors import KnowledgeError
from crankpath.engine.knowledge.folders import BASE_FILE, Read, knowledge_files
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.exits import EXIT_FINE, EXIT_KNOWLEDGE, EXIT_STUCK
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.knowledge import annotation, problem_data, problem_line

if TYPE_CHECKING:
    from crankpath.engine.trials.physics_check import Comparison

_LOOKS_EVERY: Final = 0.3  # seconds between two looks at the files


@click.command("check")
@click.argument("folder", metavar="[DIR|FILE]", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print JSON instead of text.")
@click.option("--annotations", is_flag=True, help="Print lines for a continuous-integration service.")
@click.option("--physics", metavar="N", type=click.IntRange(1), help="Compare rules with N machines a fault.")
@click.option("--watch", is_flag=True, help="Check again whenever a file is saved, until Ctrl-C.")
@pass_folders
def command(
    folders: Folders,
    folder: str | None,
    as_json: bool,
    annotations: bool,
    physics: int | None,
    watch: bool,
) -> None:
    """Check the knowledge base with the shop's folder or .zip DIR laid over it, or one FILE of such a folder.

    Prints every slip as file:line:column, what is wrong, what to do, and the check's id in
    parentheses (`crankpath kb checks` explains it). Of a base that others are laid over only what a
    folder changes is looked at again. Exit codes: 0 no slip; 1 slips of meaning; 2 the command line
    cannot be used; 3 slips that keep the knowledge base from being used.

    \b
    Example:
      crankpath kb check our-shop
      crankpath kb check our-shop --watch
    """
    if not watch:
        gc.disable()  # a quarter of the time of reading; all is needed until the end
    given = Path(folder) if folder else None
    file = ""
    if given is not None and given.suffix in (".yaml", ".yml") and given.is_file():
        folder, file = _folder_and_file(given)
    checked = _Checked(folders.over(folder), file)
    found = checked.now(physics)
    if as_json:
        click.echo(json.dumps([problem_data(p) for p in found[1]], indent=2, ensure_ascii=False))
    else:
        checked.tell(*found, annotations)
    for saved in _saves(checked.folders.paths) if watch else ():
        click.echo(f"\nSaved: {', '.join(saved)}")
        checked.tell(*checked.now(physics), annotations)
    kb, problems = found
    sys.exit(EXIT_KNOWLEDGE if kb is None else EXIT_STUCK if problems else EXIT_FINE)


def _folder_and_file(path: Path) -> tuple[str, str]:
    """The folder of knowledge that a file belongs to, and its name in it."""
    above = path.resolve().parents
    root = next((p for p in above[:3] if (p / "cases").is_dir() or (p / BASE_FILE).exists()), above[0])
    return str(root), path.resolve().relative_to(root).as_posix()


@dataclass
class _Checked:
    """A knowledge base that is checked more than once; files that did not change are not read again."""

    folders: Folders
    file: str
    _seen: Read = field(default_factory=dict)

    def now(self, physics: int | None) -> tuple[Knowledge | None, tuple[Problem, ...]]:
        """The knowledge, and every slip there is now."""
        kb, problems = self.folders.read(self._seen)
        if kb is not None:
            # the checks bring the solved machine, which a folder that cannot be read spares
            from crankpath.engine.checking.checks import check_knowledge

            problems = check_knowledge(kb, _comparisons(kb, physics) if physics else (), self.file)
        return kb, problems

    def tell(self, kb: Knowledge | None, problems: tuple[Problem, ...], annotations: bool) -> None:
        """Print the slips, how many there are, and what the shop's folder replaces or loses."""
        for problem in problems:
            click.echo(annotation(problem) if annotations else problem_line(problem))
        click.echo(_summary(kb, problems), err=annotations)
        if kb is None or not self.folders.own or annotations or self.file:
            return
        from crankpath.engine.checking.overlay_report import told_of_layers

        try:
            below = self.folders.below.load()
        except KnowledgeError:
            return  # only the shop's folder makes it one that can be used
        told = list(told_of_layers(below, kb, self.folders.paths[-1]))
        if told:
            click.echo("\nTo be known, and no slips:\n" + "\n".join(f"  {sentence}" for sentence in told))


def _saves(folders: tuple[Path, ...]) -> Iterator[list[str]]:
    """The files that were saved, added or taken away since the last look; waits for each change."""
    before = _stamps(folders)
    while True:
        time.sleep(_LOOKS_EVERY)
        now = _stamps(folders)
        changed = sorted({path for path, _ in now.items() ^ before.items()})
        if changed:
            before = now
            yield changed


def _stamps(folders: tuple[Path, ...]) -> Mapping[str, tuple[int, int]]:
    found = {}
    for folder in folders:
        for file in knowledge_files(folder) if folder.is_dir() else ():
            try:
                stat = (folder / file).stat()
            except OSError:
                continue  # taken away between the two looks
            found[file] = (stat.st_mtime_ns, stat.st_size)
    return found


def _summary(kb: Knowledge | None, problems: tuple[Problem, ...]) -> str:
    if kb is None:
        return f"{_slips(problems)}; the knowledge base cannot be used, and its meaning was not checked."
    counted = f"{len(kb.faults)} faults, {len(kb.measurements)} measurements, {len(kb.rules)} rules"
    return f"{_slips(problems)} in {counted}."


def _slips(problems: tuple[Problem, ...]) -> str:
    return "No slips" if not problems else f"{len(problems)} slip{'s' if len(problems) > 1 else ''}"


def _comparisons(kb: Knowledge, draws: int) -> Iterator[Comparison]:
    from crankpath.engine.trials.physics_check import compare

    with click.progressbar(length=len(kb.faults), label="faults", width=30, file=sys.stderr) as progress:
        for fault in kb.faults:
            for batch in compare(kb, draws, seed=1, faults=[fault]):
                yield from batch
            progress.update(1)
