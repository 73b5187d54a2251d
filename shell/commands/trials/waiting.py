"""Figures of waiting for failures: meters chosen together and singly, sound machines, proofs."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache, partial
from random import Random
from typing import Final

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.trials.waiting.luck import part_named_though_sound, passes_though_not_fixed
from crankpath.engine.trials.waiting.watched import (
    Choosing,
    WatchTrial,
    chosen_jointly,
    chosen_singly,
    watch_figures,
    watch_trial,
    watched_machine,
)
from crankpath.shell.kb_folders import Folders

WAYS: Final[tuple[tuple[str, int, Choosing], ...]] = (
    ("two meters, chosen together", 2, chosen_jointly),
    ("two meters, the two best single readings", 2, chosen_singly),
    ("one meter", 1, chosen_jointly),
)
_PROOFS_EACH: Final = 50  # proofs drawn for each machine; they cost next to nothing


def waiting_lines(folders: Folders, machines: int, seed: int, parameters: str, jobs: int) -> Iterator[str]:
    """The report, a line when it is known; the same seed draws the same machines for every way."""
    numbers = range(machines)
    with ProcessPoolExecutor(jobs) as pool:
        yield f"parameter set {parameters}, seed {seed}, {machines} machines that fail in 5 to 30 % of tries"
        for place, (label, _, _) in enumerate(WAYS):
            f = watch_figures(list(pool.map(partial(_watched, folders, seed, parameters, place), numbers)))
            seen = f"failures {f.failures:.2f}   named {f.named:.3f}"
            yield f"  {label:42} {seen}   right {f.right:.3f}   first work right {f.first_right:.3f}"
        parts = [part for part in pool.map(partial(_sound, folders, seed, parameters), numbers) if part]
        yield f"sound machines: a part named on {len(parts)} of {machines}{_which(parts)}"
        passed = sum(pool.map(partial(_passed, folders, seed), numbers)) / (machines * _PROOFS_EACH)
        level = _knowledge(folders).settings["proof_level"]
        yield f"wrong repairs that stood their proof: {passed:.3f}, stated at most {level:g}"


def _which(parts: list[str]) -> str:
    return f": {', '.join(sorted(set(parts)))}" if parts else ""


@lru_cache(maxsize=1)
def _knowledge(folders: Folders) -> Knowledge:
    return folders.load()


def _watched(folders: Folders, seed: int, parameters: str, way: int, number: int) -> WatchTrial:
    kb = _knowledge(folders)
    _, meters, choose = WAYS[way]
    machine = watched_machine(kb, seed, number, parameters)
    return watch_trial(kb, machine, meters, Random(f"{seed}/watch/{number}"), choose)


def _sound(folders: Folders, seed: int, parameters: str, number: int) -> str | None:
    kb = _knowledge(folders)
    return part_named_though_sound(kb, Random(f"{seed}/sound/{number}"), parameters)


def _passed(folders: Folders, seed: int, number: int) -> int:
    kb = _knowledge(folders)
    rng = Random(f"{seed}/proof/{number}")
    return sum(passes_though_not_fixed(kb, rng) for _ in range(_PROOFS_EACH))
