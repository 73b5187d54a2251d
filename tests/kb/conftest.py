"""Of the cases of the shipped bases one in three runs with every `pytest`; the slow tests run the others."""

from __future__ import annotations

import pytest

ONE_IN = 3


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    cases = [item for item in items if item.name.startswith("test_case[")]
    for item in cases:
        if cases.index(item) % ONE_IN:
            item.add_marker(pytest.mark.slow)
