"""An input as the answer to the question that was shown; None where it is something else."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from crankpath.engine.errors import EquipmentError
from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Knowledge
from crankpath.shell.outlets.reports.readings import value_words
from crankpath.shell.reader.reader import read_text
from crankpath.shell.session import questions as q
from crankpath.shell.session.input import guesses
from crankpath.shell.session.input.machine_words import ToldMachine, told_machine
from crankpath.shell.session.known_machines import profile
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.session.screens.repairing import faults_cured
from crankpath.shell.session.state import CaseState, asks_symptom
from crankpath.shell.store.records import Event
from crankpath.shell.text.clean import one_line
from crankpath.shell.text.columns import wrapped

YES: Final = frozenset(("y", "yes", "ok", "ja", "cured", "fixed"))
NO: Final = frozenset(("n", "no", "not", "not cured", "nope"))
_LONGEST_NAME: Final = 40  # letters of a machine's name
_NOT_FAILED: Final = re.compile(r"(?:it )?(?:has|have|had|did|does)(?: not|n't)(?: yet)? fail|no failure")
_WAITING: Final = (
    "Type the next failure in one line. Until then good 3 counts good tries, and watch until 2031-05-04 says "
    "that it has not failed here and when to look again. can't or skip asks for something else."
)
DONE: Final = frozenset(("done", "ok", "ready", "safe", "y", "yes", ""))


def answer(scene: Scene, typed: str) -> Outcome | None:  # noqa: C901
    """What the line answers; only what can be nothing but an answer is taken."""
    state, line = scene.state, typed.strip()
    word = line.lower().rstrip(".!")
    match scene.asked:
        case q.AskComplaint():
            return _opened(scene, line)
        case q.AskMachine():
            return _machine(scene, line)
        case q.AskWhen():
            return _when(state, word)
        case q.AskFailing(event=event) if word in YES | NO | {"failed", "failing", "away"}:
            symptom = word in YES or word.startswith("fail")
            return _told(state.of_one_crank(event), symptom)
        case q.AskSafe(measurement=act, cautions=cautions) | q.AskCautions(repair=act, cautions=cautions):
            if not line:
                return Outcome(writes=cautions_seen(act, cautions))
            return refused("   Not taken. Read this first and press Enter; then type it again.")
        case q.AskReading(measurement=measurement) if _hides(state, measurement) and word.startswith("good"):
            return _good_cranks(word, waiting=True)
        case q.AskReading(purpose="watch") if not word or _NOT_FAILED.match(word):
            return refused(*wrapped(_WAITING, scene.width, "   "))
        case q.AskReading(measurement=measurement) if not word:
            return _passed_over(state, measurement)
        case q.AskRepair(repair=repair) if word in YES:
            return Outcome(writes=(Write("repaired", {"repair": repair, "cured": None}),))
        case q.AskRepair() if word in NO | {""}:
            return refused("   Type done when the repair is made, or name a reading to take instead.")
        case q.AskCured(repair=repair) if word in YES | NO:
            return Outcome(writes=(Write("repaired", {"repair": repair, "cured": word in YES}),))
        case q.AskCranks(repair=repair):
            return _cranks(repair, word)
        case q.AskStuck() if not word:
            again = state.case.verdict().measurement
            return Outcome(choose=again) if again else refused("   Name a reading, or type close.")
        case q.AskClose() if word in DONE | {"close"}:
            return closing(state)
        case _:
            return None


def _opened(scene: Scene, line: str) -> Outcome:
    """The complaint; a line that names the machine before a colon tells of the machine as well."""
    kb = scene.state.kb
    name, _, rest = line.partition(":")
    pieces = [piece.strip() for piece in re.split(r"[;,]", rest) if piece.strip()]
    of_machine = [piece for piece in pieces if _tells_of_machine(kb, piece)]
    named = bool(of_machine) or any(sign.isdecimal() for sign in name)
    if not pieces or not named or len(name) > _LONGEST_NAME:
        return Outcome(writes=(Write("complaint", {"text": one_line(line)}),))
    machine = machine_told(scene, told_machine(kb, f"{name}: {', '.join(of_machine)}"), line)
    said = ", ".join(piece for piece in pieces if piece not in of_machine)
    told_of = {m.id for m in kb.measurements.values() if {SYMPTOM_KIND, HISTORY_KIND} & set(m.kinds)}
    taken = [p for p in read_text(said, kb).taken if p.measurement in told_of]
    shown = "; ".join(value_words(kb.measurements[p.measurement], p.text) for p in taken)
    lines = wrapped(f"Taken: {shown}. back takes it back.", scene.width, "-- ", "   ") if shown else []
    readings = ({"measurement": p.measurement, "text": p.text, "symptom": None} for p in taken)
    writes = (Write("complaint", {"text": one_line(said)}), *machine.writes)
    return replace(
        machine,
        lines=(*machine.lines, *lines),
        writes=(*writes, *(Write("reading", body) for body in readings)),
    )


def _tells_of_machine(kb: Knowledge, piece: str) -> bool:
    """True for "24 V"; when a complaint shows is no fact of the machine."""
    try:
        facts = told_machine(kb, f": {piece}").facts
    except EquipmentError:
        return False
    return not facts.keys() <= {fact.id for fact in guesses.when_facts(kb)}


def _told(events: Sequence[Event], symptom: bool) -> Outcome:
    """Readings of one crank entered again with whether it failed."""
    again = [Write("reading", dict(event.body) | {"symptom": symptom}) for event in events]
    return Outcome(writes=(*again, *(Write("taken_back", {"event": event.id}) for event in events)))


def cautions_seen(act: str, cautions: tuple[str, ...]) -> tuple[Write, ...]:
    """Entries saying that cautions were seen before a reading or a repair."""
    return tuple(Write("caution_shown", {"caution": caution, "act": act}) for caution in cautions)


def closing(state: CaseState) -> Outcome:
    """The case closed, with the faults that the repairs cured."""
    return Outcome(writes=(Write("closed", {"causes": list(faults_cured(state))}),))


def _passed_over(state: CaseState, measurement: str) -> Outcome:
    m = state.kb.measurements[measurement]
    if {SYMPTOM_KIND, HISTORY_KIND} & set(m.kinds):
        if guesses.guess_for(state.case, state.complaint, measurement) is not None:
            return refused("   Type y if that is so, or the number of what it is.")
        if not state.case.assessment.repairs:
            return Outcome(writes=(Write("skip", {"measurement": measurement}),))
    return refused("   Type the reading, can't or skip; ? tells how to take it.")


def _machine(scene: Scene, line: str) -> Outcome | None:
    if line.lower() in DONE:
        return Outcome(writes=(Write("equipment", {"facts": {}, "asked": "machine"}),))
    if line.startswith("?"):
        return None
    try:
        told = told_machine(scene.state.kb, line)
    except EquipmentError as slip:
        return refused(f"? {slip}")
    return machine_told(scene, told, line)


def machine_told(scene: Scene, told: ToldMachine, line: str) -> Outcome:
    """Facts of the machine as an entry; a name that is known brings what was told of it before."""
    kb = scene.state.kb
    told = replace(told, name=one_line(told.name, 80))  # as it is kept, and so looked for
    known = profile(scene.shelf, told.name, kb, scene.state.id) if told.name else None
    facts = {**(known or {}), **told.facts}
    for fact in kb.equipment.values():
        if fact.runs and isinstance(told.facts.get(fact.id), dict):
            facts[fact.id] = {**(scene.state.told.get(fact.id) or {}), **told.facts[fact.id]}
    lines = [f"? Not understood: {one_line(piece, 60)}" for piece in told.unknown]
    said = ", ".join(guesses.fact_words(kb.equipment[fact], value) for fact, value in told.facts.items())
    lines += wrapped(f"Of the machine: {said}.", scene.width, "-- ", "   ") if said else []
    if told.name and known is None:
        lines.append(f"-- {one_line(told.name, 60)} is new here; its facts are kept for its next case.")
    elif known is not None:
        lines.append(f"-- {one_line(told.name, 60)}: as entered before.")
    if not facts and not told.name:
        return refused(*lines, "   ? lists what you can say about a machine.")
    body = {"facts": facts, "asked": "machine"} | ({"machine": told.name} if told.name else {})
    return Outcome(lines=tuple(lines), writes=(Write("equipment", body),))


def _when(state: CaseState, word: str) -> Outcome | None:
    if word in NO | {"", "unknown", "none", "any time", "always"}:
        return Outcome(writes=(Write("equipment", {"facts": {}, "asked": "when"}),))
    guessed = guesses.guess_when(state.kb, state.complaint)
    told = guessed if word in YES and guessed else guesses.told_when(state.kb, word)
    if told is None:
        return None
    return Outcome(writes=(Write("equipment", {"facts": told, "asked": "when"}),))


def _hides(state: CaseState, measurement: str) -> bool:
    """True where a good crank is worth counting: a fault that comes and goes, read while cranking."""
    return state.kb.measurements[measurement].numeric and asks_symptom(state.case, measurement)


def _good_cranks(word: str, waiting: bool = False) -> Outcome | None:
    good = _GOOD.fullmatch(word)
    count = int(good[1] or 1) if good else 0
    body = {"failures": 0, "of": count} | ({"waiting": True} if waiting else {})
    return Outcome(writes=(Write("tries", body),)) if count else None


_FAILED: Final = frozenset(("failed", "fail", "bad", "it failed", "n"))
_GOOD: Final = re.compile(r"(?:good\s*)?(\d{1,4})(?:\s*good)?|good|y|ok", re.IGNORECASE)


def _cranks(repair: str, word: str) -> Outcome | None:
    if word in _FAILED:
        return Outcome(writes=(Write("tries", {"failures": 1, "of": 1}),
                               Write("repaired", {"repair": repair, "cured": False})))  # fmt: skip
    return _good_cranks(word)
