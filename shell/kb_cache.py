"""Knowledge that was read without a slip, kept as built in the user's cache folder.

It is found again only while everything it was built from is the same: the files of its folders, our code
and Python. What lies there is a pickle, so it is taken only from a file and a folder that are the user's own
and that nobody else may write, only if it is whole, and nothing but records of knowledge is made from it.
Where any of that fails, the files are read.
"""

from __future__ import annotations

import hashlib
import io
import os
import pickle
import stat
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import fields, is_dataclass, replace
from functools import cached_property
from importlib import import_module
from pathlib import Path
from typing import Any, Final

from crankpath.engine.knowledge import records
from crankpath.engine.knowledge.folders import knowledge_files, read_file, shipped_folder
from crankpath.engine.knowledge.records import Knowledge

VARIABLE: Final = "CRANKPATH_CACHE"
_MOST: Final = 4  # bases that are kept
_MOST_FILES: Final = 2000  # of a folder whose knowledge is kept
_DIGEST: Final = hashlib.blake2b().digest_size
_OURS: Final = "crankpath.engine.knowledge."


def cache_folder() -> Path | None:
    """The folder: the environment's ``CRANKPATH_CACHE``, or the user's; None where owners cannot be told."""
    if not hasattr(os, "geteuid"):
        return None
    given = os.environ.get(VARIABLE, "").strip()
    if given:
        return Path(given)
    import platformdirs  # not needed where a place is given

    return Path(platformdirs.user_cache_dir("crankpath", appauthor=False))


def cache_path(folders: Sequence[Path]) -> Path | None:
    """Where the knowledge of these folders is kept, by all that it is built from; None for nowhere."""
    cache = cache_folder()
    if cache is None:
        return None
    digest = hashlib.sha256(sys.version.encode())
    try:
        for part in _built_from(folders):
            digest.update(b"%d\0" % len(part))
            digest.update(part)
    except (OSError, ValueError):
        return None
    return cache / f"knowledge-{digest.hexdigest()[:32]}"


def _built_from(folders: Sequence[Path]) -> Iterator[bytes]:
    """The bytes of every knowledge file; of every other file, as of our code, its size and time of change."""
    yield from _stamps(Path(records.__file__).parent, ".py")
    for folder in dict.fromkeys((*folders, shipped_folder())):  # a base may borrow from the shipped one
        yield from _stamps(folder)
        for file in knowledge_files(folder) if folder.is_dir() else ():
            content = read_file(folder / file)
            if isinstance(content, str):
                raise ValueError(content)
            yield content


def _stamps(folder: Path, ending: str = "") -> Iterator[bytes]:
    """Path, size and time of change of every file below a folder, or of the file that is named."""
    found = [] if folder.is_dir() else [str(folder.absolute())]
    for at, _, files in os.walk(folder.absolute()):
        found += [f"{at}{os.sep}{file}" for file in files if file.endswith(ending)]
        if len(found) > _MOST_FILES:
            raise ValueError(f"more than {_MOST_FILES} files")
    for file in sorted(found):
        status = Path(file).stat()
        yield f"{file}\0{status.st_size}\0{status.st_mtime_ns}".encode()


def kept(place: Path) -> Knowledge | None:
    """The knowledge kept there; None if there is none, or it is not to be trusted."""
    with suppress(Exception):  # whatever is wrong with it, the files of the base are read instead
        if _is_ours(place.parent, stat.S_ISDIR) and _is_ours(place, stat.S_ISREG):
            data = place.read_bytes()
            if hashlib.blake2b(data[_DIGEST:]).digest() == data[:_DIGEST]:
                unpickler = _Records(io.BytesIO(data[_DIGEST:]))
                knowledge, written = unpickler.load(), unpickler.load()
                if isinstance(knowledge, Knowledge):
                    return replace(knowledge, written=_Written(written))
    return None


def _is_ours(path: Path, sort: Any) -> bool:
    """True if that is the user's own and nobody else may write it."""
    found = path.lstat()
    others = found.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
    return bool(sort(found.st_mode)) and found.st_uid == os.geteuid() and not others


class _Records(pickle.Unpickler):
    """Makes records of knowledge and the parts of formulas, and nothing else."""

    def find_class(self, module: str, name: str) -> Any:
        found = getattr(import_module(module), name) if module == "ast" or module.startswith(_OURS) else None
        if not isinstance(found, type):
            raise pickle.UnpicklingError(f"{module}.{name} is no record of knowledge")
        return found


class _Written(Mapping[str, Any]):
    """The entries as they are written, made when first asked for: most commands never do."""

    def __init__(self, pickled: bytes) -> None:
        self._pickled = pickled

    @cached_property
    def _entries(self) -> Mapping[str, Any]:
        entries: Mapping[str, Any] = _Records(io.BytesIO(self._pickled)).load()
        return entries

    def __getitem__(self, key: str) -> Any:
        return self._entries[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)


class _Pickler(pickle.Pickler):
    """Writes a record as a call of its class: read in half the time that its state takes."""

    def reducer_override(self, one: Any) -> Any:
        if is_dataclass(one) and not isinstance(one, type):
            return type(one), tuple([getattr(one, field.name) for field in fields(one)])
        return NotImplemented


def _pickled(one: object) -> bytes:
    stream = io.BytesIO()
    _Pickler(stream, 5).dump(one)
    return stream.getvalue()


def keep(place: Path, knowledge: Knowledge) -> None:
    """Keep knowledge there for the next run, and the latest few of what else is kept; or do nothing."""
    data = _pickled(replace(knowledge, written={})) + _pickled(_pickled(dict(knowledge.written)))
    with suppress(OSError):
        place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        new = place.with_name(f".{place.name}-{os.getpid()}")
        with os.fdopen(os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(hashlib.blake2b(data).digest() + data)
        new.replace(place)
        older = sorted(place.parent.glob("knowledge-*"), key=lambda file: -file.stat().st_mtime)
        for other in older[_MOST:]:
            other.unlink()
