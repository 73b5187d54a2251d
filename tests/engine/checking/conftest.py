"""One slip laid over the clean base, and what one check says of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from crankpath.engine.checking.checks import CHECKS
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.engine.knowledge.records import Knowledge

CLEAN = (Path(__file__).parent / "clean.yaml").read_text("utf-8")

Laid = Callable[..., Knowledge]
Finds = Callable[..., list[str]]


@pytest.fixture
def laid(tmp_path: Path) -> Laid:
    """The clean base with one text edited (old, new) and another file laid over it."""

    def lay(text: str = "", old: str = "", new: str = "") -> Knowledge:
        assert not old or CLEAN.count(old) == 1, f"{old!r} stands {CLEAN.count(old)} times in the clean base"
        for name, content in (("base", CLEAN.replace(old, new) if old else CLEAN), ("shop", text)):
            (tmp_path / name).mkdir(exist_ok=True)
            (tmp_path / name / f"{name}.yaml").write_text(content, "utf-8")
        folders = [tmp_path / "base", *([tmp_path / "shop"] if text else [])]
        kb, problems = read_knowledge(*folders, shipped=False)
        assert kb is not None, [str(problem) for problem in problems]
        return kb

    return lay


@pytest.fixture
def finds(laid: Laid) -> Finds:
    """What one check finds in the clean base with a slip in it: "entry: message" each."""

    def find(check: str, text: str = "", old: str = "", new: str = "") -> list[str]:
        run = next(c.run for c in CHECKS if c.id == check)
        assert run is not None
        problems = list(run(Survey(laid(text, old, new))))
        assert all(p.origin.file and p.advice for p in problems)
        return [f"{p.entry}: {p.message}" for p in problems]

    return find
