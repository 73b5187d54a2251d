"""A person at the prompt, made from a solved machine: types what the meter would show."""

from __future__ import annotations

import random
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from crankpath.engine.knowledge.records import Knowledge, Measurement
from crankpath.engine.solved.machine import Machine

_REPAIR = re.compile(r"REPAIR: (.*?) \(\d")


@dataclass
class Person:
    """Answers prompts for one machine; honest, and unaware of what is wrong with it.

    complaint: the operator's words. extra: prompt -> lines typed at its first appearance before the answer.
    """

    kb: Knowledge
    machine: Machine
    rng: random.Random
    complaint: str
    name: str = "demo"
    extra: dict[str, list[str]] = field(default_factory=dict)
    failing: bool = True
    hides: bool = False
    never_cured: bool = False
    done: list[str] = field(default_factory=list)

    def answer(self, prompt: str, screen: str) -> str:
        """The line to type.

        Args:
            prompt: the text before the cursor, without "> ".
            screen: what stands above it.
        """
        waiting = self.extra.get(prompt)
        if waiting:
            return waiting.pop(0)
        match prompt:
            case "operator says":
                return self.complaint
            case "machine":
                return f"{self.name}: {machine_line(self.kb, self.machine.equipment)}"
            case "when":
                return ", ".join(label for label in when_labels(self.kb, self.machine.equipment))
            case "ready" | "close" | "case":
                return ""
            case "failing? y/n":
                return "y" if self.failing else "n"
            case "cured? y/n":
                return "y" if self.machine.behaviour() == "normal" and not self.never_cured else "n"
            case "repair":
                return self._repair(screen)
            case "tries":
                return self._cranks()
            case "next" | "stop":
                return "close"
        return self._reading(prompt)

    def _repair(self, screen: str) -> str:
        label = _REPAIR.findall(" ".join(screen.replace("\n>> ", " ").split()))[-1]
        repair = next(r for r in self.kb.repairs.values() if r.label == label)
        self.done.append(repair.id)
        cured = [f for f in self.machine.faults if self.kb.faults[f].repair == repair.id]
        self.machine = self.machine.with_repaired(cured)
        return "done"

    def _cranks(self) -> str:
        for _ in range(5):
            if self.machine.attempt(self.rng):
                return "failed"
        return "5"

    def _reading(self, short: str) -> str:
        m = next(m for m in self.kb.measurements.values() if m.short == short)
        shows = self.kb.states[m.state].symptom_shows
        self.hides = self.hides or self.machine.intermittent
        if m.id == "occurrence":
            return "intermittent" if self.hides else "every time"
        asked = self.hides and shows and "symptom" not in m.kinds
        self.failing = self.machine.attempt(self.rng) if asked else True
        if self.never_cured and m.id == "crank_behaviour":
            return "slow"
        return typed(m, self.machine.read(m.id, self.rng, self.failing))


def asked_by(prompt: str) -> str:
    """What a prompt asks for, without the case that it names and the "> " behind it."""
    return prompt.removesuffix("> ").rpartition("] ")[2]


def typed(m: Measurement, value: float | str | None) -> str:
    """A reading as a mechanic types it."""
    if value is None:
        return "can't"
    if isinstance(value, str):
        return value.replace("_", " ") if not m.numeric else value
    if m.unit == "V" and 0 < abs(value) < 0.995:
        return f"{value * 1000:.0f} mV"
    return f"{value:.4g} {m.unit}" if abs(value) < 1000 else f"{value:.0f} {m.unit}"


def machine_line(kb: Knowledge, equipment: Mapping[str, object]) -> str:
    """Machine facts as a person tells them."""
    said = []
    for name, value in equipment.items():
        if name == "cables" and isinstance(value, Mapping):
            said += [f"{run} {cable['gauge']} {cable['length']}" for run, cable in value.items()]
        elif name in kb.equipment and name != "cables" and not isinstance(value, bool):
            unit = kb.equipment[name].unit
            shown = f"{value:g} {unit}" if unit else str(value)
            said.append(f"{kb.equipment[name].label} {shown}")
        elif name in kb.equipment and name != "cables" and not kb.equipment[name].optional:
            said.append(f"{kb.equipment[name].label} {'yes' if value else 'no'}")
    return ", ".join(said)


def when_labels(kb: Knowledge, equipment: Mapping[str, object]) -> list[str]:
    """The facts about the complaint that hold."""
    return [fact.label for fact in kb.equipment.values() if fact.optional and equipment.get(fact.id) is True]
