"""What a benchmark does: the same case, step by step, on a base of any size."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import log

from generated_bases import Size, generated, readings_of

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge

SEED = 20
SIZES = (Size(100, 100), Size(300, 300), Size(300, 1000), Size(1000, 300), Size(1000, 1000))
GROWTH = (Size(100, 100), Size(200, 200), Size(400, 400), Size(800, 800))
"""Rules per fault and faults per reading stay the same, so that only the size grows."""


@dataclass(frozen=True)
class BenchCase:
    """A base and the readings of one machine; the last reading is the *one more* that is timed.

    texts: values of the last reading, each a little different, so that nothing of it is known yet.
    """

    name: str
    kb: Knowledge
    equipment: dict[str, object]
    readings: tuple[tuple[str, str | float], ...]
    more: str
    values: tuple[float, ...]

    def opened(self) -> Case:
        """The case with the complaint only."""
        case = Case(self.kb, self.equipment)
        case.record(*self.readings[0])
        return case

    def read(self) -> Case:
        """The case with every reading but the last."""
        case = self.opened()
        for name, value in self.readings[1:]:
            case.record(name, value)
        return case


def shipped_case(kb: Knowledge) -> BenchCase:
    """A slow crank on the shipped base, with three readings before the one that is timed."""
    readings: tuple[tuple[str, str | float], ...] = (
        ("crank_behaviour", "slow"),
        ("battery_rest_voltage", "12.6"),
        ("battery_crank_voltage", "10.4"),
        ("negative_leg_drop", "0.15"),
    )
    values = tuple(0.6 + 0.01 * step for step in range(40))
    return BenchCase("shipped", kb, {"system_voltage": 12}, readings, "positive_leg_drop", values)


def generated_case(kb: Knowledge, size: Size, seed: int = SEED) -> BenchCase:
    """A machine with one fault, on a generated base of that size; settings are those of ``kb``."""
    base = generated(kb, size, seed)
    fault = f"fault_{size.faults // 2}"
    *readings, (more, value) = readings_of(base, fault, 5, seed)
    start = float(value) if not isinstance(value, str) else 0.5
    values = tuple(start + 0.01 * step for step in range(40))
    return BenchCase(f"{size.faults} x {size.measurements}", base, {}, tuple(readings), more, values)


def exponent(points: Iterable[tuple[float, float]]) -> float:
    """The slope of log y over log x by least squares: y grows as x to that power.

    >>> round(exponent([(1.0, 3.0), (2.0, 12.0), (4.0, 48.0)]), 6)
    2.0
    """
    logs = [(log(x), log(y)) for x, y in points if y > 0.0]
    mean_x = sum(x for x, _ in logs) / len(logs)
    mean_y = sum(y for _, y in logs) / len(logs)
    across = sum((x - mean_x) ** 2 for x, _ in logs)
    return sum((x - mean_x) * (y - mean_y) for x, y in logs) / across
