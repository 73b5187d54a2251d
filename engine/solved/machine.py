"""A machine that can be cranked and measured: it answers from its solved circuit."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final, TypeVar

from crankpath.engine.physics.tables import Figures
from crankpath.engine.solved.build import Build
from crankpath.engine.solved.cranking import CrankOutcome, crank, keeps_running, rested
from crankpath.engine.solved.drawn.effects import LASTING, Severity, damaged
from crankpath.engine.solved.network import Branch, Solution

T = TypeVar("T")

USUAL_SPEED: Final = "usual_speed"
"""Key of the speed that stays known when a machine's faults change."""


@dataclass(frozen=True)
class Machine:
    """One machine with its faults (none = healthy).

    equipment: machine facts as a case takes them. rate: chance that an intermittent symptom
    is present at a try. sound: the machine before any fault. hidden: faults that emptied batteries
    which have been charged since.
    """

    equipment: Mapping[str, object]
    severities: Mapping[str, Severity]
    intermittent: bool
    rate: float
    sound: Build
    figures: Figures = field(repr=False)
    hidden: frozenset[str] = frozenset()
    _cache: dict[object, Any] = field(default_factory=dict, repr=False, compare=False)

    @property
    def faults(self) -> frozenset[str]:
        """Ids of the faults it has."""
        return frozenset(self.severities)

    @property
    def degrees(self) -> Mapping[str, str]:
        """Fault id -> degree."""
        return {fault: severity.degree for fault, severity in self.severities.items()}

    @property
    def healthy(self) -> bool:
        """True if it has no fault."""
        return not self.severities

    @property
    def cables(self) -> Mapping[str, Mapping[str, str]]:
        """Gauge and length of each run as built (the faults are not in it)."""
        return self.sound.cables

    def attempt(self, rng: random.Random) -> bool:
        """Try to crank: whether the symptom shows this time."""
        if self.intermittent and rng.random() >= self.rate:
            return False
        return self.behaviour() != "normal"

    def found_at_rest(self, rng: random.Random) -> bool:
        """Whether what is wrong is there just now while nothing is cranked, where nobody can see it."""
        return not self.intermittent or not LASTING.isdisjoint(self.faults) or self.attempt(rng)

    def behaviour(self, symptom: bool = True) -> str:
        """What the machine does with the key in start: a value of crank_behaviour."""
        shows = symptom or not self.intermittent
        return self.remembered(("behaviour", shows), lambda: self._behaviour(shows))

    def read(self, measurement: str, rng: random.Random, symptom: bool = True) -> float | str | None:
        """The reading a mechanic would write down, or None if it cannot be taken on this machine.

        A number in the measurement's unit, a value of the observation, or the text that a meter
        shows when a resistance is over its range. `symptom`: whether it shows just then.

        Raises:
            UnknownName: there is no such measurement.
        """
        # A reading needs the machine, and the machine reads.
        from crankpath.engine.solved.meter import read_meter

        return read_meter(self, measurement, rng, symptom)

    def with_repaired(self, faults: Iterable[str], hides: Iterable[str] = ()) -> Machine:
        """The same machine without those faults.

        Args:
            faults: what is repaired.
            hides: faults that emptied its batteries, which are charged now.
        """
        gone = set(faults)
        left = {fault: severity for fault, severity in self.severities.items() if fault not in gone}
        known: dict[object, Any] = {USUAL_SPEED: self.usual_speed()}
        comes_and_goes = self.intermittent and bool(left)
        hidden = self.hidden.union(hides).intersection(left)
        return replace(self, severities=left, intermittent=comes_and_goes, hidden=hidden, _cache=known)

    def run_down(self) -> Machine:
        """The same machine after days at work: what was hidden has emptied its batteries again."""
        return replace(self, hidden=frozenset(), _cache={USUAL_SPEED: self.usual_speed()})

    def build(self, symptom: bool = True) -> Build:
        """The machine in numbers, with its faults as bad as they are while the symptom shows or is away."""
        shows = symptom or not self.intermittent
        return self.remembered(
            ("build", shows), lambda: damaged(self.sound, self._now, self.figures, shows)
        )

    @property
    def _now(self) -> Mapping[str, Severity]:
        """Its faults, those hidden with full batteries."""
        charged = self.figures["batteries"]["charged"]["value"]
        full = {fault: replace(self.severities[fault], size=charged) for fault in self.hidden}
        return {**self.severities, **full}

    def outcome(self, symptom: bool = True, act: str = "") -> CrankOutcome:
        """What happens with the key held in start, or with the substitution ``act``."""
        shows = symptom or not self.intermittent
        return self.remembered(
            ("outcome", shows, act), lambda: crank(self.build(shows), self.figures, act)
        )

    def at_rest(self, symptom: bool = True) -> tuple[tuple[Branch, ...], Solution]:
        """Branches and solution with the key off."""
        shows = symptom or not self.intermittent
        return self.remembered(("rest", shows), lambda: rested(self.build(shows)))

    def solution(self, symptom: bool = True, state: str = "cranking") -> Solution:
        """Node voltages (V against the negative post) and branch currents (A); state cranking or rested."""
        return self.at_rest(symptom)[1] if state == "rested" else self.outcome(symptom).solution

    def usual_speed(self) -> float:
        """Engine speed in rpm at which it cranks when nothing is wrong with it."""
        if self.healthy:
            return self.outcome().speed
        return self.remembered(USUAL_SPEED, lambda: crank(self.sound, self.figures).speed)

    def judged(self, outcome: CrankOutcome) -> str:
        """A turning engine called normal or slow, as a mechanic who knows the machine would."""
        if outcome.does != "turns":
            return outcome.does
        judgement = self.figures["judgement"]
        least = max(judgement["slow_rpm"]["value"], judgement["slow_below"]["value"] * self.usual_speed())
        return "normal" if outcome.speed >= least else "slow"

    def _behaviour(self, symptom: bool) -> str:
        does = self.judged(self.outcome(symptom))
        turning = does in ("normal", "slow", "spins_free", "grinds")
        return "keeps_running" if turning and keeps_running(self.build(symptom), self.figures) else does

    def remembered(self, key: object, make: Callable[[], T]) -> T:
        """What `make` gives, computed once for this machine and key."""
        if key not in self._cache:
            self._cache[key] = make()
        found: T = self._cache[key]
        return found
