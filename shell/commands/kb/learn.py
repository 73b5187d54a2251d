"""``crankpath kb learn``: what the shop's closed cases say of the knowledge base."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import click

from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.learning import proposals as readings
from crankpath.engine.learning import shares
from crankpath.engine.learning.learner import Learner
from crankpath.engine.learning.proposals import proposals
from crankpath.engine.learning.shares import share_changes
from crankpath.shell.files import write_page
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.learning import learned_file
from crankpath.shell.learning.closed_cases import closed_cases
from crankpath.shell.learning.offers import Offer, accepted, entries_of, offers_of, stands_elsewhere, without
from crankpath.shell.learning.trial import harmless, progress, root_of, trial
from crankpath.shell.outlets.reports.learning import (
    LEARNED,
    calibration_lines,
    misleading_lines,
    not_looked_at,
    reading_lines,
    share_lines,
)

_MOST_LEFT_OUT = 12
_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command("learn")
@click.option(
    "--from", "source", metavar="STORE|FOLDER",
    help="A store, or a folder of case files; your store by default.",
)  # fmt: skip
@click.option("--write", type=_FILE, help="Ask about each proposal; write those accepted to this file.")
@click.option("--yes", is_flag=True, help="With --write: accept every proposal.")
@click.option("--out", type=_FILE, help="Write all proposals to this file to be read; nothing is accepted.")
@click.option("--take-back", type=_FILE, help="This file as it was before it was last written.")
@click.option(
    "--worth", type=click.FloatRange(1),
    help=f"How many cases the stated shares count as (setting {shares.WORTH}).",
)  # fmt: skip
@click.option(
    "--readings-worth", type=click.FloatRange(1),
    help=f"How many cases what a rule says counts as (setting {readings.WORTH}).",
)  # fmt: skip
@pass_folders
def command(
    folders: Folders,
    source: str | None,
    write: Path | None,
    yes: bool,
    out: Path | None,
    take_back: Path | None,
    worth: float | None,
    readings_worth: float | None,
) -> None:
    """Learn from the closed cases: how often faults are found, and what readings show with each of them.

    Also tells which rules misled and whether the chances that were stated held. Nothing is changed but
    with --write: then each proposal is asked about, what is accepted is tried with the check and the
    cases of the shop, and what does no harm goes to that file in the shop's folder. In a folder of case
    files the cause is `expect: {first: ...}`, or what the repair that cured is for. Run again, it begins
    from what was stated before it learned anything.

    \b
    Example:
      crankpath kb learn
      crankpath kb learn --from closed-cases --write our-shop/learned.yaml
      crankpath kb learn --take-back our-shop/learned.yaml
    """
    if take_back is not None:
        learned_file.take_back(take_back)
        click.echo(f"{take_back} is as it was before.")
        return
    kb = folders.load()
    below = folders.below.load()
    base = _unlearned(kb, below)
    worths = [
        given or base.settings.values.get(name) or below.settings[name]
        for name, given in ((shares.WORTH, worth), (readings.WORTH, readings_worth))
    ]
    lessons, left_out = _lessons(base, source)
    cases = sum(lessons.confirmed.values())
    changes = share_changes(base, lessons.confirmed, worths[0], lessons.machines)
    found = proposals(base, lessons.listener.heard.values(), worths[1])
    reports = (
        share_lines(changes, cases, worths[0]),
        reading_lines(found, worths[1]),
        misleading_lines(base, lessons.hindsight.misleading),
        calibration_lines(lessons.hindsight.stated),
    )
    click.echo("\n\n".join("\n".join(lines) for lines in reports))
    if lessons.read < lessons.cases:
        click.echo(f"\n{not_looked_at(lessons.cases, lessons.read)}")
    if left_out:
        click.echo("\nNot counted:\n" + "\n".join(f"  {sentence}" for sentence in _first(left_out)))
    offers = offers_of(base, changes, cases, worths[0], found)
    if out is not None:
        write_page(out, learned_file.text_of(entries_of(offers)))
        click.echo(f"\nWritten to be read: {out}. Nothing is accepted.")
    if write is not None:
        _write(folders, kb, write, offers, yes)


def _lessons(base: Knowledge, source: str | None) -> tuple[Learner, list[str]]:
    """What the cases at a place teach, and a sentence for each that cannot be counted."""
    lessons, left_out = Learner(base), []
    with closed_cases(source) as (filed, read), progress(filed, "closed cases") as shown:
        for one in shown:
            if lessons.wants(one.causes):
                closed = read(one, base)
                if isinstance(closed, str):
                    left_out.append(closed)
                else:
                    lessons.take(one.causes, closed)
    return lessons, left_out


def _first(sentences: Sequence[str]) -> Iterator[str]:
    yield from sentences[:_MOST_LEFT_OUT]
    if len(sentences) > _MOST_LEFT_OUT:
        yield f"... and {len(sentences) - _MOST_LEFT_OUT} more"


def _unlearned(kb: Knowledge, below: Knowledge) -> Knowledge:
    """The knowledge as it was before any learning, so that no case counts twice."""
    faults, rules, layers = dict(kb.faults), dict(kb.rules), dict(kb.layers)
    for id_, fault in kb.faults.items():
        if id_ in below.faults and any(LEARNED in share.sources for share in fault.shares):
            faults[id_] = replace(fault, shares=below.faults[id_].shares)
    for id_, rule in kb.rules.items():
        if LEARNED in rule.sources:
            del rules[id_]
        if LEARNED in rule.sources and id_ in below.rules:
            rules[id_] = below.rules[id_]
            layers[f"rules/{id_}"] = below.layers[f"rules/{id_}"]
    return replace(kb, faults=faults, rules=rules, layers=layers)


def _write(folders: Folders, kb: Knowledge, file: Path, offers: Sequence[Offer], yes: bool) -> None:
    """Ask about each offer, try those accepted, and write those that do no harm."""
    before = learned_file.read(file)
    if not file.resolve().parent.is_dir():
        raise CaseError(f"{file} cannot be written: there is no such folder. Make it first.")
    elsewhere = stands_elsewhere(kb, root_of(folders, file), file)
    offers = [offer for one in offers if (offer := without(one, elsewhere)).entries]
    taken = list(offers) if yes else list(accepted(offers))
    if not taken:
        click.echo("\nNothing is accepted; nothing is written.")
        return
    cite = ("references", LEARNED) not in elsewhere

    def text(some: Sequence[Offer]) -> str:
        return learned_file.text_of({**learned_file.blocks_of(before), **entries_of(some)}, cite)

    with trial(folders, file) as tried:
        kept, refused = harmless(tried, taken, text)
    for offer, said in refused:
        click.echo(f"\n{offer.name} is not accepted, because of what it would do:")
        click.echo("\n".join(f"  {sentence}" for sentence in _first(said)))
    if text(kept) == before:
        click.echo("\nNothing changes; nothing is written.")
        return
    learned_file.write(file, text(kept))
    click.echo(f"\nWritten: {file}, {len(kept)} of {len(offers)} proposals. The check and the cases hold.")
    click.echo(f"To take it back: crankpath kb learn --take-back {file}")
