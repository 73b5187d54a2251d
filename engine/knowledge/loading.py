"""`load_knowledge`: folders of YAML in, one frozen `Knowledge` out, or every slip at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from crankpath.engine.errors import KnowledgeError
from crankpath.engine.knowledge.building.agreement import CHECKS
from crankpath.engine.knowledge.building.fields import Section, sections_of
from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.building.shapes import ID
from crankpath.engine.knowledge.building.spot import Context, Spoilt, Spot
from crankpath.engine.knowledge.documents import RawEntry
from crankpath.engine.knowledge.folders import (
    SHIPPED,
    Layers,
    folder_of,
    read_layers,
    same,
    shipped_bases,
    shipped_folder,
)
from crankpath.engine.knowledge.problems import Problem, ProblemCollector, TooManySlips
from crankpath.engine.knowledge.records import Knowledge, Origin, Setting, Settings

_NEEDED: Final = ("equipment", "measurements", "faults", "repairs")
_SHOWN: Final = 100  # a message longer than this many lines is read by nobody


def load_knowledge(*folders: str | Path, shipped: bool = True) -> Knowledge:
    """The shipped knowledge base, with the given folders laid over it in their order.

    Args:
        folders: each replaces whole entries by id, adds others, and retires some.
        shipped: False to load the given folders alone: the first is a whole base of its own, a path or
            the name of a base that is shipped beside the starting circuit.

    Raises:
        KnowledgeError: the message lists every slip found, one a line.
    """
    knowledge, problems = read_knowledge(*folders, shipped=shipped)
    if problems or knowledge is None:
        raise KnowledgeError(told(problems))
    return knowledge


def read_knowledge(
    *folders: str | Path, shipped: bool = True
) -> tuple[Knowledge | None, tuple[Problem, ...]]:
    """Like `load_knowledge`, but the problems come back as data; Knowledge is None if there are any."""
    own = [shipped_folder()] if shipped else []
    paths = [*own, *map(folder_of, folders)]
    slips = ProblemCollector()
    knowledge: Knowledge | None = None
    with suppress(TooManySlips):  # they are told
        knowledge = _build(read_layers(paths, slips), tuple(str(path) for path in paths))
    return knowledge, _ordered(dict.fromkeys(slips))


def other_bases(kb: Knowledge) -> Iterator[Knowledge]:
    """The whole bases that are shipped, but for the one that this knowledge is built on."""
    for folder in map(folder_of, (SHIPPED, *shipped_bases())):
        if not any(same(folder, Path(own)) for own in kb.folders):
            yield load_knowledge(folder, shipped=False)


def told(problems: Iterable[Problem]) -> str:
    """All problems, one a line, as an error message."""
    lines = [str(problem) for problem in problems]
    more = len(lines) - _SHOWN
    return "\n".join([*lines[:_SHOWN], f"... and {more} more"] if more > 0 else lines)


def _ordered(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    return tuple(sorted(problems, key=lambda p: (p.folder, p.origin.file, p.origin.line, p.origin.column)))


def _build(layers: Layers, folders: tuple[str, ...]) -> Knowledge | None:
    """The knowledge base; None if a slip keeps it from being built."""
    slips, names = layers.slips, Names.of(layers.sections)
    missing = [section for section in _NEEDED if not layers.sections[section]]
    if missing and not slips:
        message = f"the knowledge base has no {', '.join(missing)}"
        advice = "Lay the folder over the shipped one, or complete it"
        slips.add(Origin("", 1, 1), message, advice, "".join(folders[-1:]))
    first, *others = layers.sections["base"].values() or [None]
    for other in others:
        message = f"a knowledge base is about one circuit, and {first.id if first else ''} is it already"
        slips.add(other.key, message, "Give this entry the same id, or retire the other", other.folder)
    read: dict[str, Any] = {
        name: _read(name, section, layers, names) for name, section in sections_of(Knowledge).items()
    }
    if slips:
        return None
    read["settings"] = _settings(read["settings"])
    read["complaints"] = {words: (c.measurement, c.value) for words, c in read["complaints"].items()}
    read["silence"] = tuple(read["silence"].values())
    return Knowledge(
        version=layers.version,
        folders=folders,
        cases_folder=layers.cases,
        layers=_origins(layers.sections, folders),
        **read,
    )


def _read(name: str, section: Section, layers: Layers, names: Names) -> dict[str, Any]:
    """Every entry of one section that can be read."""
    found = {}
    for id_, raw in layers.sections[name].items():
        context = Context(names, layers.slips, CHECKS, raw.id, raw.key.file, raw.folder)
        at = Spot(context, f"{section.one} {raw.id}", raw.place, raw.key.line, raw.key.column)
        with suppress(Spoilt):
            if not section.free:
                ID.read(raw.id, at)
            found[id_] = section.shape.read(raw.data, at)
    return found


def _settings(read: Mapping[str, Setting]) -> Settings:
    values = {name: setting.value for name, setting in read.items()}
    return Settings(values, {name: setting.origin for name, setting in read.items()})


def _origins(sections: Mapping[str, Mapping[str, RawEntry]], folders: tuple[str, ...]) -> dict[str, str]:
    shipped = str(shipped_folder())
    return {
        f"{section}/{id_}": raw.folder or shipped
        for section, entries in sections.items()
        if section != "silence"
        for id_, raw in entries.items()
    }
