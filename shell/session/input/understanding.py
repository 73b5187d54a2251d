"""A typed line in a scene: what follows from it; a pure function, nothing is written here."""

from __future__ import annotations

from dataclasses import replace

from crankpath.engine.errors import EquipmentError
from crankpath.engine.likeness import SAME, nearest
from crankpath.engine.typed import names
from crankpath.shell.reader.reader import knows
from crankpath.shell.session.commands.table import COMMANDS, command_of
from crankpath.shell.session.input import guesses
from crankpath.shell.session.input.answers import NO, YES, answer, cautions_seen, machine_told
from crankpath.shell.session.input.machine_words import told_machine
from crankpath.shell.session.input.readings import readings
from crankpath.shell.session.outcome import Outcome, Pending, Scene, Write, refused
from crankpath.shell.session.questions import AskComplaint, AskMachine, AskReading, Finished
from crankpath.shell.text.clean import LONGEST, one_line
from crankpath.shell.text.columns import wrapped

_SHORTEST = 2  # letters of a word that is too short to be a misspelt one
_ANY_TIME = (
    "?",
    "cases",
    "import",
    "export",
    "reply",
)  # commands with something behind them, even where words are awaited


def understand_line(scene: Scene, typed: str, pending: Pending | None = None) -> Outcome:
    """What a line means here: an option that was asked back, a command, an answer, readings, or nothing."""
    line = one_line(typed)
    found = _picked(pending, line) if pending else None
    found = found or _command(scene, line) or _answered(scene, line) or _read(scene, line)
    outcome = _with_cautions(scene, found or _nothing(scene, line))
    if len(line) < LONGEST:
        return outcome
    cut = f"! Only the first {LONGEST} characters of the line were taken; type the rest as another."
    return replace(outcome, lines=(cut, *outcome.lines))


def _picked(pending: Pending, line: str) -> Outcome | None:
    """The option of what was asked back that the line takes."""
    word = line.lower().rstrip(".!")
    options = pending.options
    if word in NO:
        return Outcome()
    if word.isdecimal() and len(options) > 1 and 1 <= int(word) <= len(options):
        option = options[int(word) - 1]
    elif len(options) == 1 and word in YES | {"1"}:
        option = options[0]
    else:
        return None
    body: dict[str, object] = {
        "measurement": option.measurement, "text": option.text, "symptom": pending.symptom
    }  # fmt: skip
    body |= {} if pending.crank is None else {"crank": pending.crank}
    return Outcome(writes=(Write("reading", body),))


def _command(scene: Scene, line: str) -> Outcome | None:
    found = command_of(line)
    if found is None:
        return None
    command, rest = found
    if isinstance(scene.asked, AskComplaint) and rest and command.word not in _ANY_TIME:
        return None  # "if it is hot it just clicks" is a complaint
    return command.act(scene, rest)


def _answered(scene: Scene, line: str) -> Outcome | None:
    state, asked = scene.state, scene.asked
    if isinstance(asked, AskMachine) and line and ":" not in line:
        read = readings(state.case, line, None)
        if read is not None and read.writes and not _tells_a_fact(scene, line):
            return read
    if isinstance(asked, AskReading) and line.lower() in YES:
        guess = guesses.guess_for(state.case, state.complaint, asked.measurement)
        if guess is not None:
            return _read(scene, guess)
    return answer(scene, line)


def _tells_a_fact(scene: Scene, line: str) -> bool:
    try:
        return bool(told_machine(scene.state.kb, line).facts)
    except EquipmentError:
        return True  # a fact, with a value that cannot be; the answer says so


def _read(scene: Scene, line: str) -> Outcome | None:
    if not line or isinstance(scene.asked, Finished):
        return None
    case = scene.state.case
    meant = _mistyped(scene, line)
    if meant is not None:
        return refused(f"? Nothing was taken. Did you mean: {meant}?")
    expecting = scene.asked.measurement if isinstance(scene.asked, AskReading) else None
    found = readings(case, line, expecting)
    if found is not None:
        return found
    named = names.find(line, case.assessment.model.measurements)
    if named.sure not in (None, expecting) and not any(c.isdigit() for c in line):
        return Outcome(choose=named.sure)
    return None


def _mistyped(scene: Scene, line: str) -> str | None:
    """A line that begins with a word of the session, misspelt: no figure behind it is a reading."""
    word, _, rest = line.partition(" ")
    if not (word.isalpha() and rest and len(word) > _SHORTEST) or knows(word, scene.state.kb):
        return None
    words = [w for command in COMMANDS for w in (command.word, *command.others) if len(w) > _SHORTEST]
    near = nearest(word.lower(), words, SAME)
    return f"{near[0]} {rest}" if near else None


def _nothing(scene: Scene, line: str) -> Outcome:
    if not line:
        return refused("   Type an answer; ? shows what can be typed.")
    if isinstance(scene.asked, Finished):
        return refused("? This case is closed: new begins another, back opens it again.")
    of_machine = _of_machine(scene, line)
    if of_machine is not None:
        return of_machine
    said = one_line(line, 40)
    near = names.find(line, scene.state.case.assessment.model.measurements).near[:4]
    measurements = scene.state.case.assessment.model.measurements
    hint = f" Did you mean {', '.join(measurements[n].short for n in near)}?" if near else ""
    example = "a value, the name of a reading, or ? for the words"
    if isinstance(scene.asked, AskReading) and not measurements[scene.asked.measurement].numeric:
        example = "a number from the list, or ? for the words"
    return refused(*wrapped(f"Not understood: {said}.{hint} Type {example}.", scene.width, "? ", "  "))


def _of_machine(scene: Scene, line: str) -> Outcome | None:
    """Facts of the machine that were told where something else was asked, if nothing else was told."""
    try:
        told = told_machine(scene.state.kb, line)
    except EquipmentError:
        return None
    return machine_told(scene, told, line) if told.facts and not told.unknown else None


def _with_cautions(scene: Scene, outcome: Outcome) -> Outcome:
    """The entries, after those that say which cautions were seen on the way."""
    if not outcome.writes or not isinstance(scene.asked, AskReading):
        return outcome
    told = {write.body.get("caution") for write in outcome.writes}
    seen = tuple(caution for caution in scene.asked.cautions if caution not in told)
    return replace(outcome, writes=(*cautions_seen(scene.asked.measurement, seen), *outcome.writes))
