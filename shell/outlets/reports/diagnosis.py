"""A whole case as text: causes, what speaks for each, next readings, verdict, warnings."""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.advice.advisor import Verdict
from crankpath.engine.advice.explain import Reason
from crankpath.engine.cases.case import Case, Cause
from crankpath.engine.inference.conflict import Residual
from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.outlets.reports.readings import circuit_sentences, prediction_words
from crankpath.shell.outlets.reports.words import (
    NOT_LISTED,
    bar,
    capital,
    factor,
    fault_label,
    left_words,
    percent,
)
from crankpath.shell.text.columns import wrapped

LEAST_CHANCE = 0.02
MOST_CAUSES = 5
MOST_REASONS = 3
MOST_SUGGESTIONS = 4


def diagnosis(case: Case, width: int = 80) -> list[str]:
    """Lines of the report, none wider than ``width``."""
    lines: list[str] = []
    parts = (
        _warnings(case, width), _causes(case, width), _circuit(case, width), _next(case, width),
        _verdict(case, width),
    )  # fmt: skip
    for part in parts:
        block = list(part)
        if block:
            lines += [*block, ""]
    return lines[:-1]


def shown_causes(case: Case) -> list[Cause]:
    """The causes worth showing: likely ones, and always the first."""
    causes = case.causes()
    likely = [cause for cause in causes[:MOST_CAUSES] if cause.probability >= LEAST_CHANCE]
    return likely or causes[:1]


def _causes(case: Case, width: int) -> Iterator[str]:
    yield "Causes, likeliest first"
    told: set[str] = set()
    for cause in shown_causes(case):
        label = fault_label(case.kb, cause.fault)
        yield from wrapped(label, width, f"  {percent(cause.probability):>6} {bar(cause.probability, 10)} ")
        for reason in _telling(case, cause):
            yield from _reason(case, reason, width, told)


def _telling(case: Case, cause: Cause) -> list[Reason]:
    reasons = case.why(cause.fault)
    return [r for r in reasons if not 1 / 1.15 < r.factor < 1.15][:MOST_REASONS]


def _reason(case: Case, reason: Reason, width: int, told: set[str]) -> Iterator[str]:
    indent = " " * 9
    label = case.kb.measurements[reason.measurement].label if reason.measurement else "outcome of the repair"
    away = "" if reason.symptom else ", symptom away"
    text = f"{label} {reason.text}{away}: {factor(reason.factor)}"
    if reason.rule in told:
        text += f" [{reason.rule}]"
    elif reason.rule is not None:
        told.add(reason.rule)
        sources = f"; {', '.join(reason.sources)}" if reason.sources else ""
        text += f". {reason.because} [{reason.rule}{sources}]"
    yield from wrapped(text, width, f"{indent}{'+' if reason.factor > 1 else '-'} ")


def _circuit(case: Case, width: int) -> Iterator[str]:
    said = list(circuit_sentences(case))
    if said:
        yield "What the circuit's arithmetic says"
    for sentence in said:
        yield from wrapped(sentence, width, "  ", "    ")


def _next(case: Case, width: int) -> Iterator[str]:
    telling = [s for s in case.suggestions() if s.bits >= case.kb.settings["bits_floor"]][:MOST_SUGGESTIONS]
    if not telling:
        return
    yield "Readings worth taking next"
    for suggestion in telling:
        label = case.kb.measurements[suggestion.measurement].label
        saves = round(suggestion.saves)
        figures = f"{suggestion.minutes:g} min, {suggestion.bits:.2f} bits, saves {saves:+d} min"
        yield from wrapped(f"{label} ({suggestion.measurement}): {figures}", width, "  ")
        if suggestion is telling[0]:
            yield from _predictions(case, suggestion.measurement, width)


def _predictions(case: Case, measurement: str, width: int) -> Iterator[str]:
    predictions = case.predictions(measurement)
    if predictions:
        yield "      Expect, if the cause is:"
    for prediction in predictions:
        label = fault_label(case.kb, prediction.fault)
        said = prediction_words(case.kb.measurements[measurement], prediction)
        yield from wrapped(f"{label}: {said}", width, "        ", "          ")


def _verdict(case: Case, width: int) -> Iterator[str]:
    verdict = case.verdict()
    yield from wrapped(verdict_sentence(case, verdict), width, "Verdict: ")
    left = left_words(case.progress()) if repair_sentence(case) is None else ""
    if left:
        yield from wrapped(f"To a repair: {left}.", width, "  ")
    if verdict.action == "repair" and verdict.repair is not None and repair_sentence(case) is None:
        repair = case.kb.repairs[verdict.repair]
        for caution in case.guard.cautions_of_repair(repair, verdict.faults[:2]):
            yield from wrapped(case.kb.cautions[caution].text, width, "  CAUTION ")
        proof = _proof(case, verdict)
        if proof:
            yield from wrapped(proof, width, "  ")
        for gone in case.ruled_out()[:MOST_CAUSES]:
            reading = case.kb.measurements[gone.by.measurement].label if gone.by.measurement else "the repair"
            label = fault_label(case.kb, gone.fault)
            yield from wrapped(f"ruled out: {label}, by {reading} {gone.by.text}", width, "  ")


def verdict_sentence(case: Case, verdict: Verdict) -> str:
    """The verdict in one sentence."""
    kb = case.kb
    done = repair_sentence(case)
    if done is not None and verdict.action != "stop":
        return done
    if verdict.action == "repair" and verdict.repair is not None:
        faults = " or ".join(kb.faults[fault].label for fault in verdict.faults[:2])
        chance = percent(verdict.probability)
        return f"repair. {kb.repairs[verdict.repair].label} ({faults}, {chance}). {_tail(verdict)}"
    if verdict.action == "measure" and verdict.measurement is not None:
        return f"measure. Take {kb.measurements[verdict.measurement].label} next. {_tail(verdict)}"
    if verdict.action == "watch":
        labels = " and ".join(kb.measurements[name].label for name in verdict.together)
        return f"watch. Leave connected until it fails, and note then: {labels}. {_tail(verdict)}"
    if verdict.action == "stop":
        return f"stop. {verdict.because}"
    because = capital(verdict.because)
    return f"stuck. {because} ({NOT_LISTED}: {percent(verdict.probability)})."


def repair_sentence(case: Case) -> str | None:
    """What is to be said of the last repair until something else is looked for; None where it failed."""
    repairs = case.assessment.repairs
    if not repairs or repairs[-1].cured is False:
        return None
    label = case.kb.repairs[repairs[-1].repair].label
    return f"cured by: {label}." if repairs[-1].cured else f"proof is due of: {label}."


def _tail(verdict: Verdict) -> str:
    text = verdict.because.split(": ", 1)[-1]
    return f"{capital(text)}."


def _proof(case: Case, verdict: Verdict) -> str | None:
    for fault in verdict.faults:
        proof = case.kb.faults[fault].proof
        here = case.assessment.model.measurements.get(proof or "")
        after = case.guard.after(case.kb.repairs[verdict.repair or case.kb.faults[fault].repair])
        if here is not None and not after.reading(here):
            return f"Proof after the repair: take {here.label} again."
    return None


def _warnings(case: Case, width: int) -> Iterator[str]:
    for text in remarks(case):
        yield from wrapped(text, width, "! ")


def remarks(case: Case) -> list[str]:
    """Everything that a person must see about the readings as they stand."""
    conflict = case.conflict()
    return [
        *case.warnings(),
        *_replaced(case),
        *_unloaded(case),
        *(_residual_sentence(case, residual) for residual in case.residuals()),
        *([] if conflict is None else [_conflict_sentence(case, conflict.clears)]),
    ]


def _replaced(case: Case) -> Iterator[str]:
    """Which takes were set aside, and for which."""
    for taken in case.assessment.taken:
        m = taken.measurement
        aside = " and ".join(take_words(m, take) for take in taken.set_aside)
        if aside:
            latest = take_words(m, taken.readings[-1])
            yield f"{m.label}: {aside} (set aside); {latest} was read later and stands."


def take_words(m: Measurement, take: Reading) -> str:
    """A take as typed; of an observation its words."""
    return take.text if m.numeric else m.band_labels.get(str(take.value), str(take.value).replace("_", " "))


def _unloaded(case: Case) -> list[str]:
    """Sentences for readings that were kept but not used."""
    return [
        f"{piece.taken.measurement.label} {piece.taken.readings[-1].text} was not used: {piece.why_not}."
        for piece in case.assessment.weighed
        if piece.taken is not None and piece.why_not is not None
    ]


def _residual_sentence(case: Case, residual: Residual) -> str:
    """A sum that does not add up, and the reading to take again."""
    whole, *others = residual.readings
    unit = whole.measurement.unit or ""
    parts = " + ".join(taken.measurement.label for taken in others)
    suspect = case.kb.measurements[residual.suspect].label
    if residual.most is not None:
        label, most = case.kb.measurements[residual.balance.whole].label, f"{residual.most:.3g} {unit}"
        return (
            f"{whole.measurement.label} + {parts} cannot both be true: together they are "
            f"{-residual.residual:.2g} {unit} above what {label} can be ({most}). Take {suspect} again."
        )
    off = f"{abs(residual.residual):.2g} {unit}"
    above = residual.balance.sort == "not_above"
    wrong = f"is above {parts} by {off}" if above else f"and {parts} do not fit: {off} out"
    return f"{whole.measurement.label} {wrong}. Take {suspect} again."


def _conflict_sentence(case: Case, clears: str | None) -> str:
    """A sentence on readings that contradict each other."""
    if clears is None:
        return "The readings contradict each other; take the ones that decide most again."
    label = case.kb.measurements[clears].label
    return f"The readings contradict each other; {label} is the one to take again."
