"""Knowledge bases of any size, drawn from a seed: to measure how the work grows.

They are like the shipped one in what costs time: a complaint that every fault explains,
readings that a few faults move, degrees, masks, rules under conditions, facts that follow
from readings. What they say about machines is invented and means nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from random import Random
from typing import Final

from crankpath.engine.knowledge.condition import Is
from crankpath.engine.knowledge.records import (
    EvidenceRule,
    FactRule,
    Fault,
    HealthyReading,
    Knowledge,
    LimitSet,
    Measurement,
    MeterError,
    Origin,
    Range,
    Repair,
    Selector,
    Share,
    State,
)

COMPLAINT: Final = "complaint"
_HERE: Final = Origin("generated", 1, 1)
_BANDS: Final = ("good", "fair", "poor", "bad", "worst")
_LIMITS: Final = (1.0, 2.0, 3.0, 4.0)


@dataclass(frozen=True, slots=True)
class Size:
    """How much there is of everything.

    rules: evidence rules of each fault, beside the one on the complaint.
    pooled: False leaves out readings that depart both ways.
    """

    faults: int
    measurements: int
    rules: int = 8
    pooled: bool = True


def generated(kb: Knowledge, size: Size, seed: int) -> Knowledge:
    """A knowledge base of that size; settings and scale of words are those of ``kb``.

    Every second fault has two degrees; one rule in twenty masks, one in ten has a condition.
    """
    rng = Random(f"{seed}/{size}")
    readings = [_reading(rng, number, size.pooled) for number in range(size.measurements - 1)]
    measurements = [_complaint(), *readings]
    faults = [_fault(rng, number, size.faults) for number in range(size.faults)]
    rules = [rule for fault in faults for rule in _rules(rng, fault, measurements, size.rules)]
    facts = [_fact(rng, number, readings) for number in range(0, len(readings), 4)]
    repairs = [_repair(rng, name) for name in sorted({fault.repair for fault in faults})]
    return replace(
        kb,
        version=f"generated {size} {seed}",
        folders=(),
        equipment={},
        complaints={},
        segments={},
        setups={},
        states={"running": State("running", "running", True, (), (), _HERE)},
        measurements={m.id: m for m in measurements},
        faults={f.id: f for f in faults},
        repairs={r.id: r for r in repairs},
        rules={r.id: r for r in rules},
        facts={f.id: f for f in facts},
        balances={},
        layers={},
        silence=(),
    )


def readings_of(kb: Knowledge, fault: str, most: int, seed: int) -> list[tuple[str, str | float]]:
    """Readings of a machine of a generated base that has one fault: the complaint, then others.

    Half of the others are such as the fault moves; each reads what it is most likely to.
    """
    rng = Random(f"{seed}/{fault}")
    moved = {name: rule for rule in kb.rules.values() if fault in rule.faults.ids
             for name in rule.measurements.ids}  # fmt: skip
    own = sorted(name for name in moved if name != COMPLAINT)
    others = sorted(set(kb.measurements) - set(own) - {COMPLAINT})
    chosen = [COMPLAINT, *rng.sample(own, min(most // 2, len(own)))]
    chosen += rng.sample(others, min(most + 1 - len(chosen), len(others)))
    return [(name, _likeliest(kb.measurements[name], moved.get(name))) for name in chosen]


def _likeliest(measurement: Measurement, rule: EvidenceRule | None) -> str | float:
    said = measurement.healthy[0].reads if rule is None else rule.reads
    if isinstance(said, Range):
        return sum(end for end in said.between or () if isinstance(end, float)) / 2.0
    if isinstance(said, tuple):
        return measurement.bands[max(range(len(said)), key=said.__getitem__)]
    return max(said, key=said.__getitem__)


def _complaint() -> Measurement:
    return _measurement(COMPLAINT, None, "largest", (0.001, 0.5, 0.3, 0.15, 0.049), 1.0, ("symptom",))


def _reading(rng: Random, number: int, pooled: bool) -> Measurement:
    way = rng.choice(("adds", "adds", "largest", "smallest", "shifts" if pooled else "smallest"))
    healthy = Range({"smallest": (4.0, 5.0), "shifts": (2.0, 3.0)}.get(way, (0.0, 1.0)))
    return _measurement(f"reading_{number}", "V", way, healthy, float(rng.randint(1, 10)), ("reading",))


def _measurement(
    name: str,
    unit: str | None,
    combination: str,
    healthy: tuple[float, ...] | Range,
    minutes: float,
    kinds: tuple[str, ...],
) -> Measurement:
    return Measurement(
        id=name, label=name, short=name[:14], aliases=(), asks="", group="", kinds=kinds, unit=unit,
        bands=_BANDS, band_labels={}, combination=combination, scale=1.0, whole=(),
        limits=(LimitSet(None, _LIMITS, (), "", _HERE),) if unit else (),
        healthy=(HealthyReading(None, healthy, _HERE),), between=None, covers=(), leaves_out=(), signed=False,
        least=None, most=None, doubtful_above=None, error=MeterError(0.05, 0.1),
        state="running", setups=(), tools=(), minutes=minutes, only=None, parallel=None, leads="", meter="",
        steps=(), misleads="", cautions=(), sources=(), origin=_HERE,
    )  # fmt: skip


def _fault(rng: Random, number: int, of: int) -> Fault:
    degrees = {"slight": 0.6, "bad": 0.4} if number % 2 else {"present": 1.0}
    return Fault(
        id=f"fault_{number}", label=f"fault {number}", group="", kinds=("fault",), places=(),
        shares=(Share(None, rng.uniform(0.2, 1.8) / of, (), _HERE),), degrees=degrees, away=0.5,
        repair=f"repair_{number * 3 // 4}", proof=None, leads_to=(), only=None, about="", cautions=(),
        sources=(), origin=_HERE,
    )  # fmt: skip


def _repair(rng: Random, name: str) -> Repair:
    return Repair(name, name, (), float(rng.randint(5, 120)), float(rng.randint(0, 300)), (), (), _HERE)


def _rules(rng: Random, fault: Fault, measurements: list[Measurement], count: int) -> list[EvidenceRule]:
    """One on the complaint, and ``count`` on other readings, drawn."""
    others = rng.sample(measurements[1:], min(count, len(measurements) - 1))
    return [_rule(rng, fault, measurement) for measurement in (measurements[0], *others)]


def _rule(rng: Random, fault: Fault, measurement: Measurement) -> EvidenceRule:
    reads: Mapping[str, float] | Range
    if measurement.numeric:
        low = rng.uniform(0.0, 3.0) if measurement.worsens == "down" else rng.uniform(1.0, 4.5)
        reads = Range((low, low + rng.uniform(0.5, 1.5)))
    else:
        band = rng.randint(1, 4)
        beside = min(band + 1, 4)
        reads = {_BANDS[band]: 0.6} | ({_BANDS[beside]: 0.3} if beside != band else {})
    where = measurement.id != COMPLAINT and rng.random() < 0.1
    given = Is(f"seen_{rng.randrange(20)}", (True,)) if where else None
    return EvidenceRule(
        id=f"{fault.id}_on_{measurement.id}", faults=Selector((fault.id,), ()), degrees=(),
        measurements=Selector((measurement.id,), ()), where="any", given=given, unless=None, reads=reads,
        masks=int(measurement.id != COMPLAINT and rng.random() < 0.05), because="", misleads="",
        sources=(), origin=_HERE,
    )  # fmt: skip


def _fact(rng: Random, number: int, readings: list[Measurement]) -> FactRule:
    """A reading in its band at the bad end tells a fact; a tenth as many facts stand on facts."""
    of = readings[number]
    band = of.bands[0] if of.worsens == "down" else of.bands[-1]
    when = Is(of.id, (band,)) if rng.random() < 0.9 else Is(f"seen_{rng.randrange(20)}", (True,))
    return FactRule(
        id=f"fact_{number}", when=when, unless=None, then={f"seen_{rng.randrange(20)}": True}, caution=(),
        warn="", distrust=(), pointless=None, unsafe=None, because="", sources=(), origin=_HERE,
    )  # fmt: skip
