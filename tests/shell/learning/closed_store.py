"""Stores of closed cases to be learned from: as many as are asked for, cheap to draw.

Machines, causes and readings vary from case to case as they do in a shop; what is read is drawn between rough
figures, not worked out, so nothing can be learned from it but how long learning takes.
``python tests/shell/learning/closed_store.py 100000 closed.sqlite`` makes one.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any, Final

from crankpath.shell.store import Event, open_store
from crankpath.shell.store.order import next_stamp
from crankpath.shell.store.sql.writing import add_new_cases

AT: Final = "2031-05-04T08:00:00Z"
FOUND: Final = (
    ("positive_cable", "replace_positive_cable"), ("positive_post_joint", "clean_positive_post"),
    ("negative_post_joint", "clean_negative_post"), ("ground_strap", "renew_ground_strap"),
    ("battery_worn", "replace_battery"), ("solenoid_contacts", "replace_solenoid"),
    ("starter_brushes", "replace_starter"), ("key_switch", "replace_key_switch"),
)  # fmt: skip
"""A cause and its repair."""


def closed_cases(number: int, seed: int = 1) -> Iterator[tuple[str, list[Event]]]:
    """Case id and events of closed cases with eight readings each."""
    rng = Random(seed)
    for n in range(number):
        said, events, stamp = list(_said(rng, n)), [], ""
        for m, (kind, body) in enumerate(said, 1):
            stamp = next_stamp(AT, stamp)
            ids = f"{n * 32 + m:032x}", f"{n:032x}"
            events.append(Event(*ids, m, kind, body, AT, stamp, "technician", "a"))
        yield f"{n:032x}", events


def _said(rng: Random, n: int) -> Iterator[tuple[str, dict[str, Any]]]:
    between, (cause, repair) = rng.uniform, rng.choice(FOUND)
    volts = rng.choice((12, 24))
    facts = {"system_voltage": volts, "duty": rng.choice(("light", "heavy")),
             "ground_path": rng.choice(("frame", "direct")), "start_relay": rng.random() < 0.5,
             "air_temperature": round(between(-15, 35)), "cca": round(between(500, 1100), -1)}  # fmt: skip
    yield "opened", {"name": f"machine {n}", "machine": f"machine {n % 3000}"}
    yield "equipment", {"facts": facts, "asked": "machine"}
    drops = [between(0.05, 0.3) * volts / 12, between(0.4, 2.5) * volts / 12]
    rng.shuffle(drops)
    texts = {
        "crank_behaviour": rng.choice(("slow", "single_click")), "occurrence": "every_time",
        "battery_rest_voltage": f"{between(1.0, 1.06) * volts:.2f} V",
        "battery_crank_voltage": f"{between(0.75, 0.95) * volts:.1f} V",
        "positive_leg_drop": f"{drops[0]:.2f} V", "negative_leg_drop": f"{drops[1] * 1000:.0f} mV",
        "start_terminal_voltage": f"{between(0.7, 0.95) * volts:.1f}",
        "crank_current": f"{between(150, 700):.0f} A",
    }  # fmt: skip
    for name, text in texts.items():
        yield "reading", {"measurement": name, "text": text, "symptom": True}
    yield "repaired", {"repair": repair, "cured": True}
    yield "closed", {"causes": [cause]}


def filled(place: Path, number: int) -> None:
    """A new store of so many closed cases at a place."""
    store = open_store(place)
    with store._writing_engine.begin() as conn:
        add_new_cases(conn, closed_cases(number), store._how)
    store.close()


if __name__ == "__main__":
    filled(Path(sys.argv[2]), int(sys.argv[1]))
