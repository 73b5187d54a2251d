"""The sheet as plain text; nothing in it depends on colour or on the width of a letter."""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.shell.outlets.pages.sheet.data import (
    MARKS,
    CircuitFigures,
    CircuitReading,
    ExcludedFault,
    FileLine,
    Rail,
    Sheet,
    SheetRow,
    Span,
    VoltageBudget,
)
from crankpath.shell.outlets.reports.words import capital, percent
from crankpath.shell.text.columns import wrapped

_BAR: int = 40


def sheet_text(sheet: Sheet, width: int = 80) -> str:
    """The sheet in lines of at most `width` columns (60 or more), ended by a newline."""
    return "\n".join(line.rstrip() for line in _lines(sheet, width)) + "\n"


def _lines(sheet: Sheet, width: int) -> Iterator[str]:
    for text in sheet.stops:
        yield from wrapped(text, width, "STOP: ")
    yield from wrapped(sheet.machine or sheet.name or capital(sheet.subject), width)
    if sheet.machine and sheet.name:
        yield from wrapped(f"case {sheet.name}", width)
    if sheet.written_at:
        yield sheet.written_at
    yield "=" * width
    yield from wrapped(sheet.verdict, width)
    yield from wrapped(f"State: {sheet.state}.", width)
    if sheet.complaint:
        yield from wrapped(f'Complaint: "{sheet.complaint}"', width)
    if sheet.about:
        yield from wrapped(sheet.about, width)
    yield from _list("Machine", [f"{a}: {b}" for a, b in (*sheet.fields, *sheet.equipment)], width)
    if sheet.warnings:
        yield from _list("Warnings", list(sheet.warnings), width)
    yield from _titled("Readings in order (mark, value, limit in force)")
    for row in sheet.rows:
        yield from _row(row, width)
    if not sheet.rows:
        yield "  nothing was read yet"
    yield from _budgets(sheet.budgets, sheet.budgets_title, width)
    if sheet.circuit is not None:
        yield from _circuit(sheet.circuit, width)
    yield from _findings(sheet, width)
    yield from _ends(sheet, width)


def _titled(title: str) -> Iterator[str]:
    yield ""
    yield title
    yield "-" * len(title)


def _list(title: str, items: list[str], width: int) -> Iterator[str]:
    yield from _titled(title)
    for item in items or ["none"]:
        yield from wrapped(item, width, "  ", "    ")


def _row(row: SheetRow, width: int) -> Iterator[str]:
    mark = MARKS[row.mark]
    limit = f"   ({row.limit})" if row.limit else ""
    aside = " (set aside)" * row.set_aside
    yield from wrapped(f"{row.what}: {row.value}{aside}{limit}", width, f"{row.number:>3} {mark:<5} ")
    said = ", ".join(part for part in (row.at, row.by) if part)
    for text in (row.remark, said):
        if text:
            yield from wrapped(text, width, " " * 10)


def _budgets(budgets: tuple[VoltageBudget, ...], title: str, width: int) -> Iterator[str]:
    if not budgets:
        return
    yield from _titled(title)
    longest = max(part.volts for budget in budgets for part in budget.parts) or 1.0
    for budget in budgets:
        yield f"  {budget.when}"
        for part in budget.parts:
            about = " " if part.read else "~"
            length = round(min(_BAR, width - 40) * part.volts / longest)
            yield f"    {part.label:<18} {about}{part.volts:6.2f} V  {'#' * length}"


def _circuit(circuit: CircuitFigures, width: int) -> Iterator[str]:
    yield from _titled("The circuit with each voltage where it was read")
    yield from wrapped(_named(circuit.battery, circuit.battery_figures), width, "  [ ", "    ")
    yield from _rail(circuit.there, width)
    yield from wrapped(_named(circuit.load, circuit.load_figures), width, "  ( ", "    ")
    yield from _rail(circuit.back, width)
    if circuit.control is not None:
        yield f"  {circuit.branch}, where it failed:"
        yield from _rail(circuit.control, width)
    for figure in circuit.elsewhere:
        yield from wrapped(f"{figure.label}: {_said(figure)}", width, "  ")


def _rail(rail: Rail, width: int) -> Iterator[str]:
    for n, point in enumerate(rail.points):
        yield from wrapped(point, width, "  o ")
        if n < len(rail.parts):
            own = [span for span in rail.spans if (span.first, span.last) == (n, n + 1)]
            said = "".join(f"   {_said(span.figure)}" for span in own)
            mark = "  X THE FAULT: " if rail.parts[n].failing else "  |   "
            yield from wrapped(f"{rail.parts[n].label}{said}", width, mark)
    for span in rail.spans:
        if span.last - span.first > 1:
            yield from wrapped(_reach(rail, span), width, "  # ")


def _reach(rail: Rail, span: Span) -> str:
    ends = f"{rail.points[span.first]} to {rail.points[span.last]}"
    return f"{span.figure.label}, {ends}: {_said(span.figure)}"


def _named(name: str, figures: tuple[CircuitReading, ...]) -> str:
    return "; ".join((name, *(f"{figure.label} {_said(figure)}" for figure in figures)))


def _said(figure: CircuitReading) -> str:
    value = " -> ".join(text for text in (figure.before, figure.after) if text)
    value += ", before the repair" * figure.due
    mark = f" {MARKS[figure.mark]}" if figure.mark != "none" else ""
    aside = "".join(f", {text} (set aside)" for text in figure.set_aside)
    return f"{value}{mark}{aside}"


def _findings(sheet: Sheet, width: int) -> Iterator[str]:
    yield from _titled("Cause")
    for place, cause in enumerate(sheet.causes):
        confirmed = "confirmed, " if cause.confirmed else ""
        yield from wrapped(f"{cause.label} ({confirmed}{percent(cause.probability)})", width, "  ")
        if place == 0 or cause.confirmed:
            for sign, reasons in (("+", cause.reasons), ("-", cause.against)):
                for reason in reasons:
                    yield from wrapped(reason, width, f"    {sign} ")
    gone = [f"by {line.by}: {', '.join(map(_gone, line.faults))}" for line in sheet.ruled_out]
    yield from _list("Ruled out, and by what", gone, width)
    yield from _list("Repair", [f"{repair.label}: {repair.outcome}" for repair in sheet.repairs], width)
    proofs = []
    for proof in sheet.proofs:
        after = proof.after or "not read again yet"
        limit = f", {proof.limit}" if proof.limit else ""
        mark = f" {MARKS[proof.mark]}" if proof.mark != "none" else ""
        proofs.append(f"{proof.label}: {proof.before or 'not read'} -> {after}{limit}{mark}")
    yield from _list("Proof", [*proofs, *([sheet.cranks] if sheet.cranks else [])], width)


def file_words(file: FileLine) -> str:
    """A file with its size and the entry that it belongs to."""
    return f"{file.name} ({file.size})" + (f", to no. {file.number}" if file.number else "")


def _gone(gone: ExcludedFault) -> str:
    return f"{gone.label} ({percent(gone.before)} -> {percent(gone.now)})"


def _ends(sheet: Sheet, width: int) -> Iterator[str]:
    if sheet.notes:
        notes = []
        for note in sheet.notes:
            said = ", ".join(part for part in (note.by, note.at) if part)
            notes.append(f"{note.text}{f' ({said})' if said else ''}")
        yield from _list("Notes", notes, width)
    if sheet.files:
        yield from _list("Photos and files", [file_words(file) for file in sheet.files], width)
    title = "Cautions given" if sheet.cautions_kept else "Cautions that go with this work"
    yield from _list(title, [caution.short for caution in sheet.cautions], width)
    sources = [f"{s.title}{f' ({s.standing})' if s.standing else ''}" for s in sheet.sources]
    yield from _list("Sources of the limits and rules", sources, width)
    yield ""
    yield from wrapped(f"Knowledge base {sheet.knowledge_version}.", width)
