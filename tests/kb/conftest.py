"""Of the shipped cases one in three runs with every `pytest`; the slow tests run the others."""

from __future__ import annotations

import pytest

ONE_IN = 3


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    cases = [item for item in items if item.path.name == "test_cases.py"]
    for item in cases:
        if cases.index(item) % ONE_IN:
            item.add_marker(pytest.mark.slow)
