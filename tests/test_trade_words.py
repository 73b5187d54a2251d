"""No word of one circuit stands in the code: what a circuit is called and made of is said in YAML."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from crankpath.engine import load_knowledge
from crankpath.engine.knowledge.folders import SECTIONS, shipped_bases
from crankpath.engine.knowledge.records import Knowledge

ROOT = Path(__file__).parents[1]
TRADE = re.compile(
    r"crank|starter|batter|solenoid|relay|ignition|\bengine|alternator|\bcharg|discharg|\bfuse|lamp\b"
    r"|\bkey switch|at the key|key in start|strap\b|\bposts?\b|clamp|\bstud\b|interlock|motor\b|disconnect\b"
    r"|isolator|\bground (?:strap|cable|side)"
    r"|brush|armature|winding|pinion|flywheel|diesel|gasoline|petrol|truck|tractor|belt|regulator"
    r"|diode|excit|sulph|dynamo|generator|starting circuit",
    re.IGNORECASE,
)
"""Words of the starting circuit and of the charging circuit."""

ROOMS = (
    "engine/solved/", "engine/physics/", "engine/trials/",  # the solved machine is one of a starting circuit
    "engine/recordings/", "shell/recordings/", "shell/commands/catching/record.py",  # so are recorded cranks
    "shell/outlets/pages/sheet/crank_svg.py", "shell/session/commands/outside/record.py",
)  # fmt: skip
"""Rooms that are about one circuit, and say so."""

NAMES = re.compile(r"crankpath[\w.]*|^crank_[a-z_]+$", re.IGNORECASE)
"""The program's own name is no word of a circuit; settings of a recording begin with the other."""

FORMAT = {
    "crank", "crank?",  # a field of a case's entries: which try it was
    "battery",  # a key of `diagnose --json`: what the source loses inside itself
}  # fmt: skip
"""Fields of files that are written already."""


@cache
def literals() -> tuple[tuple[str, int, str], ...]:
    """File, line and text of every string in the code that is no docstring."""
    return tuple(_literals())


def _literals() -> Iterator[tuple[str, int, str]]:
    for room in ("engine", "shell"):
        for path in sorted((ROOT / room).rglob("*.py")):
            file = path.relative_to(ROOT).as_posix()
            if file.startswith(ROOMS):
                continue
            tree = ast.parse(path.read_text("utf-8"))
            said = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
            for node in ast.walk(tree):
                if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in said:
                    yield file, node.lineno, node.value


def test_no_text_of_the_code_has_a_word_of_one_circuit() -> None:
    found = [
        f"{file}:{line}: {word[0]!r} in {text[:80]!r}"
        for file, line, text in literals()
        if text not in FORMAT and (word := TRADE.search(NAMES.sub("", text)))
    ]
    assert found == []


def test_a_word_of_one_circuit_would_be_found() -> None:
    assert TRADE.search(NAMES.sub("", "it cranked well"))
    assert not TRADE.search(NAMES.sub("", "crankpath: try it, with CRANKPATH_STORE set"))


@pytest.mark.parametrize("base", ["shipped", *shipped_bases()])
def test_no_id_of_a_shipped_base_stands_in_the_code(base: str) -> None:
    ids = ids_of(load_knowledge(base, shipped=False))
    found = [f"{file}:{line}: {text}" for file, line, text in literals() if text in ids]
    assert found == []


def ids_of(kb: Knowledge) -> set[str]:
    """Ids of several words of every entry, and of the bands and kinds; a word alone may be any other's."""
    named = set(SECTIONS) - {"scale", "settings", "silence", "complaints", "references"}
    found = {id_ for section in named for id_ in getattr(kb, section)}
    found |= {name for m in kb.measurements.values() for name in (*m.bands, *m.kinds, m.state)}
    found |= {kind for fault in kb.faults.values() for kind in fault.kinds}
    return {id_ for id_ in found if "_" in id_ and not id_.startswith("very_")}
