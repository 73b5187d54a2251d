"""The ranking is continuous: a reading swept through its limits moves no cause by a jump.

A reading is soft evidence, so a cause's chance is a quotient of two sums over the bands,
each weighed with the band's share. The sums are made once a band, and the sweep costs
nothing; at each limit the quotient is held against the case itself, which would show a fact
rule that hangs on the band and makes a step.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest

from crankpath.engine import Case
from crankpath.engine.errors import ReadingError
from crankpath.engine.inference.bands import band_shares, limits_in_force
from crankpath.engine.inference.posterior import posterior
from crankpath.engine.knowledge.records import Knowledge, Measurement

CaseOf = Callable[..., Case]
Chances = dict[str | None, float]

STEPS = range(70, 141)  # per cent of the limit
MOST = 0.1
MACHINE = {"disconnect_switch": "positive", "ground_path": "frame"}


class Sweep:
    """The chance of every cause as a function of one reading's value, all else as in a case."""

    def __init__(self, case: Case, measurement: Measurement, sample: float) -> None:
        read = case.what_if(measurement.id, sample).assessment
        self.measurement, self.facts = measurement, read.now.facts
        (own,) = [p.evidence for p in read.used if p.taken and p.taken.measurement is measurement]
        others = [p.evidence for p in read.used if p.evidence is not own]
        self.whole: list[float] = []
        self.parts: list[Chances] = []
        for band in range(len(measurement.bands)):
            shares = tuple(float(place == band) for place in range(len(measurement.bands)))
            found = posterior(read.model.hypotheses, [*others, replace(own, shares=shares, identity=None)])
            marginals: Chances = {**found.fault_marginals(), None: found.unlisted}
            self.whole.append(found.evidence_chance)
            self.parts.append({f: chance * found.evidence_chance for f, chance in marginals.items()})

    def at(self, value: float) -> Chances:
        shares = band_shares(self.measurement, value, self.facts)
        whole = sum(share * chance for share, chance in zip(shares, self.whole, strict=True))
        return {
            fault: sum(share * part[fault] for share, part in zip(shares, self.parts, strict=True)) / whole
            for fault in self.parts[0]
        }


def possible(case: Case, measurement: Measurement, value: float) -> bool:
    try:
        case.read(measurement.id, f"{value:.9g} {measurement.unit}")
    except ReadingError:
        return False
    return True


def jumps(case: Case, measurement: Measurement) -> list[str]:
    """Every step of 1 % of a limit that moves a cause too far, told."""
    found = []
    limits = limits_in_force(measurement, case.assessment.now.facts)
    sweep = Sweep(case, measurement, limits[0])
    for limit in limits:
        values = [limit * step / 100 for step in STEPS]
        chances = [sweep.at(value) for value in values if possible(case, measurement, value)]
        for before, after in pairwise(chances):
            moved = max(before, key=lambda fault: abs(after[fault] - before[fault]))
            by = abs(after[moved] - before[moved])
            if by > MOST:
                found.append(f"{measurement.id} near {limit:g} {measurement.unit}: {moved} by {by:.3f}")
                break
    return found


def at_the_limits(case: Case, measurement: Measurement) -> list[str]:
    """Where the case itself says otherwise than the sums over bands, just within or just over a limit."""
    found = []
    limits = limits_in_force(measurement, case.assessment.now.facts)
    sweep = Sweep(case, measurement, limits[0])
    for limit in limits:
        for value in (limit, 1.01 * limit):
            if not possible(case, measurement, value):
                continue
            read = case.what_if(measurement.id, f"{value:.12g} {measurement.unit}").assessment.posterior
            expected, got = sweep.at(value), {**read.fault_marginals(), None: read.unlisted}
            worst = max(expected, key=lambda fault: abs(expected[fault] - got[fault]))
            if abs(expected[worst] - got[worst]) > 1e-3:
                found.append(
                    f"{measurement.id} at {value:g}: {worst} {got[worst]:.4f}, not {expected[worst]:.4f}"
                )
    return found


MORE = ((12, None), (12, "silent"), (24, "slow"), (24, "silent"))
MACHINES = [(12, "slow"), (24, None), *(pytest.param(*one, marks=pytest.mark.slow) for one in MORE)]


@pytest.mark.parametrize(("volts", "behaviour"), MACHINES)
def test_no_cause_moves_by_more_than_a_tenth_in_a_step_of_one_per_cent(
    kb: Knowledge, case_of: CaseOf, volts: int, behaviour: str | None
) -> None:
    case = case_of(*([f"crank_behaviour {behaviour}"] if behaviour else []), system_voltage=volts, **MACHINE)
    numeric = [m for m in case.assessment.model.measurements.values() if m.numeric]
    assert len(numeric) == sum(m.numeric for m in kb.measurements.values())
    assert [told for m in numeric for told in jumps(case, m)] == []


@pytest.mark.parametrize(("volts", "behaviour"), MACHINES)
def test_no_fact_makes_a_step_where_a_reading_passes_a_limit(
    case_of: CaseOf, volts: int, behaviour: str | None
) -> None:
    case = case_of(*([f"crank_behaviour {behaviour}"] if behaviour else []), system_voltage=volts, **MACHINE)
    numeric = [m for m in case.assessment.model.measurements.values() if m.numeric]
    assert [told for m in numeric for told in at_the_limits(case, m)] == []
