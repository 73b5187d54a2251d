"""What a shop's folder replaces, takes out or does not carry along; told beside the check, never a slip."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from crankpath.engine.knowledge.building.fields import LIKE
from crankpath.engine.knowledge.folders import read_layers
from crankpath.engine.knowledge.problems import ProblemCollector
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.trials.difference import entry_changes


def told_of_layers(below: Knowledge, kb: Knowledge, own: Path) -> Iterator[str]:
    """Sentences: what takes the place of another entry, what is retired, which rules `like` leaves behind.

    Args:
        below: the base without the folder. kb: with it. own: the folder.
    """
    for change in entry_changes(below, kb):
        if change.sort == "retired":
            yield f"{change.key} is retired."
        elif change.sort == "changed":
            lost = [f.field for f in change.fields if f.after is None]
            fields = ", ".join(f.field for f in change.fields if f.after is not None)
            said = [f"other {fields}"] * bool(fields) + [f"lost: {', '.join(lost)}"] * bool(lost)
            yield f"{change.key} takes the place of the entry below: {'; '.join(said)}."
    for key, model in _models(own).items():
        section, _, id_ = key.partition("/")
        named = {rule.id: getattr(rule, section).ids for rule in kb.rules.values()}
        rules = [rule for rule, ids in named.items() if model in ids and id_ not in ids]
        if rules:
            yield (
                f"{key} is like {model}; these rules name {model} alone: {', '.join(rules)}. Carry one by "
                f"'rules: {{{rules[0]}: {{like: {rules[0]}, {section}: {{add: [{id_}]}}}}}}'."
            )


def _models(own: Path) -> Mapping[str, str]:
    """ "section/id" of a fault or measurement of the folder -> the other entry that it is like."""
    found = {}
    for _, document in read_layers([own], ProblemCollector()).documents:
        for section in ("faults", "measurements"):
            entries = document.data.get(section) if isinstance(document.data, dict) else None
            for id_, entry in (entries or {}).items():
                model = entry.get(LIKE) if isinstance(entry, dict) else None
                if isinstance(model, str) and model != id_:
                    found[f"{section}/{id_}"] = model
    return found
