"""``python tests/benchmark/bench.py``: how long the engine takes, how that grows, beside other libraries."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import beside_clips
import beside_pyagrum
import click
from bench_cases import GROWTH, SIZES, exponent, generated_case, shipped_case
from bench_report import milliseconds, plot, table
from bench_timing import load_time, measured

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.loading import load_knowledge


@click.command()
@click.option("--runs", default=15, show_default=True, type=click.IntRange(1, 15), help="Runs of each step.")
@click.option("--small", is_flag=True, help="The shipped base only.")
@click.option("--reference", "beside", is_flag=True, help="Beside pyAgrum and CLIPS too, where installed.")
@click.option("--seconds", default=120.0, show_default=True, help="Longest time pyAgrum may take.")
@click.option("--gigabytes", default=3.0, show_default=True, help="Most memory pyAgrum may use.")
def main(runs: int, small: bool, beside: bool, seconds: float, gigabytes: float) -> None:
    """Time the engine on the shipped knowledge and on generated bases of up to 1000 faults.

    Times are processor time of this process, medians; seeds are fixed, so that two runs do
    the same work. *One more reading* is a value not seen before, on a machine already known.
    """
    kb = load_knowledge()
    click.echo(f"loading the shipped knowledge: {milliseconds(load_time(min(runs, 5)))} ms\n")
    shipped = shipped_case(kb)
    sizes = () if small else SIZES
    rows = [measured(shipped, runs)]
    rows += [measured(generated_case(kb, size), min(runs, 5)) for size in sizes]
    _say(table(rows))
    if not small:
        grown = [measured(generated_case(kb, size), min(runs, 5)) for size in GROWTH]
        points = [(float(size.faults), row.suggested) for size, row in zip(GROWTH, grown, strict=True)]
        click.echo("\none more reading with all suggestions, ms, at the same number of rules a fault:")
        _say(plot(points, exponent(points)))
        click.echo(f"{'':10}over the last doubling to the power {exponent(points[-2:]):.2f}")
    if beside:
        _say(_beside([row.name for row in rows], seconds, gigabytes))
        _say(_chaining(shipped.read()))


def _say(lines: Iterator[str] | Sequence[str]) -> None:
    for line in lines:
        click.echo(line)


def _beside(names: list[str], seconds: float, gigabytes: float) -> Iterator[str]:
    yield "\none more reading, ms: chances of all faults and bits of every reading that is open,"
    yield "what hangs on no posterior (tables, what the reading is under each set) given to all:"
    if not beside_pyagrum.installed():
        yield "  pyAgrum or numpy is not installed (they come with the extra 'test')"
        return
    for name in names:
        found = beside_pyagrum.compared(name, seconds, gigabytes)
        if found.trouble:
            yield f"  {name}: pyAgrum {found.trouble}"
            continue
        yield from beside_pyagrum.lines(found)


def _chaining(opened: Case) -> Iterator[str]:
    yield "\nfacts derived, beside CLIPS:"
    if not beside_clips.installed():
        yield "  its Python binding is not installed (pip install clipspy)"
        return
    found = beside_clips.chained(opened)
    yield (
        f"  {found.rules} rules ({found.left_out} with circuit computations left out), {found.facts} facts: "
        f"{milliseconds(found.ours)} ms here, {milliseconds(found.theirs)} ms there, "
        f"{'the same facts' if found.agree else 'NOT the same facts'}"
    )


if __name__ == "__main__":
    main()
