"""After how many closed cases what a shop has learned beats the shipped rules on its own machines.

``python tests/benchmark/learning_study.py`` prints the table with a plot in text and draws the same as
``.pictures/learning.svg``, in about five minutes. Its arguments are the parameter set of the shop's machines
and how many of them are judged.

The shop's machines are solved ones whose faults read otherwise than the rules expect
(`kb/machines/early.yaml`). Closed cases and machines that are judged are drawn apart. Of each the same usual
readings are taken in the same order. Judged is the chance of the repair that was needed given all of them,
whether it is the likeliest, and after how many readings it first is at `NAMED`.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from statistics import fmean, stdev
from typing import Final

import click

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.learning.closed_case import ClosedCase, grouped
from crankpath.engine.learning.proposals import WORTH, proposals, with_proposals
from crankpath.engine.learning.rule_samples import SampleCollector
from crankpath.engine.trials.evaluation import machine_of
from crankpath.engine.trials.trial import read_once

READ: Final = (
    "occurrence", "crank_behaviour", "battery_rest_voltage", "battery_crank_voltage", "positive_leg_drop",
    "negative_leg_drop", "start_terminal_voltage", "positive_post_drop", "negative_post_drop",
    "solenoid_contact_drop", "crank_current",
)  # fmt: skip
SIZES: Final = (0, 10, 30, 100, 300, 1000)
JUDGED: Final = 100
NAMED: Final = 0.5
_LEAST: Final = 1e-6  # chance that a log is taken of
PICTURE: Final = Path(__file__).resolve().parents[2] / ".pictures" / "learning.svg"


@dataclass(frozen=True)
class Seen:
    """A machine of the shop as it was read; what was at fault is known afterwards."""

    equipment: dict[str, object]
    faults: tuple[str, ...]
    readings: tuple[tuple[str, float | str], ...]

    def case(self, kb: Knowledge) -> Case:
        """The machine as a case; what cannot be believed is not in it."""
        case = Case(kb, self.equipment)
        for name, value in self.readings:
            try:
                case.record(name, value)
            except CaseError:
                continue
        return case

    def closed(self, kb: Knowledge, name: str) -> ClosedCase:
        """The same, cured and closed."""
        case = self.case(kb)
        case.repaired(kb.faults[self.faults[0]].repair, cured=True)
        return ClosedCase(name, case, grouped(self.faults, kb.faults))


def drawn(kb: Knowledge, parameters: str, seed: int, number: int) -> Seen:
    """One machine of the shop with a single fault, and its readings."""
    machine, rng = machine_of(kb, seed, number, "single", parameters), Random(f"{seed}/{number}/study")
    case, found = Case(kb, machine.equipment), []
    for name in READ:
        if name == "occurrence":
            found.append((name, "every_time"))
        elif name in case.assessment.model.measurements:
            value, _ = read_once(case, machine, name, rng)
            found += [(name, value)] if value is not None else []
    return Seen(dict(machine.equipment), tuple(sorted(machine.faults)), tuple(found))


@dataclass(frozen=True)
class Judged:
    """What one machine shows of some rules.

    bits: log2 of the chance of the repair that was needed. right: it is the likeliest. readings: after
    so many its chance first was `NAMED`; all of them and one where it never was.
    """

    bits: float
    right: bool
    readings: int


def judged(kb: Knowledge, machine: Seen) -> Judged:
    """One machine under some rules."""
    needed = kb.faults[machine.faults[0]].repair
    case = machine.case(kb)
    chances = _repairs(kb, case)
    readings = len(case.entries) + 1
    if chances.get(needed, 0.0) >= NAMED:
        partly = Case(kb, machine.equipment)
        for entry in case.entries:
            partly.record(entry.measurement, entry.value)  # type: ignore[union-attr]
            if _repairs(kb, partly).get(needed, 0.0) >= NAMED:
                readings = len(partly.entries)
                break
    bits = math.log2(max(chances.get(needed, 0.0), _LEAST))
    return Judged(bits, max(chances, key=lambda one: chances[one]) == needed, readings)


def _repairs(kb: Knowledge, case: Case) -> dict[str, float]:
    found: dict[str, float] = {}
    for fault, chance in case.assessment.posterior.fault_marginals().items():
        repair = kb.faults[fault].repair
        found[repair] = found.get(repair, 0.0) + chance
    return found


@dataclass(frozen=True)
class Row:
    """One line of the table: after so many closed cases, so many rules changed, and how that does.

    better: mean gain in bits over the shipped rules, machine by machine, and its standard error.
    """

    cases: int
    rules: int
    found: Sequence[Judged]
    better: tuple[float, float]


def study(kb: Knowledge, parameters: str, sizes: Sequence[int], number: int) -> Iterator[Row]:
    """The table, a row for each number of closed cases."""
    machines = [drawn(kb, parameters, 99, n) for n in range(number)]
    before = [judged(kb, machine) for machine in machines]
    listener, worth = SampleCollector(), kb.settings[WORTH]
    for cases in sizes:
        while listener.cases < cases:
            n = listener.cases
            listener.take(drawn(kb, parameters, 7, n).closed(kb, f"case {n}"))
        changes = proposals(kb, listener.heard.values(), worth)
        knows = with_proposals(kb, changes)
        found = [judged(knows, machine) for machine in machines] if changes else before
        gains = [now.bits - then.bits for now, then in zip(found, before, strict=True)]
        yield Row(cases, len(changes), found, (fmean(gains), stdev(gains) / math.sqrt(number)))


def table(rows: Sequence[Row]) -> Iterator[str]:
    """The rows as lines."""
    yield "closed cases   rules learned   first repair right   readings to 1 in 2   bits of it   better by"
    for row in rows:
        right, readings = fmean(one.right for one in row.found), fmean(one.readings for one in row.found)
        bits = fmean(one.bits for one in row.found)
        gain = f"{row.better[0]:+.3f} +- {row.better[1]:.3f}" if row.cases else "shipped"
        yield f"{row.cases:12}{row.rules:16}{right:21.0%}{readings:21.2f}{bits:13.3f}   {gain}"


def plot(rows: Sequence[Row], width: int = 46) -> Iterator[str]:
    """Bits gained over the shipped rules, a bar each."""
    most = max(row.better[0] for row in rows)
    yield "bits gained a machine over the shipped rules, by closed cases"
    for row in rows:
        bar = "=" * max(0, round(width * row.better[0] / most)) if most > 0.0 else ""
        yield f"{row.cases:6} |{bar} {row.better[0]:+.3f}"


def svg(rows: Sequence[Row]) -> str:
    """The same as a picture: closed cases to the right on a scale of tens, bits upward."""
    wide, high, left, top = 420, 220, 52, 34
    learned = [row for row in rows if row.cases]
    most = max(row.better[0] + 2 * row.better[1] for row in learned) * 1.1
    least = min(0.0, *(row.better[0] - 2 * row.better[1] for row in learned))
    first, last = math.log10(learned[0].cases), math.log10(learned[-1].cases)

    def x(cases: int) -> float:
        return left + wide * (math.log10(cases) - first) / ((last - first) or 1.0)

    def y(bits: float) -> float:
        return top + high * (most - bits) / (most - least)

    parts = [f'<line x1="{left}" y1="{y(0):.1f}" x2="{left + wide}" y2="{y(0):.1f}" stroke="#999"/>']
    line = " ".join(f"{x(row.cases):.1f},{y(row.better[0]):.1f}" for row in learned)
    parts.append(f'<polyline points="{line}" fill="none" stroke="#111" stroke-width="2"/>')
    for row in learned:
        across, (gain, error) = x(row.cases), row.better
        parts.append(f'<line x1="{across:.1f}" y1="{y(gain - 2 * error):.1f}" x2="{across:.1f}" '
                     f'y2="{y(gain + 2 * error):.1f}" stroke="#777"/>')  # fmt: skip
        parts.append(f'<circle cx="{across:.1f}" cy="{y(gain):.1f}" r="4" fill="#111"/>')
        parts.append(f'<text x="{across:.1f}" y="{top + high + 18}" text-anchor="middle">{row.cases}</text>')
    parts += [f'<text x="{left - 6}" y="{y(bits) + 4:.1f}" text-anchor="end">{bits:.2f}</text>'
              for bits in (0.0, most / 1.1)]  # fmt: skip
    said = "Bits gained a machine, by closed cases learned from (bars: 2 standard errors)"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {left + wide + 40} {top + high + 30}" '
        f'font-family="sans-serif" font-size="12" role="img"><title>{said}</title>'
        f'<rect width="100%" height="100%" fill="#fff"/>'
        f'<text x="8" y="18">{said}</text>{"".join(parts)}</svg>\n'
    )


def main() -> None:
    """Print the table and the plot; draw the picture."""
    parameters, number = (*sys.argv[1:], *("early", str(JUDGED))[len(sys.argv) - 1 :])[:2]
    rows = []
    for row in study(load_knowledge(), parameters, SIZES, int(number)):
        rows.append(row)
        click.echo(f"{row.cases} closed cases", err=True)
    click.echo("\n".join((*table(rows), "", *plot(rows))))
    PICTURE.write_text(svg(rows), encoding="utf-8")


if __name__ == "__main__":
    main()
