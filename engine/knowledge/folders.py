"""The one door to disk: the YAML files of knowledge-base folders, merged and layered.

Every file of a folder is a mapping of sections, any file may hold any sections, and an
id stands once per folder. A later folder replaces whole entries by id or retires them; a base that
is read alone may borrow entries of the shipped one.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Container, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path, PurePosixPath
from typing import Any, Final

from crankpath.engine.knowledge.archives import is_archive, unpacked
from crankpath.engine.knowledge.building.fields import sections_of, typed_home
from crankpath.engine.knowledge.documents import Document, Place, RawEntry, inside, key_origin
from crankpath.engine.knowledge.entries.values import Origin
from crankpath.engine.knowledge.inheriting import with_inherited
from crankpath.engine.knowledge.problems import Problem, ProblemCollector, near, quoted
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.knowledge.yaml_source import LARGEST, read_yaml, too_large

SECTIONS: Final = tuple(sections_of(Knowledge))
SKIPPED: Final = frozenset({"cases", "machines", "schema"})
"""Folders of a knowledge base that hold no knowledge files."""
RETIRE, BORROW, ALL, CASES = "retire", "borrow", "all", "cases"
BASE_FILE: Final = "base.yaml"
"""A folder inside another that holds this file is a whole base of its own, not read with the outer one."""
SHIPPED: Final = "shipped"
MOST_FILES: Final = 400
UNREADABLE: Final = "unreadable"
NO_SECTION: Final = "no_section"
_LIKE_YAML: Final = re.compile(r"\.ya?ml|\.txt *$|^[^.]+$", re.IGNORECASE)
_OF_CASES: Final = frozenset({"expect", "entries", "readings"})
_A_CASE: Final = ("this is a case, and no case is read here", "Move it into the folder 'cases' of the base")
_NO_SECTIONS: Final = ("a knowledge file is a mapping of sections", "Begin with a section, as 'faults:'")
_NOT_OF_CASES: Final = "|".join(set(SECTIONS) - {"equipment"})
_BEGINS_A_CASE: Final = re.compile(rf"^(?:{'|'.join(_OF_CASES)}):".encode(), re.MULTILINE)
_BEGINS_A_SECTION: Final = re.compile(rf"^(?:{_NOT_OF_CASES}):".encode(), re.MULTILINE)


@dataclass
class Layers:
    """All folders laid over each other, still plain data.

    doubts: what keeps nothing from being read, but was hardly meant so.
    """

    slips: ProblemCollector
    version: str = ""
    sections: dict[str, dict[str, RawEntry]] = field(default_factory=lambda: {name: {} for name in SECTIONS})
    documents: list[tuple[str, Document]] = field(default_factory=list)
    doubts: list[Problem] = field(default_factory=list)
    replaced: dict[tuple[str, str], RawEntry] = field(default_factory=dict)
    retired: dict[tuple[str, str], tuple[RawEntry, Origin, str]] = field(default_factory=dict)
    case_files: dict[str, Path] = field(default_factory=dict)  # "cases/a.yaml" -> the last folder with it

    @cached_property
    def lent(self) -> dict[str, dict[str, RawEntry]]:
        """The entries of the shipped base, which a base of its own may borrow."""
        shipped = read_layers([shipped_folder()], self.slips)
        self.version = shipped.version
        return shipped.sections


def shipped_folder() -> Path:
    """The knowledge base that comes with this package: it lies beside the engine, installed or not."""
    return Path(__file__).resolve().parents[2] / "kb"


def shipped_bases() -> tuple[str, ...]:
    """The names of the whole bases that are shipped beside the starting circuit."""
    return tuple(sorted(path.parent.name for path in shipped_folder().glob(f"*/{BASE_FILE}")))


def folder_of(given: str | Path) -> Path:
    """The folder or zip that was given: its path, or where there is none the name of a shipped base."""
    path = Path(given)
    with suppress(RuntimeError):  # "~" and a name that is no user: there is no such folder
        path = path.expanduser()
    if str(given) in (SHIPPED, *shipped_bases()) and _is_nothing(path):
        return shipped_folder() / ("" if given == SHIPPED else given)
    return path


def read_schema(name: str) -> Any:
    """The JSON Schema ``kb/schema/<name>.schema.json`` of the shipped knowledge base."""
    return json.loads((shipped_folder() / "schema" / f"{name}.schema.json").read_text("utf-8"))


Read = dict[tuple[str, bytes], Document]
"""(file, its bytes) -> what it says: files that were read before are not read again."""


def read_layers(folders: Sequence[Path], slips: ProblemCollector, seen: Read | None = None) -> Layers:
    """Read the folders, later ones over earlier ones; problems go to `slips`.

    The version is a hash of names and contents of all files, so it depends neither on
    where the folders stand nor on when they were written.
    """
    layers = Layers(slips=slips)
    digest = hashlib.sha256()
    shipped = shipped_folder()
    for folder in folders:
        name = "" if same(folder, shipped) else str(folder)
        documents = []
        for file, content in _contents(folder, name, slips):
            digest.update(f"{file}\0{len(content)}\0".encode())
            digest.update(content)
            document = seen.get((file, content)) if seen is not None else None
            document = document or read_yaml(content, file)
            if seen is not None:
                seen[file, content] = document
            documents.append(document)
            for problem in document.problems:
                slips.add(problem.origin, problem.message, problem.advice, name, check=UNREADABLE)
            layers.doubts.extend(replace(doubt, folder=name) for doubt in document.doubts)
        layers.doubts.extend(replace(doubt, folder=name) for doubt in passed_over(folder))
        _lay_over(layers, documents, name)
        layers.case_files.update((file, folder) for file in _case_files(folder))
        layers.documents.extend((name, document) for document in documents)
        digest.update(b"\0\0")
    digest.update(layers.version.encode())  # of what was borrowed, if anything was
    layers.version = digest.hexdigest()[:12]
    return layers


def knowledge_files(folder: Path) -> list[str]:
    """The knowledge files of a folder, sorted, relative to it, with forward slashes."""
    return sorted(_files_in(folder, "", SKIPPED))


def _files_in(folder: Path, prefix: str, skipped: frozenset[str]) -> Iterator[str]:
    for path in folder.iterdir():
        if path.name[0] in "._":
            continue
        if path.suffix in (".yaml", ".yml"):
            yield prefix + path.name
        elif not (path.name in skipped or path.is_symlink() or (path / BASE_FILE).exists()) and path.is_dir():
            yield from _files_in(path, f"{prefix}{path.name}/", frozenset())


def passed_over(folder: Path) -> Iterator[Problem]:
    """The files that hold knowledge or a case by their text and are not read, for their name or place."""
    if is_archive(folder) or not _is_folder(folder):
        return
    for path in sorted((*folder.iterdir(), *folder.glob("*/*"))):
        file = path.relative_to(folder).as_posix()
        within, _, _ = file.rpartition("/")
        among_cases = within == "cases"
        of_another = within and (path.parent / BASE_FILE).exists()
        if not _LIKE_YAML.search(path.name) or (within in SKIPPED and not among_cases) or of_another:
            continue
        read = path.suffix in (".yaml", ".yml") and path.name[0] not in "._"
        backup = path.with_name(path.name.rstrip("~").removesuffix(".bak").removesuffix(".orig"))
        if (read and not among_cases) or path.name[0] == "." or (backup != path and backup.exists()):
            continue
        text = read_file(path)
        begins = _BEGINS_A_CASE if among_cases and not read else _BEGINS_A_SECTION
        if isinstance(text, str) or not begins.search(text):
            continue
        if among_cases and read:
            message = "this file holds knowledge, and only cases are read here"
            advice = "Move it out of the folder 'cases'"
        else:
            stem = re.sub(r"\.ya?ml.*$|\.txt$", "", path.name.strip(), flags=re.IGNORECASE).strip("_~ ")
            message = "this file is passed over for its name"
            advice = f"Rename it to {stem or 'rules'}.yaml: a name ends in .yaml and begins with a letter"
        yield Problem(Origin(file, 1, 1), message, advice)


def same(folder: Path, other: Path) -> bool:
    """True if both are one folder."""
    try:
        return folder.samefile(other)
    except OSError:
        return False


def _contents(folder: Path, name: str, slips: ProblemCollector) -> Iterator[tuple[str, bytes]]:
    """Name and bytes of every file that can be read; what cannot is a problem."""
    here = Origin("", 1, 1)
    room, empty = 10 * LARGEST, True
    for file, content in _knowledge(folder):
        empty = False
        if isinstance(content, str):
            slips.add(Origin(file, 1, 1) if file else here, content, "", name, check=UNREADABLE)
            continue
        room -= len(content)
        if room < 0:
            message = f"the folder has more than {LARGEST / 1e5:.0f} MB of YAML"
            slips.add(Origin(file, 1, 1), message, "", name, check=UNREADABLE)
            return
        yield file, content
    if empty and (passed := list(passed_over(folder))):
        for doubt in passed:
            slips.add(doubt.origin, doubt.message, doubt.advice, name, check=UNREADABLE)
    elif empty:
        message = "the folder holds no .yaml file"
        slips.add(here, message, "Give the folder of a knowledge base", name, check=UNREADABLE)


def _knowledge(folder: Path) -> Iterator[tuple[str, bytes | str]]:
    """The knowledge files of a folder or a zip, in order of names; a text says what is wrong."""
    if is_archive(folder):
        files = dict(unpacked(folder, LARGEST, MOST_FILES))
        yield from ((f, c) for f, c in files.items() if _is_knowledge(f, files))
    elif not _is_folder(folder):
        what = "does not exist" if _is_nothing(folder) else "is a file, not a folder or a zip"
        names = f" or a shipped one ({', '.join(known)})" if (known := shipped_bases()) else ""
        yield "", f"the folder {quoted(folder, 200)} {what}; give the folder of a knowledge base{names}"
    else:
        found = knowledge_files(folder)
        if len(found) > MOST_FILES:
            yield "", f"the folder holds {len(found)} .yaml files; at most {MOST_FILES} are read"
            return
        yield from ((file, read_file(folder / file)) for file in found)


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:
        return False  # no name a folder can have, or one behind a folder that may not be looked into


def _is_nothing(path: Path) -> bool:
    try:
        return not path.exists()
    except OSError:
        return True


def _is_knowledge(file: str, files: Container[str]) -> bool:
    inner = PurePosixPath(file).parents[:-1]
    return file.split("/")[0] not in SKIPPED and not any(f"{folder}/{BASE_FILE}" in files for folder in inner)


def case_texts(folder: Path) -> Iterator[tuple[str, bytes | str]]:
    """The case files of a knowledge base, ``cases/...``: bytes, or the sentence that says why not."""
    if is_archive(folder):
        yield from ((f, c) for f, c in unpacked(folder, LARGEST, MOST_FILES) if f.startswith("cases/"))
    else:
        yield from ((file, read_file(folder / file)) for file in _case_files(folder))


def _case_files(folder: Path) -> list[str]:
    if is_archive(folder):
        return [file for file, _ in case_texts(folder)]
    there = _is_folder(folder / CASES)
    return sorted(_files_in(folder / CASES, f"{CASES}/", frozenset())) if there else []


def read_file(path: Path) -> bytes | str:
    """The bytes of a file of reasonable size, or the sentence that says why not."""
    try:
        if not path.is_file():
            return "this is not a regular file"
        size = path.stat().st_size
        if size > LARGEST:
            return too_large(size)
        with path.open("rb") as stream:
            return stream.read(LARGEST + 1)
    except OSError as slip:
        return f"the file cannot be read: {slip.strerror or slip}"


def _lay_over(layers: Layers, documents: Sequence[Document], folder: str) -> None:
    """Merge the files of one folder, then lay the result over what is there."""
    merged: dict[str, dict[str, RawEntry]] = {name: {} for name in SECTIONS}
    retired: list[tuple[Document, Place, Any]] = []
    for document in documents:
        if document.data is None:
            continue
        if not isinstance(document.data, dict) or document.data.keys() & _OF_CASES:
            what = _A_CASE if isinstance(document.data, dict) else _NO_SECTIONS
            layers.slips.add(document.origin(), *what, folder)
            continue
        for section, entries in document.data.items():
            place = inside(document.place, section)
            if section == RETIRE:
                retired.append((document, place, entries))
            elif section == BORROW:
                _borrow(layers, document, place, entries, folder)
            elif section not in merged:
                meant = near(section, (*SECTIONS, RETIRE, BORROW), 20) or typed_home(Knowledge, entries)
                meant = meant or ("Type '# ' in front if it is a comment" if " " in section.strip() else "")
                wrong = f"{quoted(section)} is no section"
                layers.slips.add(document.key_origin((section,)), wrong, meant, folder, check=NO_SECTION)
            elif entries is not None:
                _merge(layers.slips, merged[section], document, section, entries, place, folder)
    completed = {
        section: with_inherited(section, added, layers.sections[section], layers.slips)
        for section, added in merged.items()
    }
    for document, place, entries in retired:
        _retire(layers, document, place, entries, folder)
    _replace(layers, completed, folder)


def _replace(layers: Layers, completed: Mapping[str, dict[str, RawEntry]], folder: str) -> None:
    """Lay the entries of a folder over those that are there; what goes is kept for the checks."""
    for section, added in completed.items():
        if section == "silence":  # a shop's silences stand beside the shipped ones
            added = {f"{id_} {folder}": raw for id_, raw in added.items()}
        known = layers.sections[section]
        layers.replaced.update({(section, id_): known[id_] for id_ in added if id_ in known})
        known.update(added)
        for id_ in added:  # what takes the place of a retired entry
            layers.retired.pop((section, id_), None)


def _merge(
    slips: ProblemCollector,
    into: dict[str, RawEntry],
    document: Document,
    section: str,
    entries: Any,
    place: Place,
    folder: str,
) -> None:
    if not isinstance(entries, dict):
        slips.add(document.origin((section,)), f"the section '{section}' is a mapping from id to entry",
                  "Take the '-' away: write 'id:' and its fields below, indented" if isinstance(entries, list)
                  else "Write 'id:' and its fields below, indented", folder, check=NO_SECTION)  # fmt: skip
        return
    for id_, data in entries.items():
        key = key_origin(document.file, place, id_)
        if id_ in into:
            twice = f"{section}: {quoted(id_)} is already in {into[id_].key}"
            slips.add(key, twice, "Keep one, or rename it", folder, check="duplicate_id")
            continue
        into[id_] = RawEntry(id_, data, inside(place, id_), key, folder)


def _retire(layers: Layers, document: Document, place: Place, retired: Any, folder: str) -> None:
    for section, id_, origin in _listed(layers, document, place, retired, folder, RETIRE):
        known: dict[str, Any] = layers.case_files if section == CASES else layers.sections[section]
        called = {_called(section, key): key for key in known}
        if id_ not in called:
            layers.slips.add(origin, f"cannot retire {quoted(id_)}: no folder below has it in '{section}'",
                             near(id_, called), folder, check="unknown_id")  # fmt: skip
        for key in [key for key in known if _called(section, key) == id_]:
            gone = known.pop(key)
            if section not in (CASES, "silence"):
                layers.retired[section, id_] = (gone, origin, folder)


def _called(section: str, key: str) -> str:
    """What an entry is retired by: a case by its file without the ending, a silence by its check."""
    if section == CASES:
        return PurePosixPath(key).relative_to(CASES).with_suffix("").as_posix()
    return key.partition(" ")[0] if section == "silence" else key


def _borrow(layers: Layers, document: Document, place: Place, borrowed: Any, folder: str) -> None:
    """Entries of the shipped base go below those of this folder; where they are there already, they stay."""
    if not folder:
        message = "the shipped base cannot borrow from itself"
        layers.slips.add(document.origin((BORROW,)), message, "Take 'borrow' out", folder)
        return
    for section, id_, origin in _listed(layers, document, place, borrowed, folder, BORROW):
        lent, known = layers.lent[section], layers.sections[section]
        for one in lent if id_ == ALL else [id_]:
            if one in lent:
                known.setdefault(one, lent[one])
            else:
                message = f"cannot borrow {quoted(one)}: the shipped base has no such entry in '{section}'"
                layers.slips.add(origin, message, near(one, lent), folder, check="unknown_id")


def _listed(
    layers: Layers, document: Document, place: Place, written: Any, folder: str, verb: str
) -> Iterator[tuple[str, str, Origin]]:
    """(section, id, where) of every id that stands under `retire` or `borrow`; what is no list is told."""
    if not isinstance(written, dict):
        layers.slips.add(Origin(document.file, place.line, place.column),
                         f"'{verb}' is a mapping from section to a list of ids", "", folder)  # fmt: skip
        return
    for section, ids in written.items():
        origin = key_origin(document.file, place, section)
        ids = [ids] if verb == BORROW and ids == ALL else ids
        there = section in layers.sections or (section == CASES and verb == RETIRE)
        if not there or not isinstance(ids, list):
            advice = f"Write '{section}: [id, ...]'" if there else near(section, SECTIONS, 20)
            wrong = "needs a list of ids" if there else "is no section"
            layers.slips.add(origin, f"cannot {verb}: {quoted(section)} {wrong}", advice, folder)
            continue
        for index, id_ in enumerate(ids):
            item = inside(inside(place, section), index)
            yield section, str(id_), Origin(document.file, item.line, item.column)
