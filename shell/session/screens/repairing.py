"""The screens from the verdict to the proof of a repair."""

from __future__ import annotations

from crankpath.engine.advice.root_causes import cured_faults
from crankpath.engine.cases.case import Case
from crankpath.shell.outlets.reports.readings import gain_sentence, value_words
from crankpath.shell.outlets.reports.words import holds_for, percent
from crankpath.shell.session.questions import AskCranks, session_proof
from crankpath.shell.session.screens.figures import limit_words
from crankpath.shell.session.screens.fitting import ScreenPart, always
from crankpath.shell.session.screens.wording import INDENT, head, say
from crankpath.shell.session.state import CaseState
from crankpath.shell.text.columns import wrapped


def repair_parts(state: CaseState, repair_id: str, width: int) -> list[ScreenPart]:
    """The parts of the screen that names a repair."""
    case, kb = state.case, state.kb
    repair = kb.repairs[repair_id]
    verdict = case.verdict()
    mine = verdict.repair == repair_id and verdict.action == "repair"
    faults = (
        verdict.faults[:2] if mine else tuple(f.id for f in kb.faults.values() if f.repair == repair_id)[:1]
    )
    sure = f", {percent(verdict.probability)}" if mine else ""
    causes = " or ".join(kb.faults[f].label for f in faults)
    proven = verdict.probability >= kb.settings["proven_at"] if mine else True
    standing = "" if proven else "Not proven, but no reading left is worth its time. "
    told = [line for f in faults[:1] for line in evidence(case, f, width)] if mine else []
    gone = ruled_out_lines(case, width) if mine else []
    ids = case.guard.cautions_of_repair(repair, faults)
    return [
        always(head(f"REPAIR: {repair.label} ({repair.minutes:g} min)", width)),
        ScreenPart(tuple(say(f"{standing}Cause: {causes}{sure}.", width)), 90),
        ScreenPart(tuple(line for said in gain_sentence(case, repair_id) for line in say(said, width)), 85),
        ScreenPart(tuple(told), 70, tuple(told[:3])),
        ScreenPart(tuple(gone), 60, tuple(gone[:3])),
        ScreenPart(tuple(say(f"{len(ids)} cautions seen; ? shows them again.", width)), 65),
        ScreenPart(tuple(say(_after(case, repair_id), width)), 80),
        always(say("Type done when the repair is finished, or give one more reading.", width)),
    ]


def _after(case: Case, repair: str) -> str:
    m = session_proof(case, repair)
    if m is None:
        return "Proof afterwards: it works as it should."
    limit = limit_words(m, case.advisor.facts_repaired)
    return f"Proof afterwards: {m.label}{f', {limit}' if limit else ''}."


def evidence(case: Case, fault: str, width: int, most: int = 3) -> list[str]:
    """The readings that speak loudest for a cause."""
    lines = []
    for reason in [r for r in case.why(fault) if r.factor > 1.15][:most]:
        name = (
            case.kb.measurements[reason.measurement].label if reason.measurement else "outcome of the repair"
        )
        times = (
            "over 1000"
            if reason.factor >= 1000
            else f"{reason.factor:.0f}"
            if reason.factor >= 10
            else f"{reason.factor:.2g}"
        )
        said = (
            value_words(case.kb.measurements[reason.measurement], reason.text)
            if reason.measurement
            else reason.text
        )
        lines += wrapped(f"for it: {name} {said} ({times} times likelier)", width, INDENT, INDENT + "  ")
    return lines


def ruled_out_lines(case: Case, width: int, most: int = 3) -> list[str]:
    """Faults that the readings ruled out, and by which."""
    lines = []
    for gone in case.ruled_out()[:most]:
        m = case.kb.measurements[gone.by.measurement] if gone.by.measurement else None
        by = f"{m.label} {value_words(m, gone.by.text)}" if m else "the repair"
        lines += wrapped(
            f"ruled out: {case.kb.faults[gone.fault].label}, by {by}", width, INDENT, INDENT + "  "
        )
    return lines


def ask_cured(state: CaseState, width: int) -> list[str]:
    """Is it cured?"""
    case = state.case
    proof = case.crank_proof()
    if proof is None:
        return [*head("Does it work as it should now?", width),
                *say("y cured, n the complaint is still there.", width)]  # fmt: skip
    if case.assessment.failed_again:
        return [
            *head("It failed again. Not cured?", width),
            *say("n goes on looking, y it is cured all the same.", width),
        ]
    rate = holds_for(proof).removeprefix("enough ")
    level, tries = state.kb.settings["proof_level"], state.kb.about.tries
    return [
        *head(f"{case.assessment.tries[1]} good {tries} in a row: the repair is proven.", width),
        *say(f"The chance that it is not fixed is below {100 * level:g} %, {rate}.", width),
        *say("y cured, n not.", width),
    ]


def cranks(state: CaseState, asked: AskCranks, width: int) -> list[str]:
    """How many more good cranks, and why that number."""
    proof = asked.needed
    left, rate = proof.cranks - asked.good, holds_for(proof).removeprefix("enough ")
    seen = f"{proof.failures} of {proof.of} tries failed" if proof.of else "nobody counted the tries"
    return [
        *head(f"Keep trying: {asked.good} good in a row, {left} more to go", width),
        *say(f"Before the repair {seen}. After {proof.cranks} good ones in a row the chance that it is not "
             f"fixed is below {100 * state.kb.settings['proof_level']:g} %, {rate}.", width),
        *say("Type how many were good (5), or failed. Try it hot, wet, shaken: as it used to fail.", width),
    ]  # fmt: skip


def faults_cured(state: CaseState) -> tuple[str, ...]:
    """What is confirmed when the case is closed now: the faults the repairs cured."""
    done = [r.repair for r in state.case.assessment.repairs if r.cured]
    return tuple(dict.fromkeys(f for repair in done for f in cured_faults(state.case.assessment, repair)))
