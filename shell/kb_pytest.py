"""The cases of a shop's folder as plain pytest items, in two lines of a test file::

    from crankpath.shell.kb_pytest import cases_of
    test_case = cases_of("our-shop")
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import pytest

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.commands.kb.test import run_case
from crankpath.shell.kb_folders import Folders
from crankpath.shell.outlets.reports.knowledge import result_lines


def cases_of(folder: str | Path | None = None, alone: bool = False) -> Callable[..., None]:
    """A pytest test, one item for each case of the folder and of the shipped knowledge.

    Args:
        folder: the shop's folder or .zip; none: the shipped cases only.
        alone: the folder is a whole knowledge base of its own.
    """
    given = None if folder is None else str(folder)
    folders = Folders(base=given) if alone else Folders(given)
    found = folders.cases()
    ids = [f"{name}/{file}" if name else file for name, file, _ in found]

    @lru_cache
    def knowledge() -> Knowledge:
        return folders.load()

    @pytest.mark.parametrize(("name", "file", "text"), found, ids=ids)
    def test_case(name: str, file: str, text: bytes | str) -> None:
        result = run_case(knowledge(), file, text)
        if not result.passed:
            pytest.fail("\n".join(result_lines(result, name)), pytrace=False)

    return test_case
