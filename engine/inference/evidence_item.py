"""A piece of evidence together with the reading it comes from."""

from __future__ import annotations

from dataclasses import dataclass

from crankpath.engine.bayes.evidence import Evidence
from crankpath.engine.inference.pooled_readings import PooledReading
from crankpath.engine.knowledge.condition import Facts


@dataclass(frozen=True, eq=False)
class EvidenceItem:
    """A piece of evidence with the reading behind it (None for *still not cured*)."""

    taken: PooledReading | None
    evidence: Evidence
    facts: Facts
    band: str
    used: bool
    why_not: str | None = None
