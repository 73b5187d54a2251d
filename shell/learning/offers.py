"""What closed cases propose, to be accepted or left one by one."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import click

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.learning.proposals import RuleProposal
from crankpath.engine.learning.shares import ShareChange
from crankpath.shell.outlets.reports.explanation import place
from crankpath.shell.outlets.reports.learning import (
    case_lines,
    proposal_lines,
    reading_entry,
    share_entries,
    share_lines,
)

_TAKE, _LEAVE, _CASES, _ALL, _QUIT = "y", "n", "c", "all", "q"
_SECTIONS: Final = ("faults", "rules", "references")


@dataclass(frozen=True, slots=True)
class Offer:
    """Something to accept or leave. lines: what it is; cases: behind it; entries: as they are written.

    All shares are one offer: they are parts of a whole, and one raised alone would lower no other.
    """

    name: str
    lines: tuple[str, ...]
    cases: tuple[str, ...]
    entries: Mapping[tuple[str, str], str]


def offers_of(
    kb: Knowledge, changes: Sequence[ShareChange], cases: float, worth: float, found: Sequence[RuleProposal]
) -> list[Offer]:
    """The shares as one offer, then every rule that should say something else."""
    faults = share_entries(changes) if cases else {}
    shares = {("faults", fault): entry for fault, entry in faults.items()}
    offers = [Offer("shares", tuple(share_lines(changes, cases, worth)), (), shares)] if shares else []
    for one in found:
        entries = {("rules", one.id): reading_entry(kb, one)}
        offers.append(Offer(one.id, tuple(proposal_lines(one)), tuple(case_lines(one)), entries))
    return offers


def entries_of(offers: Iterable[Offer]) -> dict[tuple[str, str], str]:
    """(section, id) -> entry, of several offers."""
    return {key: entry for offer in offers for key, entry in offer.entries.items()}


def stands_elsewhere(kb: Knowledge, folder: Path, file: Path) -> dict[tuple[str, str], str]:
    """What stands in another file of the shop's folder, and where: it is changed there, not here."""
    found = {}
    for key, layer in kb.layers.items():
        section, _, id_ = key.partition("/")
        entry = getattr(kb, section, {}).get(id_) if section in _SECTIONS else None
        if entry is None:
            continue
        at = Path(layer).resolve() / entry.origin.file
        if folder in at.parents and at != file.resolve():
            found[section, id_] = place(kb, key, entry.origin)
    return found


def without(offer: Offer, elsewhere: Mapping[tuple[str, str], str]) -> Offer:
    """The offer without what stands in another file of the shop; that is told."""
    for key in offer.entries:
        if key in elsewhere:
            click.echo(f"\n{key[1]} stands in {elsewhere[key]}; change it there:")
            click.echo(offer.entries[key], nl=False)
    return replace(offer, entries={key: e for key, e in offer.entries.items() if key not in elsewhere})


def accepted(offers: Sequence[Offer]) -> Iterator[Offer]:
    """The offers that are accepted, one by one; at the end of the input the rest is left."""
    click.echo(f"\n{len(offers)} proposals. y accepts, n leaves it, c shows its cases, all accepts the rest,")
    click.echo("q leaves the rest.")
    everything = False
    for number, offer in enumerate(offers, 1):
        answer = _TAKE if everything else _answer(f"{number} of {len(offers)}", offer)
        everything = everything or answer == _ALL
        if answer == _QUIT:
            return
        if answer in (_TAKE, _ALL):
            yield offer


def _answer(which: str, offer: Offer) -> str:
    click.echo("\n" + "\n".join(offer.lines))
    while True:
        click.echo(f"{which}, accept? y/n/c/all/q> ", nl=False)
        line = sys.stdin.readline()
        word = line.strip().lower()
        if not line:
            click.echo()
            return _QUIT
        if word == _CASES:
            click.echo("\n".join(offer.cases) or "  All closed cases stand behind it.")
        elif word in (_TAKE, _LEAVE, _ALL, _QUIT):
            return word
