"""The slips of slips_made/, put into copies of the knowledge, and what is told first of each.

``python tests/kb/slips.py`` prints how many are found of each list; ``--misses`` shows the others, and the
name of a list runs it alone.
"""

from __future__ import annotations

import difflib
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import yaml

from crankpath.engine.checking.checks import check_folders
from crankpath.engine.knowledge.folders import shipped_folder
from crankpath.engine.knowledge.problems import Problem

HERE = Path(__file__).parent
SHOPS = HERE / "shops"
LISTS = HERE / "slips_made"
NAMES = ("first", "second", "third", "fourth")


@dataclass(frozen=True)
class Slip:
    """One edit, as its list tells it."""

    of: str
    file: str
    shop: str = ""
    base: str = ""
    within: str = ""
    old: str = ""
    new: str = ""
    rename: str = ""
    at: str = ""
    in_file: str = ""
    also: tuple[str, ...] = ()
    say: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Tells it apart in a list."""
        base = self.shop or self.base or "shipped"
        return f"{self.of}, {base}/{self.file}: {self.new or self.rename!r}"[:110]


def slips_of(name: str) -> list[Slip]:
    """The slips of one list, in the order of the file."""
    found = yaml.safe_load((LISTS / f"{name}.yaml").read_text("utf-8"))["slips"]
    return [Slip(within=s.pop("in", ""), say=tuple(s.pop("say", ())), also=tuple(s.pop("also", ())), **s)
            for s in found]  # fmt: skip


def edited(slip: Slip, text: str) -> str:
    """The text with the slip in it."""
    start, end = 0, len(text)
    if slip.within:
        found = re.search(rf"^( *){slip.within}:.*\n(?:(?:\1 .*)?\n)*", text, re.MULTILINE)
        assert found, f"{slip.file} no longer has {slip.within}: choose another place"
        start, end = found.span()
    place = text.find(slip.old, start, end)
    assert place >= 0, f"{slip.file} no longer has {slip.old!r}: choose another place"
    text = text[:place] + slip.new + text[place + len(slip.old) :]
    return text.replace(slip.also[0], slip.also[1], 1) if slip.also else text


def right_lines(slip: Slip, sound: str, text: str) -> set[int]:
    """The lines of which one must be told."""
    lines = text.splitlines()
    if slip.at:
        return {n for n, line in enumerate(lines, 1) if line.lstrip().startswith(slip.at)}
    steps = difflib.SequenceMatcher(None, sound.splitlines(), lines, autojunk=False).get_opcodes()
    return {n + 1 for tag, _, _, low, high in steps if tag != "equal" for n in range(low, max(high, low + 1))}


@contextmanager
def made(slip: Slip) -> Iterator[tuple[Path, str, set[int]]]:
    """A folder with the slip in it, the file to be told, and its right lines."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary) / "base"
        shutil.copytree(SHOPS / slip.shop if slip.shop else shipped_folder() / slip.base, folder,
                        ignore=shutil.ignore_patterns("__pycache__"))  # fmt: skip
        file = folder / slip.file
        sound = file.read_text("utf-8")
        if slip.rename:
            (folder / slip.rename).parent.mkdir(exist_ok=True)
            file.rename(folder / slip.rename)
            yield folder, slip.rename, {1}
            return
        text = edited(slip, sound)
        file.write_text(text, "utf-8")
        told_in = (folder / slip.file).with_name(slip.in_file) if slip.in_file else file
        text = told_in.read_text("utf-8")
        yield folder, told_in.relative_to(folder).as_posix(), right_lines(slip, sound, text)


def told(slip: Slip) -> tuple[tuple[Problem, ...], str, set[int]]:
    """All findings, the file and the lines that the first must stand in."""
    with made(slip) as (folder, file, lines):
        _, problems = check_folders(folder, shipped=bool(slip.shop))
        return problems, file, lines


def judged(slip: Slip) -> tuple[bool, bool, bool, tuple[Problem, ...]]:
    """Whether it is found at all, first at its place, and first with the words that it needs."""
    problems, file, lines = told(slip)
    first = problems[0] if problems else None
    placed = first is not None and first.origin.file == file and first.origin.line in lines
    said = first is not None and all(word in str(first) for word in slip.say)
    return bool(problems), placed, said, problems


def _say(text: str) -> None:
    sys.stdout.write(f"{text}\n")


def main() -> None:
    """Print the figures of each list; with --misses what went wrong."""
    for name in [n for n in NAMES if n in sys.argv] or NAMES:
        results = [(slip, *judged(slip)) for slip in slips_of(name)]
        count = len(results)
        found, placed, said = (sum(r[n] for r in results) for n in (1, 2, 3))
        one = sum(len(r[4]) == 1 for r in results)
        _say(f"{name}: {count} slips; found {found / count:.1%}, first finding at its line "
              f"{placed / count:.1%}, "
              f"with what to type {said / count:.1%}, one finding {one / count:.1%}")  # fmt: skip
        for slip, was_found, was_placed, was_said, problems in results:
            if "--misses" in sys.argv and not (was_found and was_placed and was_said and len(problems) == 1):
                _say(f"\n{'' if was_found else 'NOT FOUND '}{'' if was_placed else 'PLACE '}"
                      f"{'' if was_said else 'WORDS '}{slip.name} -> {slip.say}")  # fmt: skip
                for problem in problems[:3]:
                    _say(f"    {problem} ({problem.check})")


if __name__ == "__main__":
    main()
