"""What the source archive carries beside the packages; used by the build alone (`pyproject.toml`)."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from setuptools.command.sdist import sdist  # type: ignore[import-untyped]

_LEFT_OUT = "__pycache__"


class SourceArchive(sdist):  # type: ignore[misc]  # a base without types
    """The source archive with the tests and the notes for developers."""

    def make_release_tree(self, base_dir: str, files: Sequence[str]) -> None:
        """Lay out the archive's files below a folder."""
        more = [path for path in Path("tests").rglob("*") if path.is_file() and _LEFT_OUT not in path.parts]
        super().make_release_tree(base_dir, sorted({*files, "DEVELOPERS.md", *map(str, more)}))
