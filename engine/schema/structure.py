"""stub"""

from crankpath.engine.documents import Document
from crankpath.engine.problems import Problem


def structure_problems(document: Document) -> list[Problem]:
    """Every violation of the schema."""
    return []
