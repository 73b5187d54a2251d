"""How a line at the prompt grows with the case and with the store.

``python tests/shell/session/growth_table.py`` prints it in about ten minutes.
Processor time, entry on disk included; the exponent is that of the growth from one size to the next.
``... growth_table.py 1000 10000`` fills stores of those sizes instead of up to 100 000 closed cases.
"""

from __future__ import annotations

import io
import itertools
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from math import log
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING, Final

import click

from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.session.loop import Conversation
from crankpath.shell.session.open_case import OpenCase
from crankpath.shell.session.questions import AskCautions, AskSafe
from crankpath.shell.session.terminal import Piped
from crankpath.shell.store import Event, Write, open_store
from crankpath.shell.store.order import next_stamp
from crankpath.shell.store.sql.writing import add_new_cases

if TYPE_CHECKING:
    from crankpath.shell.store import Store

AT: Final = "2031-05-04T08:00:00Z"
ENTRIES: Final = (10, 30, 60, 120)
CLOSED: Final = (1_000, 10_000, 100_000)
OPEN: Final = 500
TRIES: Final = 40
RUNS: Final = 5
READ: Final = (
    ("battery_rest_voltage", "12.6 V"), ("battery_crank_voltage", "10.4 V"), ("positive_leg_drop", "0.2 V"),
    ("negative_leg_drop", "0.1 V"), ("crank_current", "380 A"), ("crank_speed", "180 rpm"),
    ("positive_post_drop", "20 mV"), ("negative_post_drop", "10 mV"), ("battery_load_voltage", "10.2 V"),
    ("start_terminal_voltage", "11.1 V"), ("parasitic_draw", "20 mA"), ("control_feed_voltage", "12.1 V"),
)  # fmt: skip


def entries(number: int, sometimes: bool) -> list[Write]:
    """The entries of a case: what it does, its machine, tries of one that comes and goes, readings."""
    often = "intermittent" if sometimes else "every_time"
    found = [
        Write("complaint", {"text": "cranks slowly"}),
        Write("equipment", {"facts": {"system_voltage": 12.0}, "asked": "machine"}),
        Write("equipment", {"facts": {}, "asked": "when"}),
        Write("reading", {"measurement": "crank_behaviour", "text": "slow", "symptom": True}),
        Write("reading", {"measurement": "occurrence", "text": often, "symptom": True}),
    ]
    if sometimes:
        found += [Write("tries", {"failures": n % 2, "of": 2}) for n in range(TRIES)]
    for (measurement, text), turn in zip(itertools.cycle(READ), range(number), strict=False):
        figure, unit = text.split(" ")
        body = {"measurement": measurement, "symptom": not sometimes or turn % 3 > 0}
        found.append(Write("reading", body | {"text": f"{float(figure) * (1 - turn % 5 / 10):.3g} {unit}"}))
    return found


def line_at_the_prompt(kb: Knowledge, store: Store, number: int, sometimes: bool) -> float:
    """Milliseconds from a line to the next question, in a case of so many readings."""
    took = []
    for run in range(RUNS):
        open_case = OpenCase(store, kb, lambda: AT)
        open_case.begin("loader", entries(number, sometimes))
        talk = Conversation(open_case, Piped(io.StringIO(""), io.StringIO(), 80), lambda _: None)
        talk.show_question()
        while isinstance(talk.asked, AskSafe | AskCautions):
            talk.take("")
        took.append(milliseconds(lambda run=run, talk=talk: talk.take(f"pos leg 0.2{run} V failed"), 1))
    return median(took)


def milliseconds(work: Callable[[], object], runs: int = RUNS) -> float:
    took = []
    for _ in range(runs):
        before = time.process_time()
        work()
        took.append((time.process_time() - before) * 1000)
    return median(took)


def cases(closed: int) -> Iterator[tuple[str, list[Event]]]:
    """Closed cases of nine entries, and open ones."""
    for n in range(closed + OPEN):
        said = [("opened", {"name": f"loader {n}", "machine": f"machine {n % 300}"})]
        said += [("reading", {"measurement": name, "text": text}) for name, text in READ[:6]]
        said.append(("note", {"text": f"rained all night {n % 97}"}))
        said += [("closed", {"causes": ["positive_cable"]})] if n >= OPEN else []
        events, stamp = [], ""
        for m, (kind, body) in enumerate(said, 1):
            stamp = next_stamp(AT, stamp)
            ids = f"{n * 16 + m:032x}", f"{n:032x}"
            events.append(Event(*ids, m, kind, body, AT, stamp, "technician", "a"))
        yield f"{n:032x}", events


def in_a_store(kb: Knowledge, folder: Path, closed: int) -> dict[str, float]:
    """What the session and the desk do at each line -> milliseconds in a store of so many closed cases."""
    place = folder / f"{closed}.sqlite"
    store = open_store(place)
    with store._writing_engine.begin() as conn:
        add_new_cases(conn, cases(closed), store._how)
    store.close()
    opening = milliseconds(lambda: open_store(place).close(), 3)
    store = open_store(place)
    some = f"{7:032x}"
    found = {
        "open the store": opening,
        "list of open cases": milliseconds(store.cases),
        "search among the open ones": milliseconds(lambda: store.cases(search="loader rained")),
        "search among all": milliseconds(lambda: store.cases(open_only=False, search="rained night")),
        "machine by its name": milliseconds(
            lambda: store.cases(open_only=False, search="machine 7", machine="machine 7", limit=2)
        ),
        "go on with a case": milliseconds(lambda: OpenCase(store, kb, lambda: AT).open(some)),
        "entry on disk": milliseconds(lambda: store.append(some, "note", {"text": "x"}, at=AT)),
        "line at the prompt": line_at_the_prompt(kb, store, 10, sometimes=False),
    }
    store.close()
    return found


def rows(names: dict[str, Sequence[float]], sizes: Sequence[int]) -> Iterator[str]:
    """One line a name: its milliseconds at every size, and the exponent from each to the next."""
    yield f"{'ms':28}" + "".join(f"{size:>10}" for size in sizes) + "   exponents"
    for name, took in names.items():
        pairs = zip(itertools.pairwise(sizes), itertools.pairwise(took), strict=True)
        steps = [log(max(after, 0.1) / max(before, 0.1)) / log(b / a) for (a, b), (before, after) in pairs]
        figures = "".join(f"{ms:>10.1f}" for ms in took)
        yield f"{name:28}{figures}   {' '.join(f'{step:.2f}' for step in steps)}"


def main() -> None:
    """Print both tables."""
    kb = load_knowledge()
    sizes = tuple(map(int, sys.argv[1:])) or CLOSED
    with tempfile.TemporaryDirectory() as name:
        store = open_store(Path(name) / "cases.sqlite")
        told = {"fails every time": False, f"comes and goes, {TRIES} tries": True}
        grown = {
            what: [line_at_the_prompt(kb, store, number, sometimes) for number in ENTRIES]
            for what, sometimes in told.items()
        }
        store.close()
        click.echo("A line at the prompt, by readings in the case")
        click.echo("\n".join(rows(grown, ENTRIES)))
        by_size = [in_a_store(kb, Path(name), size) for size in sizes]
    click.echo(f"\nBy closed cases in the store, beside {OPEN} open ones")
    click.echo("\n".join(rows({what: [one[what] for one in by_size] for what in by_size[0]}, sizes)))


if __name__ == "__main__":
    main()
