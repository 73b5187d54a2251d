"""A whole case as plain data, for JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from crankpath.engine.advice.explain import Prediction, Reason
from crankpath.engine.cases.case import Case
from crankpath.engine.inference.pooled_readings import PooledReading
from crankpath.shell.outlets.reports.diagnosis import remarks, repair_sentence, shown_causes


def diagnosis_data(case: Case) -> dict[str, Any]:
    """Readings, causes with reasons, suggestions, verdict, warnings; every number unrounded."""
    verdict = case.verdict()
    explained = {cause.fault for cause in shown_causes(case)}
    return {
        "stops": list(case.stops()),
        "knowledge": case.kb.version,
        "equipment": dict(case.equipment),
        "readings": [_pooled(taken) for taken in case.assessment.taken],
        "repair": repair_sentence(case),
        "causes": [
            {
                "fault": cause.fault,
                "repair": cause.repair,
                "probability": cause.probability,
                "reasons": [_reason(r) for r in case.why(cause.fault)] if cause.fault in explained else [],
            }
            for cause in case.causes()
        ],
        "left_out_at_most": case.causes()[0].bound,
        "suggestions": [
            {"measurement": s.measurement, "minutes": s.minutes, "bits": s.bits, "saves": s.saves}
            for s in case.suggestions()
        ],
        "verdict": {
            "action": verdict.action,
            "measurement": verdict.measurement,
            "repair": verdict.repair,
            "faults": list(verdict.faults),
            "probability": verdict.probability,
            "because": verdict.because,
            "prepares": verdict.prepares,
            "together": list(verdict.together),
            "expect": [_expected(p) for p in case.predictions(verdict.measurement)]
            if verdict.measurement is not None
            else [],
        },
        "progress": asdict(case.progress()),
        "circuit": _circuit(case),
        "warnings": remarks(case),
    }


def _circuit(case: Case) -> dict[str, Any]:
    """Legs split into cable and joints (V, A, ohm, W), the battery (ohm), what the advised repair gives."""
    battery, gain = case.battery_report(), case.repair_gain()
    return {
        "legs": [asdict(leg) for leg in case.leg_splits()],
        "battery": None if battery is None else asdict(battery),
        "repair_gain": None if gain is None else asdict(gain),
    }


def _pooled(taken: PooledReading) -> dict[str, Any]:
    return {
        "measurement": taken.measurement.id,
        "value": taken.value,
        "unit": taken.measurement.unit,
        "standard_deviation": taken.sd,
        "symptom": taken.symptom,
        "repairs_before": taken.repair_epoch,
        "takes": [take.text for take in taken.readings],
        "set_aside": [take.text for take in taken.set_aside],
    }


def _expected(said: Prediction) -> dict[str, Any]:
    """What a cause would make the next reading show: a range in its unit, or chances of its values."""
    if said.expected is None:
        return {"fault": said.fault, "chances": dict(said.chances)}
    return {"fault": said.fault, **asdict(said.expected)}


def _reason(reason: Reason) -> dict[str, Any]:
    return {
        "measurement": reason.measurement,
        "read": reason.text,
        "band": reason.band,
        "symptom": reason.symptom,
        "factor": reason.factor,
        "rule": reason.rule,
        "because": reason.because,
        "sources": list(reason.sources),
        "at": None if reason.origin is None else str(reason.origin),
    }
