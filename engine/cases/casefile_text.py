"""Writing a `CaseFile` as YAML that `crankpath.engine.cases.casefile` reads back as the same case."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

import yaml

from crankpath.engine.cases.casefile import (
    CannotEntry,
    CaseEntry,
    CaseFile,
    Expect,
    NoteEntry,
    ReadingEntry,
    RepairedEntry,
    TriesEntry,
)

# Text of this shape needs no quotes in any reader of YAML, unless it is one of the words below.
_PLAIN: Final = re.compile(r"[A-Za-z](?:[A-Za-z0-9_]| (?! ))*(?<! )\Z")
_WORDS: Final = frozenset({"true", "false", "null", "yes", "no", "on", "off", "y", "n", "nan", "inf"})


def dump_case(case: CaseFile) -> str:
    """The case as YAML text; places are not kept, and ``readings`` become entries."""
    data: dict[str, Any] = {
        "about": case.about,
        "source": list(case.source),
        "equipment": dict(case.equipment),
        "lacks": list(case.lacks),
        "round_trip": case.round_trip or None,
        "complaint": case.complaint,
        "entries": [_entry(entry) for entry in case.entries],
    }
    kept = {key: value for key, value in data.items() if value not in (None, [], {})}
    if case.expect is not None:
        kept["expect"] = _expect(case.expect)
    return yaml.dump(
        kept, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=100, default_flow_style=None
    )


class _Dumper(yaml.SafeDumper):
    """Quotes every text that some reader of YAML could take for something else."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def _text(dumper: yaml.SafeDumper, text: str) -> yaml.Node:
    plain = _PLAIN.match(text) and text.lower() not in _WORDS
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=None if plain else '"')


_Dumper.add_representer(str, _text)


def _entry(entry: CaseEntry) -> dict[str, Any]:
    written: dict[str, Any]
    match entry:
        case ReadingEntry():
            written = {"reading": entry.measurement, "value": entry.value}
            if not entry.symptom:
                written["symptom"] = False
            if entry.cable != 1:
                written["cable"] = entry.cable
            if entry.crank is not None:
                written["crank"] = entry.crank
        case CannotEntry():
            written = {"cannot": entry.measurement}
        case TriesEntry():
            waiting = {"waiting": True} if entry.waiting else {}
            written = {"tries": {"failures": entry.failures, "of": entry.of} | waiting}
        case RepairedEntry():
            written = {"repaired": entry.repair}
            if entry.cured is not None:
                written["cured"] = entry.cured
        case NoteEntry():
            written = {}
    common = {"at": entry.at, "by": entry.by, "note": entry.note}
    return written | {key: value for key, value in common.items() if value is not None}


def _expect(expect: Expect) -> dict[str, Any]:
    written: dict[str, Any] = {"first": expect.first} if expect.first_stated else {}
    optional: Mapping[str, Any] = {
        "repair": expect.repair,
        "verdict": dict(expect.verdict),
        "chance": {fault: {"least": least, "most": most} for fault, (least, most) in expect.chance.items()},
        "next": list(expect.next),
        "never": list(expect.never),
        "says": list(expect.says),
    }
    return written | {key: value for key, value in optional.items() if value not in (None, [], {})}
