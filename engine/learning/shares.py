"""How often each fault is met: the stated shares beside the causes that closed cases confirmed.

Shares are Dirichlet: what the knowledge base states counts as much as a stated number of
cases (setting ``shares_worth``), and every confirmed cause counts one. With all machines
alike the result is the posterior mean (worth * m_f + n_f) / (worth + n), m_f being the
fault's part of all shares (for instance Bernardo & Smith 1994, section 3.2; from memory).
Where a fault's share depends on the machine, every share of it is scaled by the same
ratio, found against what the shares lead to expect on the machines that were seen.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.entries.faults import SENSIBLE_SHARES
from crankpath.engine.knowledge.records import Fault, Knowledge
from crankpath.engine.machine.equipment import complete

WORTH: Final = "shares_worth"
"""The setting: as many cases as the stated shares are worth."""


@dataclass
class ShareTotals:
    """The machines of closed cases, as far as shares depend on them: every fault's part of all shares."""

    count: float = 0.0
    _parts: dict[str, float] = field(default_factory=dict)

    def add(self, model: Model) -> None:
        """One machine."""
        self.count += 1.0
        elements = model.elements
        shares = {fault: sum(elements[i].chance for i in own) for fault, own in model.elements_of.items()}
        whole = sum(shares.values())
        for fault, share in shares.items():
            self._parts[fault] = self._parts.get(fault, 0.0) + share / whole

    def add_all(self, others: ShareTotals, weight: float) -> None:
        """Other machines, each standing for so many that were not looked at."""
        self.count += weight * others.count
        for fault, part in others._parts.items():
            self._parts[fault] = self._parts.get(fault, 0.0) + weight * part

    def part(self, fault: str) -> float:
        """A fault's part of all shares, on average."""
        return self._parts.get(fault, 0.0) / self.count


@dataclass(frozen=True, slots=True)
class ShareChange:
    """One fault's shares. found: cases that confirmed it; expected: what the shares led to expect.

    ratio: by which every share of the fault is to be multiplied. shares: (before, after) of each
    share, as written.
    """

    fault: Fault
    found: float
    expected: float
    ratio: float
    shares: tuple[tuple[float, float], ...]


def share_changes(
    kb: Knowledge, confirmed: Mapping[str, float], worth: float, machines: ShareTotals | None = None
) -> tuple[ShareChange, ...]:
    """What the confirmed causes make of every fault's share, in the order of faults.

    Args:
        kb: states the shares.
        confirmed: fault -> number of cases that confirmed it; unknown ids are passed over.
        worth: as many cases as the stated shares are worth, above 0.
        machines: of the cases; without any, all are taken for the default machine.
    """
    if machines is None or not machines.count:
        machines = ShareTotals()
        machines.add(Model(kb, complete(kb, {})))
    counts = {fault: confirmed.get(fault, 0.0) for fault in kb.faults}
    causes, found = sum(counts.values()), []
    for fault in kb.faults.values():
        part = machines.part(fault.id)
        ratio = (worth * part + counts[fault.id]) / ((worth + causes) * part) if part > 0.0 else 1.0
        shares = tuple((share.chance, _scaled(share.chance, ratio)) for share in fault.shares)
        found.append(ShareChange(fault, counts[fault.id], causes * part, ratio, shares))
    return tuple(found)


def _scaled(share: float, ratio: float) -> float:
    """A share multiplied, no further out of line than it is or sense allows."""
    low, high = SENSIBLE_SHARES
    return min(max(float(f"{share * ratio:.3g}"), min(low, share)), max(high, share))
