"""The reasoning: values in, values out; no terminal, no clock, no files but the knowledge base.

The names below are the library's face. They are brought in when first used, so that a
program that only shows help does not wait for the graph library.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from crankpath.engine.cases.case import Case, Cause
    from crankpath.engine.errors import (
        CaseError,
        CrankpathError,
        DoubtfulReading,
        EquipmentError,
        KnowledgeError,
        ReadingError,
        UnknownName,
    )
    from crankpath.engine.knowledge.loading import load_knowledge

__all__ = [
    "Case",
    "CaseError",
    "Cause",
    "CrankpathError",
    "DoubtfulReading",
    "EquipmentError",
    "KnowledgeError",
    "ReadingError",
    "UnknownName",
    "load_knowledge",
]

_HOME: Final = {"Case": "cases.case", "Cause": "cases.case", "load_knowledge": "knowledge.loading"}


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME.get(name, 'errors')}"), name)
