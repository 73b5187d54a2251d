"""Lists and searches on a store of many closed cases.

`pytest -m long -s tests/shell/store/test_scale.py` measures 100,000 cases and prints.
"""

from __future__ import annotations

import random
import time
from statistics import median

import pytest

from crankpath.shell.store import Event
from crankpath.shell.store.order import next_stamp
from crankpath.shell.store.sql.writing import add_new_cases

WORDS = (
    "slow",
    "click",
    "wet",
    "cold",
    "loader",
    "dumper",
    "crane",
    "bus",
    "tractor",
    "strap",
    "cable",
    "post",
)
CAUSES = ("positive_cable", "ground_strap", "battery_discharged", "solenoid_contacts", "key_switch")


def invented_cases(number):
    """Yield closed cases of nine entries, every hundredth still open."""
    chance = random.Random(7)
    for n in range(number):
        case_id, at = f"{n:032x}", f"20{10 + n % 20}-{1 + n % 12:02d}-{1 + n % 28:02d}T08:00:00Z"
        said = [("opened", {"name": f"{chance.choice(WORDS)} {n}", "machine": f"machine {n % 300}"})]
        said.append(("complaint", {"text": " ".join(chance.choices(WORDS, k=4))}))
        said += [("reading", {"measurement": f"m{m}", "text": f"{chance.random():.2f} V"}) for m in range(5)]
        said.append(("note", {"text": " ".join(chance.choices(WORDS, k=8))}))
        if n % 100:
            said.append(("closed", {"causes": [chance.choice(CAUSES)]}))
        events, stamp = [], ""
        for m, (kind, body) in enumerate(said, 1):
            stamp = next_stamp(at, stamp)
            events.append(Event(f"{n * 16 + m:032x}", case_id, m, kind, body, at, stamp, "technician", "a"))
        yield case_id, events


def filled(store, number):
    with store._writing_engine.begin() as conn:
        add_new_cases(conn, invented_cases(number), store._how)
    return store


def milliseconds(work, times=7):
    took = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        took.append((time.perf_counter() - start) * 1000)
    return median(took)


def figures(store, number):
    some = f"{number // 2:032x}"
    asked = {
        "list of open cases": lambda: store.cases(),
        "list of all cases": lambda: store.cases(open_only=False),
        "search, one common word": lambda: store.cases(open_only=False, search="slow"),
        "search, three words": lambda: store.cases(open_only=False, search="slow wet crane"),
        "search, one case": lambda: store.cases(open_only=False, search=str(number - 1)),
        "search, no case": lambda: store.cases(open_only=False, search="zzz"),
        "search, open cases": lambda: store.cases(search="slow wet"),
        "open a case": lambda: (store.case(some), store.events(some)),
        "append to a case": lambda: store.append(some, "note", {"text": "x"}, at="2031-01-01T00:00:00Z"),
    }
    return {name: milliseconds(work) for name, work in asked.items()}


def test_lists_and_searches_on_a_sample_are_right_and_not_slow(store):
    filled(store, 1_000)
    assert len(store.cases(limit=1000)) == 10
    assert [c.id for c in store.cases(open_only=False, search="999")] == [f"{999:032x}"]
    common = store.cases(open_only=False, search="slow", limit=1_000)
    assert 200 < len(common) < 800
    assert [c.id for c in common] == sorted((c.id for c in common), reverse=True)
    assert store.create_case("next", at="2031-01-01T00:00:00Z").sequence == 1
    assert max(figures(store, 1_000).values()) < 1_000  # only to notice a scan gone wrong


@pytest.mark.long
def test_a_store_of_100_000_cases_answers_within_its_limits(place, opened):
    start = time.perf_counter()
    store = filled(opened(place), 100_000)
    print(f"\n{store.place[:12]}: 100,000 cases built in {time.perf_counter() - start:.0f} s")  # noqa: T201
    store.close()
    opening = milliseconds(lambda: opened(place).close(), times=3)
    store = opened(place)
    found = {"open the store": opening, **figures(store, 100_000)}
    for name, took in found.items():
        print(f"{name:30} {took:8.1f} ms")  # noqa: T201
    assert max(found.values()) < 100
