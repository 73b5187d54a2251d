"""The file in a shop's folder that holds what was accepted of its closed cases, and its earlier states.

Every entry is a block of lines, kept as it was written, in the order of sections and ids; so an entry that is
taken out again leaves the file as it was before. What the file was before each change is kept beside it,
hidden, until that change is taken back.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

import yaml

from crankpath.engine.errors import CaseError
from crankpath.shell.outlets.reports.learning import LEARNED

Blocks = Mapping[tuple[str, str], str]
"""(section, id) -> the lines of the entry."""

FIRST_LINE: Final = "# What the closed cases of this shop taught, made by `crankpath kb learn`."
_SECOND: Final = "# Take out what you do not believe; `crankpath kb diff` shows what it does."
_NOTE: Final = {"title": "closed cases of this shop", "standing": "computed"}
_BLOCK: Final = re.compile(r"^  (\w+):")


def text_of(blocks: Blocks, cite: bool = True) -> str:
    """The file with these entries; "" without any.

    cite: it says itself what `closed_cases` is, which must stand in one file of a folder only.
    """
    if not blocks:
        return ""
    reference = yaml.safe_dump({LEARNED: _NOTE}, default_flow_style=True, width=200).strip()[1:-1]
    lines = [FIRST_LINE, _SECOND, *(["references:", f"  {reference}"] if cite else [])]
    found, last = "\n".join(lines) + "\n", ""
    for (section, _), block in sorted(blocks.items()):
        found += (f"{section}:\n" if section != last else "") + block
        last = section
    return found


def blocks_of(text: str) -> dict[tuple[str, str], str]:
    """The entries of such a file, each with its lines."""
    found: dict[tuple[str, str], str] = {}
    section = id_ = ""
    for line in text.splitlines(keepends=True):
        if line[0] not in " #\n":
            section, id_ = line.partition(":")[0], ""
            continue
        begins = _BLOCK.match(line)
        id_ = begins[1] if begins else id_
        if id_ and section != "references":
            found[section, id_] = found.get((section, id_), "") + line
    return found


def read(file: Path) -> str:
    """The text of the file; "" where there is none.

    Raises:
        CaseError: it cannot be read, or was not made by this command.
    """
    try:
        text = file.read_bytes().decode("utf-8") if file.exists() else ""
    except (OSError, UnicodeDecodeError) as slip:
        raise CaseError(f"{file} cannot be read ({slip}). Name another file.") from None
    if text and not text.startswith(FIRST_LINE):
        raise CaseError(f"{file} exists already and was not made by this command; name another file.")
    return text


def write(file: Path, text: str) -> None:
    """Write the file; what it was is kept, so that it can be taken back.

    Raises:
        CaseError: it cannot be written.
    """
    before = read(file)
    try:
        _earlier(file, len(_states(file)) + 1).write_bytes(before.encode())
        file.write_bytes(text.encode())
    except OSError as slip:
        raise CaseError(f"{file} cannot be written ({slip.strerror or slip}). Name another file.") from None


def take_back(file: Path) -> None:
    """The file as it was before it was last written, byte by byte; gone where there was none.

    Raises:
        CaseError: nothing is kept of an earlier state, or the file cannot be written.
    """
    states = _states(file)
    if not states:
        raise CaseError(f"{file}: nothing was accepted into it that can be taken back.")
    try:
        if states[-1].stat().st_size:
            states[-1].replace(file)
        else:
            file.unlink(missing_ok=True)
            states[-1].unlink()
    except OSError as slip:
        raise CaseError(f"{file} cannot be written ({slip.strerror or slip}).") from None


def _states(file: Path) -> list[Path]:
    """What is kept of earlier states, the latest last."""
    found, number = [], 1
    while (one := _earlier(file, number)).exists():
        found.append(one)
        number += 1
    return found


def _earlier(file: Path, number: int) -> Path:
    return file.with_name(f".{file.name}.{number}")
