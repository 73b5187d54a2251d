"""`load_knowledge`: folders of YAML in, one frozen `Knowledge` out, or every slip at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final, TypeVar

from crankpath.engine.errors import KnowledgeError
from crankpath.engine.knowledge.building import faults, machine, measurements, rules
from crankpath.engine.knowledge.building.entry import Entry
from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.documents import RawEntry
from crankpath.engine.knowledge.folders import Layers, read_layers, shipped_folder
from crankpath.engine.knowledge.problems import Problem, ProblemCollector, TooManySlips, near, quoted
from crankpath.engine.knowledge.records import Knowledge, Origin, Settings, Silence

Record = TypeVar("Record")

_NEEDED: Final = ("equipment", "measurements", "faults", "repairs")
_SHOWN: Final = 100  # a message longer than this many lines is read by nobody


def load_knowledge(*folders: str | Path, shipped: bool = True) -> Knowledge:
    """The shipped knowledge base, with the given folders laid over it in their order.

    Args:
        folders: each replaces whole entries by id, adds others, and retires some.
        shipped: False to load the given folders alone, as a whole base of their own.

    Raises:
        KnowledgeError: the message lists every slip found, one a line.
    """
    knowledge, problems = read_knowledge(*folders, shipped=shipped)
    if problems or knowledge is None:
        raise KnowledgeError(told(problems))
    return knowledge


def read_knowledge(
    *folders: str | Path, shipped: bool = True, structure: bool | None = None
) -> tuple[Knowledge | None, tuple[Problem, ...]]:
    """Like `load_knowledge`, but the problems come back as data; Knowledge is None if there are any.

    Args:
        structure: check against the JSON Schema too; None does so for every folder but the
            shipped one, which the project's own tests check.
    """
    own = [shipped_folder()] if shipped else []
    paths = [*own, *(Path(folder) for folder in folders)]
    slips = ProblemCollector()
    structural: tuple[Problem, ...] = ()
    knowledge: Knowledge | None = None
    try:
        layers = read_layers(paths, slips)
        structural = _structure(layers, structure)
        knowledge = _build(layers, tuple(str(path) for path in paths))
    except TooManySlips:
        pass  # they are told
    # Where the schema has spoken, what the records say of the same place is the same slip again.
    told_already = {(p.folder, p.origin) for p in structural}
    rest = [p for p in dict.fromkeys(slips) if (p.folder, p.origin) not in told_already]
    problems = _ordered((*structural, *rest))
    return (None if problems else knowledge), problems


def told(problems: Iterable[Problem]) -> str:
    """All problems, one a line, as an error message."""
    lines = [str(problem) for problem in problems]
    more = len(lines) - _SHOWN
    return "\n".join([*lines[:_SHOWN], f"... and {more} more"] if more > 0 else lines)


def _structure(layers: Layers, wanted: bool | None) -> tuple[Problem, ...]:
    """What the JSON Schema says of the files, if that is wanted."""
    checked = [
        (folder, doc) for folder, doc in layers.documents if (folder != "" if wanted is None else wanted)
    ]
    if not checked:
        return ()
    # jsonschema takes longer to import than the shipped knowledge base to load
    from crankpath.engine.knowledge.structure import structure_problems

    return tuple(replace(p, folder=folder) for folder, doc in checked for p in structure_problems(doc))


def _ordered(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    return tuple(sorted(problems, key=lambda p: (p.folder, p.origin.file, p.origin.line, p.origin.column)))


def _build(layers: Layers, folders: tuple[str, ...]) -> Knowledge:
    sections, slips = layers.sections, layers.slips
    names = Names.of(sections)

    def read(section: str, what: str, convert: Callable[[Entry], Record]) -> dict[str, Record]:
        return {id_: _record(raw, what, names, slips, convert) for id_, raw in sections[section].items()}

    missing = [section for section in _NEEDED if not sections[section]]
    if missing and not slips:
        message = f"the knowledge base has no {', '.join(missing)}"
        advice = "Lay the folder over the shipped one, or complete it"
        slips.add(Origin("", 1, 1), message, advice, "".join(folders[-1:]))
    return Knowledge(
        version=layers.version,
        folders=folders,
        scale=_scale(sections["scale"], slips),
        settings=_settings(read("settings", "setting", _setting), sections["settings"]),
        references=read("references", "reference", machine.reference),
        equipment=read("equipment", "equipment fact", machine.equipment_fact),
        complaints=read("complaints", "complaint", _complaint),
        points=read("points", "point", machine.point),
        segments=read("segments", "segment", machine.segment),
        cautions=read("cautions", "caution", machine.caution),
        hazards=read("hazards", "hazard", machine.hazard),
        tools=read("tools", "tool", machine.tool),
        setups=read("setups", "set-up", machine.setup),
        states=read("states", "state", machine.state),
        measurements=read("measurements", "measurement", measurements.measurement),
        faults=read("faults", "fault", faults.fault),
        repairs=read("repairs", "repair", faults.repair),
        rules=read("rules", "rule", rules.evidence_rule),
        facts=read("facts", "fact rule", rules.fact_rule),
        balances=read("balances", "balance", rules.balance),
        cases_folder=layers.cases,
        layers=_origins(sections, folders),
        silence=tuple(read("silence", "silence", _silence).values()),
    )


def _record(
    raw: RawEntry, what: str, names: Names, slips: ProblemCollector, convert: Callable[[Entry], Record]
) -> Record:
    entry = Entry(raw, f"{what} {raw.id}", names, slips)
    record = convert(entry)
    entry.close()
    return record


def _scale(entries: Mapping[str, RawEntry], slips: ProblemCollector) -> dict[str, float]:
    for word, raw in entries.items():
        value = raw.data
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 < value < 1:
            slips.add(Origin(raw.key.file, raw.place.line, raw.place.column),
                      f"scale {word}: {quoted(value)} is no chance", "Write a number above 0 and below 1",
                      raw.folder)  # fmt: skip
    return {word: float(raw.data) for word, raw in entries.items() if isinstance(raw.data, (int, float))}


def _setting(entry: Entry) -> float:
    entry.text("about", "")
    return entry.number("value")


def _settings(values: dict[str, float], entries: Mapping[str, RawEntry]) -> Settings:
    return Settings(values, {name: raw.key for name, raw in entries.items()})


def _complaint(entry: Entry) -> tuple[str, str]:
    measurement = entry.ref("measurement", "measurements")
    value = entry.text("value")
    bands = entry.names.bands.get(measurement, ())
    if bands and value not in bands:
        entry.wrong("value", f"{quoted(value)} is no band of {measurement}", near(value, bands, 12))
    return measurement, value


def _silence(entry: Entry) -> Silence:
    """What is silenced; every entry named must be there, so that no silence outlives its cause."""
    entries = entry.words("entries", required=True)
    sections = entry.names.sections
    known = {id_ for ids in sections.values() for id_ in ids}
    for index, name in enumerate(entries):
        section, _, id_ = name.rpartition("/")
        if name not in sections and id_ not in (sections.get(section, ()) if section else known):
            message = f"{quoted(name)} is no entry of the knowledge base"
            entry.wrong("entries", message, near(id_, known), index, check="unknown_id")
    return Silence(entry.id, entries, entry.text("because"), entry.folder, entry.at)


def _origins(sections: Mapping[str, Mapping[str, RawEntry]], folders: tuple[str, ...]) -> dict[str, str]:
    shipped = str(shipped_folder())
    return {
        f"{section}/{id_}": raw.folder or shipped
        for section, entries in sections.items()
        if section != "silence"
        for id_, raw in entries.items()
    }
