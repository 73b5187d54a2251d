"""The knowledge base as linked HTML pages: one for each entry, and an index with the circuit drawn.

Every page stands by itself (style, drawings and text in one file) and links to its neighbours
in the same folder.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

from markupsafe import Markup

from crankpath.engine.checking.relations import Relations
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.entries.machine import BRANCH, LOOP
from crankpath.engine.knowledge.folders import shipped_folder
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.shell.outlets.drawing.inference import draw_inference
from crankpath.shell.outlets.drawing.picture import Picture, picture
from crankpath.shell.outlets.drawing.svg import draw_circuit
from crankpath.shell.outlets.pages.expectations import of_element, of_rule
from crankpath.shell.outlets.pages.sheet.html import render
from crankpath.shell.outlets.reports.dossier import SORTS, Dossier, Where, dossier, label_of
from crankpath.shell.outlets.reports.words import percent

_STRONGEST: Final = 12  # readings drawn for a fault, those it moves most
_RULE_READINGS: Final = 4  # readings drawn for a rule
_FIRST: Final = ("faults", "measurements", "rules", "repairs", "cautions")

Drawing = tuple[str, str]
"""Caption and SVG."""


def kb_pages(kb: Knowledge, cases: Mapping[str, tuple[str, ...]]) -> Iterator[tuple[str, str]]:
    """(file name, page) of the index and of every entry.

    Args:
        kb: the knowledge base.
        cases: entry's key -> names of the cases that rest on it.
    """
    relations = Relations(kb)
    yield "index.html", _index(relations)
    for key in relations.keys:
        told = dossier(relations, key, _where(kb), cases)
        page = render(
            "kb_entry.html",
            "kb.css",
            entry=told,
            drawings=[(c, Markup(s)) for c, s in _drawings(relations, told)],
            file=page_name,
            percent=percent,
            version=kb.version,
        )
        yield page_name(key), page


def page_name(key: str) -> str:
    """The file of an entry's page.

    >>> page_name("faults/positive_cable")
    'fault-positive_cable.html'
    """
    section, _, id_ = key.partition("/")
    return f"{SORTS[section].replace(' ', '-')}-{id_}.html"


def _where(kb: Knowledge) -> Where:
    shipped = str(shipped_folder())

    def where(key: str, origin: Origin) -> str:
        folder = kb.layers.get(key, shipped)
        return f"{'shipped' if folder == shipped else Path(folder).name}, {origin.file}:{origin.line}"

    return where


def _index(relations: Relations) -> str:
    kb = relations.kb
    sections = [*_FIRST, *(section for section in SORTS if section not in _FIRST)]
    lists = [(_plural(section), _groups(relations, section)) for section in sections if getattr(kb, section)]
    shops = sorted({Path(folder).name for folder in kb.layers.values() if folder != str(shipped_folder())})
    drawings = [(caption, Markup(svg)) for caption, svg in _whole_circuit(relations)]
    return render(
        "kb_index.html",
        "kb.css",
        "kb.js",
        lists=lists,
        version=kb.version,
        shops=shops,
        drawings=drawings,
        file=page_name,
    )


def _plural(section: str) -> str:
    sort = SORTS[section]
    return f"{sort}s".capitalize()


def _groups(relations: Relations, section: str) -> list[tuple[str, list[tuple[str, str]]]]:
    """Group -> (label, key) of its entries, in the order written."""
    found: dict[str, list[tuple[str, str]]] = {}
    for id_, entry in getattr(relations.kb, section).items():
        group = getattr(entry, "group", "") or (entry.origin.file if section == "rules" else "")
        key = f"{section}/{id_}"
        found.setdefault(group, []).append((label_of(relations, key), key))
    return list(found.items())


def _whole_circuit(relations: Relations) -> Iterator[Drawing]:
    """The circuit of the machine that has most parts."""
    machine = max(relations.survey.machines, key=lambda model: len(model.circuit.segments()))
    drawn = _picture(relations, machine)
    if drawn is not None:
        said = _machine_words(machine)
        yield (
            f"The main circuit, on a machine with {said}",
            draw_circuit(drawn, title="Main circuit", control=False),
        )
        if drawn.control:
            yield (
                "The control side of the same machine",
                draw_circuit(drawn, title="Control side", main=False),
            )


def _picture(relations: Relations, model: Model, measurement: str | None = None) -> Picture | None:
    try:
        return picture(relations.kb, model.circuit, model.measurements[measurement] if measurement else None)
    except ValueError:
        return None  # a knowledge base whose circuit is not closed has no drawing


def _machine_words(model: Model) -> str:
    """What of the machine is not as by default."""
    facts = model.kb.equipment
    said = [
        f"{facts[name].label} {str(value).lower()}"
        for name, value in model.equipment.items()
        if name in facts and value != facts[name].default
    ]
    return ", ".join(said) or "everything as usual"


def _drawings(relations: Relations, entry: Dossier) -> Iterator[Drawing]:
    section = entry.key.split("/")[0]
    if section == "rules":
        expected = list(of_rule(relations, entry.key, _RULE_READINGS))
        if expected:
            yield "What it says, beside a sound circuit, at 12 V", draw_inference(entry.label, expected)
    if section not in ("faults", "measurements"):
        return
    model = relations.machine_with(entry.key)
    if model is None:
        return
    if section == "faults":
        yield from _inference(relations, model, entry)
    else:
        drawn = _picture(relations, model, entry.id)
        for part in (LOOP, BRANCH):
            if drawn is not None and drawn.holds_lead(part):
                where = ", ".join(one.label for one in relations.kb.circuits.values() if one.part == part)
                shown = {"main": part == LOOP, "control": part == BRANCH}
                svg = draw_circuit(drawn, title=f"{entry.label}: leads and span", **shown)
                yield f"Where the leads go, {where}; machine: {_machine_words(model)}", svg
                return


def _inference(relations: Relations, model: Model, entry: Dossier) -> Iterator[Drawing]:
    for index in model.elements_of[entry.id]:
        degree = model.elements[index].degree
        name = entry.label if degree == "present" else f"{entry.label} ({degree})"
        expected = of_element(model, index)
        shown = (
            f"the {_STRONGEST} readings it moves most"
            if len(expected) > _STRONGEST
            else "every reading it moves"
        )
        caption = f"{degree.capitalize()}: {shown}, nothing else known; machine: {_machine_words(model)}"
        yield caption, draw_inference(name, expected[:_STRONGEST])
