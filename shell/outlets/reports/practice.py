"""Practice on a hidden machine, as lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from crankpath.engine.knowledge.records import Knowledge, Measurement
from crankpath.engine.trials.practice import Practice, PracticeResult, ShownReading
from crankpath.shell.outlets.reports.words import factor
from crankpath.shell.text.columns import wrapped

_HELP = (
    "Type the name of a reading to take it (list shows them), cause NAME to name the cause and end, "
    "faults to see what can be named, minutes for the time so far, quit to give up."
)


def help_lines(width: int) -> list[str]:
    """What can be typed."""
    return list(wrapped(_HELP, width))


def opening(practice: Practice, width: int) -> Iterator[str]:
    """What the operator tells, and how to go on."""
    kb = practice.kb
    known = ", ".join(
        f"{_label(kb, n)} {_plain(v)}" for n, v in practice.case.equipment.items() if n in kb.equipment
    )
    yield from wrapped(f"The machine:  {known}.", width)
    complaint = practice.case.assessment.model.symptoms[0]
    does = display(complaint, practice.behaviour)
    often = "on some tries" if practice.case.assessment.intermittent else "at every try"
    yield from wrapped(f"{complaint.label.capitalize()}, {often}: {does}.", width)
    yield from help_lines(width)


def _label(kb: Knowledge, name: str) -> str:
    return kb.equipment[name].label


def _plain(value: object) -> str:
    return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)


def display(measurement: Measurement, value: float | str) -> str:
    """A value as the meter or the eye gives it.

    >>> from types import SimpleNamespace
    >>> display(SimpleNamespace(unit="V", band_labels={}), 0.0312)
    '0.031 V'
    """
    if isinstance(value, str):
        labels: Mapping[str, str] = measurement.band_labels
        return labels.get(value, value.replace("_", " "))
    digits = 3 if abs(value) < 2 else 2 if abs(value) < 100 else 0
    return f"{value:.{digits}f} {measurement.unit}"


def reading(kb: Knowledge, shown: ShownReading, width: int) -> Iterator[str]:
    """One reading as the learner sees it."""
    measurement = kb.measurements[shown.measurement]
    if shown.value is None:
        yield from wrapped(f"{measurement.label}: cannot be taken here.", width)
        return
    away = "" if shown.symptom else f" - and it {kb.about.went_well} while you read"
    text = f"{measurement.label}: {display(measurement, shown.value)}{away} ({shown.minutes:g} min)"
    yield from wrapped(text, width)


def ending(kb: Knowledge, told: PracticeResult, width: int) -> Iterator[str]:
    """The truth, where the minutes went, what the advice would have done, and why."""
    truth = " and ".join(kb.faults[fault].label for fault in told.truth)
    repair = kb.repairs[kb.faults[told.named].repair].label
    yield from wrapped(f"{'Right' if told.right else 'Wrong'}: it was {truth}. You named {repair}.", width)
    yield f"Minutes on readings: {told.minutes:g}"
    for shown in sorted(told.shown, key=lambda s: -s.minutes)[:5]:
        yield from wrapped(f"{shown.minutes:>5g}  {kb.measurements[shown.measurement].label}", width, "  ")
    advice = told.advice
    spent = f"{advice.minutes_before:.0f} minutes" if advice.cured else "no cure"
    yield from wrapped(f"The advice would have taken {len(advice.readings)} readings ({spent}):", width)
    for name, value in advice.readings:
        yield from wrapped(f"{kb.measurements[name].label}: {_short(value)}", width, "  ")
    if advice.first_repair is not None:
        right = "right" if advice.first_right else "wrong"
        yield from wrapped(f"then: {kb.repairs[advice.first_repair].label} ({right})", width, "  ")
    yield from wrapped("What your own readings said of the true cause:", width)
    for reason in told.reasons[:6]:
        label = kb.measurements[reason.measurement].label if reason.measurement else "outcome of a repair"
        because = f". {reason.because}" if reason.because else ""
        yield from wrapped(f"{label} {reason.text}: {factor(reason.factor)}{because}", width, "  ")


def _short(value: str) -> str:
    try:
        return f"{float(value):.3g}"
    except ValueError:
        return value.replace("_", " ")
