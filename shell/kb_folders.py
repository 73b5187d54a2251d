"""The folders of knowledge that a command is about, loaded."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from crankpath.engine.knowledge.folders import case_texts, shipped_folder
from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge


@dataclass(frozen=True, slots=True)
class Folders:
    """A shop's folder or none, laid over the shipped one or alone."""

    own: Path | None
    shipped: bool = True

    @classmethod
    def of(cls, folder: str | None, alone: bool = False) -> Folders:
        """The folders meant; the shipped folder named by its path is no shop's folder."""
        own = Path(folder).expanduser() if folder else None
        if own is not None and _is_shipped(own):
            return cls(None)
        return cls(own, shipped=own is None or not alone)

    def read(self) -> tuple[Knowledge | None, tuple[Problem, ...]]:
        """The knowledge, and every slip of reading it."""
        return read_knowledge(*self.paths, shipped=self.shipped)

    @property
    def paths(self) -> tuple[Path, ...]:
        """The shop's folder, if there is one."""
        return (self.own,) if self.own else ()

    def cases(self) -> list[tuple[str, str, bytes | str]]:
        """(folder, file, bytes or what is wrong) of every case, the shipped ones first."""
        folders = [("", shipped_folder())] if self.shipped else []
        if self.own is not None:
            folders.append((str(self.own), self.own))
        return [(name, file, text) for name, path in folders for file, text in case_texts(path)]


def _is_shipped(path: Path) -> bool:
    try:
        return path.samefile(shipped_folder())
    except OSError:
        return False
