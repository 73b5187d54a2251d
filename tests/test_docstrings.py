"""The examples in docstrings run and give what they say."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import crankpath.engine
import crankpath.shell

MODULES = [
    found.name
    for package in (crankpath.engine, crankpath.shell)
    for found in pkgutil.walk_packages(package.__path__, package.__name__ + ".")
]


def test_the_examples_in_docstrings_give_what_they_say() -> None:
    results = {name: doctest.testmod(importlib.import_module(name)) for name in MODULES}
    assert {name for name, result in results.items() if result.failed} == set()
    assert sum(result.attempted for result in results.values()) > 0
