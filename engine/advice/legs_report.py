"""What the readings say of each leg of the loop, and what a repair would give back.

The `budget` of the base names the readings. A leg's drop is split into what was built and what is lost
besides, at its joints or in a damaged cable; the loss is told in watts too. Where something is missing,
the answer is a sentence that names it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from crankpath.engine.bayes.tables import MeterTable
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.bands import limit_set_in_force, limits_in_force
from crankpath.engine.inference.expected import expected
from crankpath.engine.knowledge.building.known_names import resistance_of
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Budget, Fault, Measurement
from crankpath.engine.physics.battery import internal_resistance, rating_resistance
from crankpath.engine.physics.legs import LegSplit, joint_watts, leg_resistance, split_leg
from crankpath.engine.physics.motor import speed_at

_CLEAR = 3.0  # standard deviations below the cable as built that are said aloud


@dataclass(frozen=True, slots=True)
class LegReport:
    """One leg that was read while the complaint showed.

    measurement: the reading of the leg. drop: V. amperes: the current of the crank, A, or
    None. ohms: drop / current. split: the drop as built and in excess, V. watts: heat of the
    excess, or of the whole leg where there is no split. limits: upper limits between the
    bands in force, V, and because: where they come from. remark: what the split still needs,
    or that it cannot be right.
    """

    measurement: str
    drop: float
    amperes: float | None
    ohms: float | None
    split: LegSplit | None
    watts: float | None
    limits: tuple[float, ...]
    because: str
    remark: str | None


@dataclass(frozen=True, slots=True)
class RepairGain:
    """What a repair gives back at least.

    volts: at the motor, V. speed: at the crankshaft, rpm, at least; None if it cannot be told.
    missing: what it still needs, a sentence each.
    """

    repair: str
    volts: float | None
    speed: float | None
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BatteryReport:
    """What the bank loses inside itself.

    ohms: internal resistance, from its voltage at rest and under the current of the crank. rated: what a
    full bank has that just meets its rating at this temperature, ohm; None where either is not told.
    """

    ohms: float
    rated: float | None


def battery_report(assessment: Assessment) -> BatteryReport | None:
    """The bank's internal resistance, where it was read at rest and in the crank, with the current."""
    kb, read, values = assessment.model.kb, _read_now(assessment), assessment.now.facts.values
    budget = kb.about.budget
    if budget is None:
        return None
    rest, loaded = read.get(budget.rested or ""), read.get(budget.loaded)
    amperes = read.get(budget.current)
    if loaded is None or rest is None or amperes is None or amperes <= 0.0 or loaded > rest:
        return None
    degrees = next((fact.id for fact in kb.equipment.values() if fact.unit == "degC"), None)
    cca, degc, volts = (values.get(name or "") for name in (budget.rating, degrees, kb.about.system))
    rated = None
    if isinstance(cca, (int, float)) and isinstance(degc, (int, float)) and isinstance(volts, (int, float)):
        rated = rating_resistance(cca, degc) * volts / 12.0
    return BatteryReport(internal_resistance(rest, loaded, amperes), rated)


def sound_reading(assessment: Assessment, name: str) -> float | None:
    """What a reading shows in the middle on this machine when nothing is wrong; None for no meter reading."""
    if name not in assessment.model.measurements:
        return None
    table = assessment.model.table(name, assessment.now.facts)
    return expected(table.healthy, table.scale).middle if isinstance(table, MeterTable) else None


def leg_splits(assessment: Assessment) -> tuple[LegReport, ...]:
    """A report for each leg read in the present state of the machine, symptom present."""
    budget, read = assessment.model.kb.about.budget, _read_now(assessment)
    legs = (budget.there.reading, budget.back.reading) if budget else ()
    here = [assessment.model.measurements[leg] for leg in legs if leg in read]
    return tuple(_leg(assessment, leg, read[leg.id], read) for leg in here)


def _read_now(assessment: Assessment) -> dict[str, float]:
    return {
        taken.measurement.id: float(taken.value)
        for taken in assessment.taken
        if taken.repair_epoch == assessment.repair_epoch
        and taken.symptom
        and not isinstance(taken.value, str)
        and math.isfinite(taken.value)
    }


def _amperes(assessment: Assessment, read: dict[str, float]) -> float | None:
    budget = assessment.model.kb.about.budget
    return read.get(budget.current) if budget else None


def _leg(assessment: Assessment, leg: Measurement, drop: float, read: dict[str, float]) -> LegReport:
    facts = assessment.now.facts
    limits, because = limits_in_force(leg, facts), limit_set_in_force(leg, facts).because
    amperes = _amperes(assessment, read)
    cable = _as_built(assessment, leg, facts)
    missing = _missing(assessment, leg, amperes, cable)
    if amperes is None or amperes <= 0.0:
        return LegReport(leg.id, drop, amperes, None, None, None, limits, because, missing)
    ohms = leg_resistance(drop, amperes)
    split = None if cable is None else split_leg(drop, amperes, cable)
    watts = joint_watts(drop if split is None else max(0.0, split.excess), amperes)
    if split is not None and split.excess < -_CLEAR * leg.error.at(split.as_built):
        missing = (
            f"The {_run(leg)} as stated drops {split.as_built:.2f} V at that current, more than was "
            "read; check its gauge and length, and the current."
        )
    return LegReport(leg.id, drop, amperes, ohms, split, watts, limits, because, missing)


def _run(measurement: Measurement) -> str:
    """The run that a reading belongs to, by the machine fact that counts what lies side by side."""
    return (measurement.parallel or "").removesuffix("s").replace("_", " ")


def _as_built(assessment: Assessment, measurement: Measurement, facts: Facts) -> float | None:
    for fact in assessment.model.kb.equipment.values():
        for run in fact.runs:
            ohms = facts.values.get(resistance_of(fact.id, run))
            if measurement.parallel == f"{run}_{fact.id}" and isinstance(ohms, (int, float)):
                return float(ohms)
    return None


def _missing(
    assessment: Assessment, leg: Measurement, amperes: float | None, cable: float | None
) -> str | None:
    needed = []
    if amperes is None:
        kb = assessment.model.kb
        current = kb.measurements.get(kb.about.budget.current if kb.about.budget else "")
        needed.append(f"{current.label if current else 'the current'}, read in the same {kb.about.one_try}")
    if cable is None:
        needed.append(f"gauge and length of the {_run(leg)}")
    if needed:
        return f"To split {leg.label} into {_run(leg)} and joints, give {' and '.join(needed)}."
    if amperes is not None and amperes <= 0.0:
        return "No current flows, so the drop tells nothing about the leg."
    return None


def repair_gain(assessment: Assessment, repair: str) -> RepairGain:
    """Volts and speed that a repair gives back at least.

    The reading that proves the repair tells the loss: all of it at a joint, what exceeds the
    cable as built in a cable or leg. Speed follows the motor's line, speed ~ V - I * R; R is
    not known, and R = 0 gives the least that can come back.

    Args:
        assessment: the readings; of the faults the repair cures the likeliest whose proof was
            read counts.
        repair: its id.
    """
    read = _read_now(assessment)
    cured = [f for f in assessment.model.faults.values() if f.repair == repair]
    proof = _proof(assessment, cured, read)
    if proof is None:
        return RepairGain(repair, None, None, (_proof_missing(assessment, cured),))
    volts, missing = _loss(assessment, proof, read)
    if volts is None:
        return RepairGain(repair, None, None, missing)
    kb = assessment.model.kb
    budget = kb.about.budget
    if budget is None or budget.speed is None:
        return RepairGain(repair, volts, None, missing)
    speed, motor = read.get(budget.speed), _load_volts(budget, read)
    for value, name in ((speed, budget.speed), (motor, budget.load.reading)):
        if value is None and name in kb.measurements:
            needed = f"{kb.measurements[name].label}, read in the same {kb.about.one_try}"
            missing += (f"The speed that comes back needs {needed}.",)
    if speed is None or motor is None or motor <= 0.0:
        return RepairGain(repair, volts, None, missing)
    return RepairGain(repair, volts, speed_at(speed, motor, 0.0, 0.0, motor + volts) - speed, missing)


def _proof(assessment: Assessment, cured: list[Fault], read: dict[str, float]) -> Measurement | None:
    """The proving reading of a fault, if it is a loss under current and was taken."""
    measurements = assessment.model.measurements
    chances = assessment.posterior.fault_marginals()
    for fault in sorted(cured, key=lambda f: (-chances.get(f.id, 0.0), f.id)):
        if fault.proof in read and _is_loss(measurements[fault.proof]):
            return measurements[fault.proof]
    return None


def _is_loss(measurement: Measurement) -> bool:
    return measurement.unit == "V" and measurement.combination == "adds"


def _proof_missing(assessment: Assessment, cured: list[Fault]) -> str:
    measurements = assessment.model.measurements
    drops = {f.proof for f in cured if f.proof in measurements and _is_loss(measurements[f.proof])}
    if not drops:
        return "No drop tells what this repair gives back."
    labels = " or ".join(sorted(measurements[name].label for name in drops))
    return f"What this repair gives back needs {labels}, read while the complaint shows."


def _loss(
    assessment: Assessment, proof: Measurement, read: dict[str, float]
) -> tuple[float | None, tuple[str, ...]]:
    """Volts lost at the fault's place beyond what a sound one drops."""
    if proof.parallel is None:
        return read[proof.id], ()
    amperes = _amperes(assessment, read)
    cable = _as_built(assessment, proof, assessment.now.facts)
    missing = _missing(assessment, proof, amperes, cable)
    if amperes is None or cable is None or missing is not None:
        return None, () if missing is None else (missing,)
    return max(0.0, read[proof.id] - amperes * cable), ()


def _load_volts(budget: Budget, read: dict[str, float]) -> float | None:
    """V at what the current is for: as read, or what the source leaves for it, less what stands before it."""
    volts = read.get(budget.load.reading)
    legs = [read.get(part.reading) for part in (budget.there, budget.back)]
    if volts is None and budget.loaded in read and None not in legs:
        volts = read[budget.loaded] - sum(leg or 0.0 for leg in legs)
    if volts is None:
        return None
    return volts - (read.get(budget.inner.reading, 0.0) if budget.inner else 0.0)
