"""Knowledge with keys dropped and values of another type: findings, never a traceback.

``python tests/kb/test_mutated_bases.py 3000`` tries that many.
"""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path
from typing import Any

import pytest
import yaml

from crankpath.engine.checking.checks import check_folders
from crankpath.engine.knowledge.loading import load_knowledge

CLEAN = Path(__file__).parents[1] / "engine" / "checking" / "clean.yaml"
OTHERS: tuple[Any, ...] = (
    None, True, -1, 0, 1e9, float("nan"), float("inf"), "", "x", ".nan", [], {}, [[]], [{}], {"a": []},
    ["x", 1],
    {"formula": "1 / 0"}, {"formula": 3}, {"kinds": []}, {"between": [1]}, {"any": {}}, "2026-01-01", [None],
)  # fmt: skip


def mutated(seed: int) -> str:
    """The clean base with one to three of its values dropped, doubled or of another type."""
    drawn = random.Random(seed)
    base = yaml.safe_load(CLEAN.read_text("utf-8"))
    for _ in range(drawn.randint(1, 3)):
        _mutate(base, drawn)
    text = yaml.safe_dump(base, sort_keys=False, allow_unicode=True)
    return text.replace("joint:", "? [joint]\n:", 1) if seed % 50 == 0 else text


def _mutate(base: Any, drawn: random.Random) -> None:
    """Change one value somewhere inside."""
    inside, steps = base, drawn.randint(1, 5)
    for step in range(steps):
        keys = list(inside) if isinstance(inside, dict) else list(range(len(inside)))
        if not keys:
            return
        key = drawn.choice(keys)
        deeper = inside[key]
        if step == steps - 1 or not isinstance(deeper, dict | list) or not deeper:
            break
        inside = deeper
    way = drawn.random()
    if way < 0.3:
        del inside[key]
    elif way < 0.4 and isinstance(inside, dict):
        inside[drawn.choice(["x y", "1", "None", "Joint", str(key) + "s"])] = inside.pop(key)
    else:
        inside[key] = drawn.choice(OTHERS)


def tried(seed: int, folder: Path) -> int:
    """The number of findings; what passes the check, loads."""
    (folder / "base.yaml").write_text(mutated(seed), "utf-8")
    kb, problems = check_folders(folder, shipped=False)
    assert all(str(problem) and problem.origin.line >= 1 for problem in problems)
    if kb is not None:
        load_knowledge(folder, shipped=False)
    else:
        assert problems
    return len(problems)


@pytest.mark.parametrize("seed", range(40))
def test_a_mutated_base_gives_findings_and_no_traceback(seed: int, tmp_path: Path) -> None:
    tried(seed, tmp_path)


def main() -> None:
    """Try as many as the command line says; tell the first of each sort that fails."""
    failed: dict[str, int] = {}
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(int(sys.argv[1])):
            try:
                tried(seed, Path(folder))
            except Exception as slip:  # noqa: BLE001  whatever it is, it is told
                failed.setdefault(f"{type(slip).__name__}: {slip}"[:200], seed)
    sys.stdout.write("".join(f"seed {seed}: {slip}\n" for slip, seed in failed.items()) or "none failed\n")


if __name__ == "__main__":
    main()
