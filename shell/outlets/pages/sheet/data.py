"""The sheet of a case as plain records; every text in it is clean of control characters.

What is shown of a case is worked out once (`sheet_making`); the page, the text and the JSON
read only these records.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

FORMAT: Final = 1
"""Raised when the JSON changes so that an older reader would misread it."""

MARKS: Final = {"pass": "pass", "near": "NEAR", "fail": "FAIL", "none": "-"}
"""Mark -> how it is written; none: not judged."""


@dataclass(frozen=True, slots=True)
class EntryMeta:
    """When an entry was told and by whom, and what was said with it."""

    at: str = ""
    by: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class TracedColumn:
    """One reading over a recorded crank: lowest and highest of each of its even stretches, in the unit."""

    label: str
    unit: str
    pairs: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class CrankTrace:
    """A recorded crank: its number in the case; begins, ends: s from where the crank begins."""

    number: int
    begins: float
    ends: float
    columns: tuple[TracedColumn, ...]


@dataclass(frozen=True, slots=True)
class SheetNote:
    """A remark of a person that is no reading; `trace` where it tells of a recorded crank."""

    text: str
    at: str = ""
    by: str = ""
    trace: CrankTrace | None = None


@dataclass(frozen=True, slots=True)
class FileLine:
    """A photo or file of the case: its name, its size in words, the digest of its content.

    number: of the entry that it belongs to, or 0.
    """

    name: str
    size: str
    digest: str
    number: int = 0


@dataclass(frozen=True, slots=True)
class SheetMeta:
    """What the engine's case does not know of a case.

    Attributes:
        name: of the case. machine: name of the machine. complaint: in the operator's words.
        about: what the case is, in a sentence. written_at: when the sheet was made.
        fields: (label, value) that the shop's own papers ask for: job, serial, hours, reference.
        told: one for each entry of the case, in order; may be shorter.
        cautions: ids of the cautions that were shown; None where nobody kept account.
        confirmed: ids of the faults that were found in the end.
        notes: remarks beside the entries. closed: nothing more is done on the case. files: photos and files.
    """

    name: str = ""
    machine: str = ""
    complaint: str = ""
    about: str = ""
    written_at: str = ""
    told: tuple[EntryMeta, ...] = ()
    cautions: tuple[str, ...] | None = None
    confirmed: tuple[str, ...] = ()
    notes: tuple[SheetNote, ...] = ()
    closed: bool = False
    fields: tuple[tuple[str, str], ...] = ()
    files: tuple[FileLine, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One entry of the case, in order.

    Attributes:
        number: from 1.
        sort: reading | cannot | tries | repaired.
        what, value: what was read or done, and the result, in words.
        typed: the value as typed. limit: the limit in force, or "". mark: pass | near | fail | none.
        remark: why it was not used, that the fault was away, what was said with it.
        measurement: id, or "". sources: ids of the documents behind the limit.
        set_aside: a later reading replaced it.
    """

    number: int
    sort: str
    what: str
    value: str
    typed: str = ""
    limit: str = ""
    mark: str = "none"
    remark: str = ""
    at: str = ""
    by: str = ""
    measurement: str = ""
    sources: tuple[str, ...] = ()
    set_aside: bool = False


@dataclass(frozen=True, slots=True)
class CircuitReading:
    """A reading on the circuit: before the last repair and after it, "" for not read; its mark now.

    set_aside: takes that a later one replaced. due: repaired, and not read again.
    """

    label: str
    before: str
    after: str
    mark: str
    set_aside: tuple[str, ...] = ()
    due: bool = False


@dataclass(frozen=True, slots=True)
class Span:
    """A reading from one point of a rail to a later one (indices of its points)."""

    first: int
    last: int
    figure: CircuitReading


@dataclass(frozen=True, slots=True)
class VoltagePart:
    """What lies between two neighbouring points; `failing` where the cause that is shown first sits."""

    label: str
    drawn: str
    failing: bool = False


@dataclass(frozen=True, slots=True)
class Rail:
    """Points in the order of the current, the parts between them (one fewer), readings along it."""

    points: tuple[str, ...]
    parts: tuple[VoltagePart, ...]
    spans: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class CircuitFigures:
    """The machine's loop with every voltage that was read on it.

    elsewhere: voltages read on branches. control: the branch where the fault sits, if it sits there, and
    branch: the name of its circuit. sign: the letter in the load.
    """

    battery: str
    battery_figures: tuple[CircuitReading, ...]
    load: str
    load_figures: tuple[CircuitReading, ...]
    there: Rail
    back: Rail
    elsewhere: tuple[CircuitReading, ...] = ()
    control: Rail | None = None
    branch: str = ""
    sign: str = ""


@dataclass(frozen=True, slots=True)
class BudgetPart:
    """A part of the voltage; read False: follows from the others."""

    part: str
    label: str
    volts: float
    read: bool


@dataclass(frozen=True, slots=True)
class VoltageBudget:
    """Where the voltage went, `when` in words; the parts in the order of the current."""

    when: str
    parts: tuple[BudgetPart, ...]


@dataclass(frozen=True, slots=True)
class ExcludedFault:
    """A fault that is ruled out, with its chance on the complaint alone and now."""

    label: str
    before: float
    now: float


@dataclass(frozen=True, slots=True)
class RuledOutLine:
    """A reading and the faults that it did most to rule out."""

    by: str
    faults: tuple[ExcludedFault, ...]


@dataclass(frozen=True, slots=True)
class CauseLine:
    """A cause with its chance at the start of the case, and the readings for and against it.

    evidence: the numbers of the readings for it, strongest first.
    """

    fault: str | None
    label: str
    probability: float
    confirmed: bool
    reasons: tuple[str, ...]
    against: tuple[str, ...]
    evidence: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class RepairLine:
    """A repair that was made. outcome: cured | not cured | proof is due."""

    repair: str
    label: str
    outcome: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ProofLine:
    """A reading before and after the repair, against its limit."""

    label: str
    before: str
    after: str
    limit: str
    mark: str


@dataclass(frozen=True, slots=True)
class CautionLine:
    """A caution, short and whole."""

    id: str
    short: str
    text: str


@dataclass(frozen=True, slots=True)
class SourceLine:
    """A document behind a limit or a rule, and what it is worth."""

    id: str
    title: str
    standing: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """The whole sheet.

    equipment: (label, value) of what was told or taken as usual. verdict: in a sentence.
    state: repaired and proven | repaired, proof is due | not cured | not repaired yet.
    subject: what the knowledge is about. stops: why something must not be done now. cranks: good cranks
    since the repair, in a sentence, or "". cautions_kept: True if they are those that were shown, False
    for those that go with the work.
    """

    format: int
    subject: str
    stops: tuple[str, ...]
    name: str
    machine: str
    complaint: str
    about: str
    written_at: str
    fields: tuple[tuple[str, str], ...]
    equipment: tuple[tuple[str, str], ...]
    state: str
    rows: tuple[SheetRow, ...]
    circuit: CircuitFigures | None
    budgets: tuple[VoltageBudget, ...]
    budgets_title: str
    causes: tuple[CauseLine, ...]
    ruled_out: tuple[RuledOutLine, ...]
    verdict: str
    repairs: tuple[RepairLine, ...]
    proofs: tuple[ProofLine, ...]
    cranks: str
    warnings: tuple[str, ...]
    notes: tuple[SheetNote, ...]
    cautions: tuple[CautionLine, ...]
    cautions_kept: bool
    sources: tuple[SourceLine, ...]
    files: tuple[FileLine, ...]
    knowledge_version: str
    left_out_at_most: float
