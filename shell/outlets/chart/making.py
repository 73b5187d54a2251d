"""From a case to its fault chart in words: one record that text and page read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from crankpath.engine.advice.ahead.chart import ChartAct, Finding, acts, chart
from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.outlets.messages.preparations import cautions_for, setups_for
from crankpath.shell.outlets.messages.step import has_leads
from crankpath.shell.outlets.reports.readings import amount, span_words, value_words
from crankpath.shell.outlets.reports.words import NOT_LISTED, capital, left_words, percent
from crankpath.shell.session.input.guesses import facts_in_words

USUAL_DEPTH = 3
DEEPEST = 5


@dataclass(frozen=True, slots=True)
class FindingLine:
    """What can be found, how often, and the act that it leads to."""

    text: str
    chance: float
    then: ActLine


@dataclass(frozen=True, slots=True)
class ActLine:
    """One act. sort: measure | watch | repair | stuck | stop. how: id of the reading, "" for none.

    about: minutes, or how sure; left: what is still to be expected from here on, or "".
    ends: the chart does not go on here, though reading does. other: chance of what is not shown.
    """

    number: int
    sort: str
    text: str
    about: str
    left: str
    how: str
    findings: tuple[FindingLine, ...]
    ends: bool
    other: float


@dataclass(frozen=True, slots=True)
class HowLine:
    """How a reading is taken, or what keeps it from being taken now. cautions: their letters."""

    id: str
    label: str
    numbers: tuple[int, ...]
    text: str
    ready: str
    leads: str
    cautions: str


@dataclass(frozen=True, slots=True)
class ChartPage:
    """The whole chart. told: what the case already holds. cautions: (letter, text)."""

    title: str
    machine: str
    told: str
    stops: tuple[str, ...]
    left: str
    cautions: tuple[tuple[str, str], ...]
    first: ActLine
    how: tuple[HowLine, ...]
    version: str


def chart_of(case: Case, depth: int = USUAL_DEPTH, title: str = "") -> ChartPage:
    """The fault chart from where a case stands.

    Raises:
        CaseError: a repair was made whose proof is due, or that cured: nothing is looked for now.
    """
    repairs = case.assessment.repairs
    if repairs and repairs[-1].cured is not False:
        stops = (f"STOP: {text}" for text in case.stops())
        due = "A chart begins where a fault is looked for; here a repair was made. Prove it first."
        raise CaseError(" ".join((*stops, due)))
    first = chart(case.advisor, depth)
    numbers = {id(act): number for number, act in enumerate(acts(first), 1)}
    letters = _letters(case, first)
    return ChartPage(
        title or capital(case.kb.about.label),
        facts_in_words(case.kb, case.equipment),
        "; ".join(_told(case)),
        case.stops(),
        left_words(first.left),
        tuple((letter, case.kb.cautions[name].short) for name, letter in letters.items()),
        _act(case, first, numbers),
        tuple(_how(case, first, numbers, letters)),
        case.kb.version,
    )


def _told(case: Case) -> Iterator[str]:
    for entry in case.entries:
        if isinstance(entry, Reading):
            m = case.kb.measurements[entry.measurement]
            yield f"{m.label}: {entry.text if m.numeric else value_words(m, str(entry.value))}"


def _act(case: Case, act: ChartAct, numbers: dict[int, int]) -> ActLine:
    verdict = act.verdict
    number = numbers[id(act)]
    findings = tuple(_finding(case, act, finding, numbers) for finding in act.findings)
    kb = case.kb
    minutes = "" if act.minutes is None else f"{act.minutes:g} min"
    if verdict.action == "repair" and verdict.repair is not None:
        faults = " or ".join(kb.faults[fault].label for fault in verdict.faults[:2])
        about = f"{minutes}; {faults}, {percent(verdict.probability)}"
        return ActLine(number, "repair", kb.repairs[verdict.repair].label, about, "", "", (), False, 0.0)
    if verdict.action == "measure" and verdict.measurement is not None:
        label = kb.measurements[verdict.measurement].label + (", once more" if verdict.again else "")
        left = left_words(act.left)
        return ActLine(
            number, "measure", label, minutes, left, verdict.measurement, findings, not findings, act.other
        )
    if verdict.action == "watch":
        labels = ", ".join(kb.measurements[name].label for name in verdict.together)
        return ActLine(number, "watch", labels, "leave connected until it fails", "", "", (), False, 0.0)
    text = verdict.because[:1].upper() + verdict.because[1:]
    about = f"{NOT_LISTED}: {percent(verdict.probability)}" if verdict.action == "stuck" else ""
    return ActLine(number, verdict.action, text, about, "", "", (), False, 0.0)


def _finding(case: Case, act: ChartAct, finding: Finding, numbers: dict[int, int]) -> FindingLine:
    m = case.kb.measurements[act.verdict.measurement or ""]
    return FindingLine(_found(m, finding), finding.chance, _act(case, finding.then, numbers))


def _found(m: Measurement, finding: Finding) -> str:
    """What is found: a stretch in the unit, or values.

    A single finding of a meter reading is any reading at all.
    """
    if not m.numeric:
        return " or ".join(value_words(m, value) for value in finding.values)
    unit, (low, high) = m.unit or "", (finding.low, finding.high)
    if low is not None and high is not None:
        return span_words(low, high, unit)
    if low is None and high is None:
        return "any reading"
    return f"below {_edge(high, unit)}" if high is not None else f"above {_edge(low or 0.0, unit)}"


def _edge(value: float, unit: str) -> str:
    return amount(float(f"{value:.2g}" if value < 10.0 else f"{value:.3g}"), unit)


def _readings(case: Case, first: ChartAct) -> dict[str, list[ChartAct]]:
    """The readings of the chart, each with its acts."""
    found: dict[str, list[ChartAct]] = {}
    for act in acts(first):
        names = act.verdict.together if act.verdict.action == "watch" else (act.verdict.measurement,)
        for name in names:
            if name is not None and act.verdict.action in ("measure", "watch"):
                found.setdefault(name, []).append(act)
    return found


def _letters(case: Case, first: ChartAct) -> dict[str, str]:
    """Caution -> its letter, for every caution that goes with an act of the chart."""
    here, kb = case.assessment.model.measurements, case.kb
    names: dict[str, None] = {}
    for name in _readings(case, first):
        if not case.guard.reading(here[name]):
            names.update(dict.fromkeys(cautions_for(case, here[name], every=True)))
    for act in acts(first):
        if act.verdict.action == "repair" and act.verdict.repair is not None:
            repair = kb.repairs[act.verdict.repair]
            names.update(dict.fromkeys(case.guard.cautions_of_repair(repair, act.verdict.faults[:2])))
    return {name: _letter(number) for number, name in enumerate(names)}


def _letter(number: int) -> str:
    """a to z, then aa, ab, ...

    >>> _letter(0), _letter(27)
    ('a', 'ab')
    """
    first, last = divmod(number, 26)
    return (chr(96 + first) if first else "") + chr(97 + last)


def _how(
    case: Case, first: ChartAct, numbers: dict[int, int], letters: dict[str, str]
) -> Iterator[HowLine]:
    here = case.assessment.model.measurements
    for name, of in _readings(case, first).items():
        m, at = here[name], tuple(numbers[id(act)] for act in of)
        forbidden = case.guard.reading(m)
        if forbidden:
            yield HowLine(name, m.label, at, f"Not yet: {forbidden[0].text}", "", "", "")
            continue
        marks = " ".join(letters[c] for c in cautions_for(case, m, every=True))
        ready = ", ".join(setup.label for setup in setups_for(case, m, every=True))
        state = case.kb.states[m.state].label
        leads = m.leads if m.numeric and has_leads(m) else ""
        yield HowLine(name, m.label, at, m.asks, ready or state, leads, marks)
