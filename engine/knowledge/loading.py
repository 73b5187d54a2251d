"""`load_knowledge`: folders of YAML in, one frozen `Knowledge` out, or every slip at once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from crankpath.engine.errors import KnowledgeError
from crankpath.engine.knowledge.building.agreement import CHECKS
from crankpath.engine.knowledge.building.fields import LIKE, Section, home_of, keys_of, sections_of
from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.building.shapes import ID_PATTERN
from crankpath.engine.knowledge.building.spot import Context, InvalidValue, Spot
from crankpath.engine.knowledge.documents import RawEntry
from crankpath.engine.knowledge.folders import (
    NO_SECTION,
    SHIPPED,
    UNREADABLE,
    Layers,
    Read,
    folder_of,
    read_layers,
    same,
    shipped_bases,
    shipped_folder,
)
from crankpath.engine.knowledge.problems import Problem, ProblemCollector, TooManySlips, quoted
from crankpath.engine.knowledge.records import Knowledge, Origin, Setting, Settings
from crankpath.engine.knowledge.slips.values import latin

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
        raise KnowledgeError(problem_message(problems))
    return knowledge


def read_knowledge(
    *folders: str | Path, shipped: bool = True, seen: Read | None = None
) -> tuple[Knowledge | None, tuple[Problem, ...]]:
    """Like `load_knowledge`, but the problems come back as data; Knowledge is None if there are any."""
    own = [shipped_folder()] if shipped else []
    paths = [*own, *map(folder_of, folders)]
    slips = ProblemCollector()
    knowledge: Knowledge | None = None
    with suppress(TooManySlips):  # they are told
        knowledge = _build(read_layers(paths, slips, seen), tuple(str(path) for path in paths))
    return knowledge, _told_first(dict.fromkeys(slips), str(paths[-1]) if paths else "")


def other_bases(kb: Knowledge) -> Iterator[Knowledge]:
    """The whole bases that are shipped, but for the one that this knowledge is built on."""
    for folder in map(folder_of, (SHIPPED, *shipped_bases())):
        if not any(same(folder, Path(own)) for own in kb.folders):
            yield load_knowledge(folder, shipped=False)


def problem_message(problems: Iterable[Problem]) -> str:
    """All problems, one a line, as an error message."""
    lines = [str(problem) for problem in problems]
    more = len(lines) - _SHOWN
    return "\n".join([*lines[:_SHOWN], f"... and {more} more"] if more > 0 else lines)


def _told_first(problems: Iterable[Problem], latest: str) -> tuple[Problem, ...]:
    """The problems in their order; without those that follow from another one.

    What a file that is no YAML or a section of another name would have held is not missing; what is wrong
    below the latest folder is its doing, if anything in it is wrong.
    """
    found = list(problems)
    found = [p for p in found if p.folder == latest] or found
    unread = {(p.folder, p.origin.file) for p in found if p.check == UNREADABLE}
    found = [p for p in found if p.check == UNREADABLE or (p.folder, p.origin.file) not in unread]
    if any(p.check in (UNREADABLE, NO_SECTION) for p in found):
        found = [p for p in found if p.check not in ("unknown_id", "condition")]
    found = [replace(p, check="") if p.check == NO_SECTION else p for p in found]
    return tuple(sorted(found, key=lambda p: (p.folder, *_place(p.origin))))


def _place(origin: Origin) -> tuple[str, int, int]:
    return origin.file, origin.line, origin.column


def _build(layers: Layers, folders: tuple[str, ...]) -> Knowledge | None:
    """The knowledge base; None if a slip keeps it from being built."""
    slips, names = layers.slips, Names.of(layers.sections, layers.retired)
    missing = [section for section in _NEEDED if not layers.sections[section]]
    if missing and not slips:
        message = f"the knowledge base has no {', '.join(missing)}"
        advice = "Lay the folder over the shipped one, or complete it"
        slips.add(Origin("", 1, 1), message, advice, "".join(folders[-1:]))
    stated = list(layers.sections["base"].values())
    for other in stated[1:]:
        message = f"a knowledge base is about one circuit, and {stated[0].id} is it already"
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
        layers=_origins(layers.sections, folders),
        doubts=tuple(layers.doubts),
        replaced={f"{name}/{id_}": raw for (name, id_), raw in layers.replaced.items()},
        retired={f"{name}/{id_}": lost for (name, id_), lost in layers.retired.items()},
        written={f"{name}/{id_}": raw for name, of in layers.sections.items() for id_, raw in of.items()},
        **read,
    )


def _read(name: str, section: Section, layers: Layers, names: Names) -> dict[str, Any]:
    """Every entry of one section that can be read."""
    found = {}
    homes = _homes()
    for id_, raw in layers.sections[name].items():
        if raw.spoilt:
            continue
        where = (raw.id, raw.key.file, raw.folder, raw.key.column, name)
        context = Context(names, layers.slips, CHECKS, *where, homes)
        at = Spot(context, f"{section.one} {raw.id}", raw.place, raw.key.line, raw.key.column)
        with suppress(InvalidValue):
            if not section.free:
                _id(raw.id, at)
            if isinstance(raw.data, dict) and (home := _strays(name, raw.data)):
                at.lacks(f"stands in '{name}' and has the fields of one of "
                         f"'{home}'", f"Write '{home}:' above it")
                continue
            found[id_] = section.shape.read(raw.data, at)
    return found


def _id(id_: str, at: Spot) -> None:
    """What the entry is called must be an id."""
    plain = re.sub(r"[^a-z0-9]+", "_", latin(id_).lower()).strip("_")
    if not re.match(ID_PATTERN, id_):
        at.wrong_key(f"{quoted(id_)} is no id: small letters, digits and underscores, beginning with a "
                     "letter",
                     f"Type {plain}" if re.match(ID_PATTERN, plain) else "")  # fmt: skip
        raise InvalidValue


@lru_cache(1)
def _homes() -> Mapping[str, tuple[str, ...]]:
    """Field -> the sections whose entries have it."""
    found: dict[str, list[str]] = {}
    for name, keys in keys_of(Knowledge).items():
        for key in keys:
            found.setdefault(key, []).append(name)
    return {key: tuple(names) for key, names in found.items()}


def _strays(section: str, data: Mapping[str, Any]) -> str:
    """The one section that an entry of another has all its fields of; empty if there is none."""
    keys, known = set(data) - {LIKE}, keys_of(Knowledge)
    if section not in known or len(keys - known[section]) < 2:
        return ""
    return home_of(Knowledge, keys)


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
