"""Slips seeded one at a time into a copy of the shipped knowledge: each is told at its line.

The slips stand in seeds.yaml, with what each field of a seed means.
"""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
import yaml

from crankpath.engine.checking.checks import CHECKS, check_knowledge
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.folders import knowledge_files, shipped_folder
from crankpath.engine.knowledge.loading import read_knowledge

READING = {"unreadable", "structure", "unknown_id", "duplicate_id", "condition", "chances"}


@dataclass(frozen=True)
class Seed:
    """One edit. at: beginning of the line that must be told, if it is neither edit nor entry."""

    check: str
    file: str
    entry: str
    old: str
    new: str
    says: str = ""
    at: str = ""


SEEDS = [Seed(**seed) for seed in yaml.safe_load((Path(__file__).parent / "seeds.yaml").read_text())["seeds"]]


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("copy")
    for file in knowledge_files(shipped_folder()):
        (folder / file).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(shipped_folder() / file, folder / file)
    return folder


def edited(seed: Seed, text: str) -> tuple[str, int, int]:
    """The text with the slip in it, and where the entry and the edit begin."""
    found = re.search(rf"^( *){seed.entry}:.*\n(?:(?:\1 .*)?\n)*", text, re.MULTILINE)
    assert found, f"{seed.file} no longer has {seed.entry}: choose another place"
    assert seed.old in found[0], f"{seed.entry} no longer has {seed.old!r}: choose another place"
    place = found.start() + found[0].index(seed.old)
    return text[:place] + seed.new + text[place + len(seed.old) :], found.start(), place


def expected_line(seed: Seed, text: str, entry: int, place: int) -> int:
    """The line that must be told."""
    if seed.at:
        place = text.index("\n" + seed.at, max(entry - 1, 0)) + 1
    elif seed.check not in READING:
        place = entry
    return text.count("\n", 0, place) + 1


def told(seed: Seed, folder: Path) -> list[tuple[int, str, str]]:
    """(line, check, sentence) of everything that is told of the edited file."""
    kb, problems = read_knowledge(folder, shipped=False)
    if kb is None:
        pass
    elif seed.check == "idle_silence":
        problems = check_knowledge(kb)
    else:
        run = next(c.run for c in CHECKS if c.id == seed.check)
        problems = tuple(run(Survey(kb))) if run else ()
        problems = tuple(replace(p, check=seed.check) for p in problems)
    return [(p.origin.line, p.check or "structure", str(p)) for p in problems if p.origin.file == seed.file]


def test_there_are_sixty_seeds_or_more_and_every_check_but_physics_has_one() -> None:
    assert len(SEEDS) >= 60
    unseeded = {check.id for check in CHECKS} - {seed.check for seed in SEEDS}
    assert unseeded == {"physics", "lost_safety", "cases"}  # solved machines; another folder; case files


QUICK = ("unreadable", "unknown_id", "chances", "unused", "quantities", "circuit_shape", "derived")
FIRST = {seed.check: seed for seed in reversed(SEEDS) if seed.check in QUICK}.values()
"""One of each quick check; every check has tests of its own on a small base."""
PARAMETERS = [seed if seed in FIRST else pytest.param(seed, marks=pytest.mark.slow) for seed in SEEDS]


@pytest.mark.parametrize("seed", PARAMETERS, ids=lambda seed: f"{seed.check}-{seed.entry}-{seed.new[:20]!r}")
def test_a_seeded_slip_is_told_at_its_line_by_its_check(seed: Seed, copy: Path) -> None:
    file = copy / seed.file
    sound = file.read_text("utf-8")
    text, entry, place = edited(seed, sound)
    try:
        file.write_text(text, "utf-8")
        found = told(seed, copy)
    finally:
        file.write_text(sound, "utf-8")
    line = expected_line(seed, text, entry, place)
    hits = [said for at, check, said in found if check == seed.check and line == at]
    assert any(seed.says in said for said in hits), (line, found)
