"""What can be completed in a case: the words of its commands, readings, causes and the answers awaited."""

from __future__ import annotations

from crankpath.shell.session.commands.table import COMMANDS
from crankpath.shell.session.input.completion import Vocabulary
from crankpath.shell.session.input.guesses import when_facts
from crankpath.shell.session.questions import (
    AskClose,
    AskCranks,
    AskCured,
    AskFailing,
    AskReading,
    AskRepair,
    AskWhen,
    Question,
)
from crankpath.shell.session.state import CaseState

_FOLLOWS = {
    "?": "readings", "why": "both", "can't": "readings", "skip": "readings", "if": "readings",
    "draw": "readings", "machine": "facts", "without": "tools", "with": "tools", "done": "repairs",
    "send": "readings", "close": "causes",
}  # fmt: skip


def vocabulary(state: CaseState, asked: Question) -> Vocabulary:
    """Everything that can be completed at a question."""
    kb = state.kb
    readings = tuple(m.short for m in state.case.assessment.model.measurements.values())
    causes = tuple(fault.label for fault in state.case.assessment.model.faults.values())
    facts = tuple(
        f"{fact.label} {str(value).lower()}" for fact in kb.equipment.values() for value in fact.values
    )
    return Vocabulary(
        commands={command.word: _FOLLOWS.get(command.word, "") for command in COMMANDS},
        answers=_answers(state, asked),
        names={
            "readings": readings,
            "both": (*readings, *causes),
            "causes": causes,
            "facts": facts,
            "tools": tuple(tool.label for tool in kb.tools.values()),
            "repairs": tuple(repair.label for repair in kb.repairs.values()),
        },
    )


def _answers(state: CaseState, asked: Question) -> tuple[str, ...]:
    match asked:
        case AskReading(measurement=name) if not state.kb.measurements[name].numeric:
            return tuple(band.replace("_", " ") for band in state.kb.measurements[name].choices)
        case AskRepair() | AskClose():
            return ("done",)
        case AskFailing() | AskCured():
            return ("yes", "no")
        case AskCranks():
            return ("good", "failed")
        case AskWhen():
            return tuple(fact.label for fact in when_facts(state.kb))
        case _:
            return ()
