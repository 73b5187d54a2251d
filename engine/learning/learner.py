"""Many closed cases, one at a time: which are looked at in full, and what all of them add up to.

To weigh what was read in a case takes milliseconds, and a few dozen cases of a cause tell about as much of
it as a thousand. So the latest cases are read in full, and of every cause some at least; of the others only
the cause counts. What was read in full then stands for those of the same cause that were not.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Final

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.learning.calibration import Calibration
from crankpath.engine.learning.closed_case import ClosedCase
from crankpath.engine.learning.rule_samples import SampleCollector
from crankpath.engine.learning.shares import ShareTotals

LATEST: Final = 2000
"""So many cases are read in full, the latest."""
OF_A_CAUSE: Final = 60
"""At least so many of each cause are, if there are as many."""
SEEN_AGAIN: Final = 300
"""So many, the latest, are held against what was stated before their first repair."""

Causes = tuple[str, ...]
"""The causes that were confirmed when a case was closed; empty: it must be read to know."""


@dataclass
class Learner:
    """Takes closed cases, the latest first.

    Attributes:
        kb: the knowledge that they teach.
        cases: how many there were. read: how many were looked at in full.
        listener: what was read, rule by rule.
        hindsight: of the latest cases.
    """

    kb: Knowledge
    cases: int = 0
    read: int = 0
    listener: SampleCollector = field(default_factory=SampleCollector)
    hindsight: Calibration = field(init=False)
    _met: Counter[Causes] = field(default_factory=Counter)
    _looked_at: Counter[Causes] = field(default_factory=Counter)
    _blamed: dict[Causes, Counter[str]] = field(default_factory=dict)
    _machines: dict[Causes, ShareTotals] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.hindsight = Calibration(self.kb)

    def wants(self, causes: Causes) -> bool:
        """Count a case with these causes; is it to be looked at in full?"""
        self.cases += 1
        self._met[causes] += 1
        if self.read >= LATEST and self._looked_at[causes] >= OF_A_CAUSE:
            return False
        self.read += 1
        self._looked_at[causes] += 1
        return True

    def take(self, causes: Causes, closed: ClosedCase) -> None:
        """A case that was wanted, and tells what was found."""
        self._blamed.setdefault(causes, Counter()).update(closed.blamed_faults)
        self._machines.setdefault(causes, ShareTotals()).add(closed.model)
        self.listener.take(closed)
        if len(self.hindsight.stated) < SEEN_AGAIN:
            self.hindsight.take(closed)

    @property
    def confirmed(self) -> dict[str, float]:
        """Fault -> how many cases confirmed it; a case that leaves it open counts in part for each."""
        found: Counter[str] = Counter()
        for causes, blamed in self._blamed.items():
            scale = self._scale(causes)
            for fault, count in blamed.items():
                found[fault] += count * scale  # type: ignore[assignment]
        return dict(found)

    @property
    def machines(self) -> ShareTotals:
        """The machines of all cases."""
        found = ShareTotals()
        for causes, machines in self._machines.items():
            found.add_all(machines, self._scale(causes))
        return found

    def _scale(self, causes: Causes) -> float:
        """How many cases of these causes there were for each that was looked at."""
        return self._met[causes] / self._looked_at[causes]
