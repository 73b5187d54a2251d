"""A chance accounted for, in lines that lead to the lines of the knowledge base."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from crankpath.engine.advice.accounting import Account
from crankpath.engine.advice.followed_hypothesis import Factor, Term, WeighedReading
from crankpath.engine.knowledge.entry_data import condition_words
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.shell.outlets.reports.knowledge import shown_path
from crankpath.shell.outlets.reports.readings import amount, range_words
from crankpath.shell.outlets.reports.words import fault_label, percent
from crankpath.shell.text.columns import wrapped

WIDTH: Final = 80
_SHOWN: Final = 3  # sets with other faults that are told one by one


def account_lines(kb: Knowledge, account: Account, width: int = WIDTH) -> Iterator[str]:
    """The account from the prior to the chance the case states, every figure with its place."""
    degree = f", {account.degree}" if account.degree not in ("", "present") else ""
    yield from wrapped(f"{fault_label(kb, account.fault)}: {percent(account.probability)}", width)
    yield from wrapped(f"Followed step by step: this fault alone{degree}.", width)
    yield ""
    yield from _prior_lines(kb, account, width)
    for factor in account.factors:
        yield ""
        yield from _factor_lines(kb, factor, width)
    yield ""
    yield from _sum_lines(account, width)


def place(kb: Knowledge, key: str, origin: Origin) -> str:
    """file:line of something that stands in an entry, by the folder that the entry comes from."""
    return f"{shown_path(kb.layers.get(key, ''), origin.file)}:{origin.line}"


def _prior_lines(kb: Knowledge, account: Account, width: int) -> Iterator[str]:
    prior = account.prior
    name = "unlisted" if prior.share is None else "co_occurrence_scale"
    setting = place(kb, f"settings/{name}", prior.scale_at)
    if prior.share is None:
        yield from wrapped(
            f"Before any reading {_figure(prior.of_set)}: the setting unlisted, {setting}", width
        )
        return
    yield "Before any reading"
    where = place(kb, f"faults/{account.fault}", prior.share.origin)
    given = f", where {condition_words(prior.share.given)}" if prior.share.given else ""
    yield from wrapped(
        f"share of such complaints {_figure(prior.share.chance)}{given}: {where}"
        f"{_sources(prior.share.sources)}",
        width,
        "  ",
        "    ",
    )
    scale = f"x {_figure(prior.scale)}, the setting co_occurrence_scale: {setting}"
    yield from wrapped(scale, width, "  ", "    ")
    if prior.part < 1.0:
        yield from wrapped(
            f"x {_figure(prior.part)}, the part of the degree {account.degree}", width, "  ", "    "
        )
    yield f"  = {_figure(prior.chance)} that it is there on a machine of which nothing is told"
    yield from wrapped(
        f"so {_figure(prior.of_set)} that it is behind a complaint and nothing else is, all sets "
        "of faults together being 1",
        width,
        "  ",
        "    ",
    )


def _sources(sources: tuple[str, ...]) -> str:
    return f" ({', '.join(sources)})" if sources else ""


def _factor_lines(kb: Knowledge, factor: Factor, width: int) -> Iterator[str]:
    if len(factor.terms) > 1:
        yield from wrapped("Read on one try, or at one failure: multiplied", width)
    for number, term in enumerate(factor.terms):
        if number:
            yield ""
        yield from _term_lines(kb, term, width)
    if factor.away is not None:
        when = "while nothing is tried" if factor.readings[0].symptom else "while the symptom is away"
        shows = f"It shows with chance {_figure(factor.away)} {when}"
        all_or_none = ", in all of these readings or in none" if len(factor.readings) > 1 else ""
        yield from wrapped(f"{shows}{all_or_none}; else a sound circuit is read.", width, "  ", "    ")
    sound = "" if factor.readings[0].outcome else f" (a sound circuit {_figure(factor.healthy_value)})"
    changed = " and ".join(f"{reading.odds:.3g}" for reading in factor.readings)
    odds = f"{'it' if len(factor.readings) == 1 else 'they'} changed the odds of the cause by {changed}"
    yield from wrapped(f"x {_figure(factor.value)}{sound}; {odds}", width, "  ", "    ")


def _term_lines(kb: Knowledge, term: Term, width: int) -> Iterator[str]:
    for reading in term.readings:
        yield from _reading_lines(kb, reading, width)
    if not term.rests:
        return
    unit = kb.measurements[term.readings[0].measurement].unit or ""
    balance = term.rests[0].balance
    where = place(kb, f"balances/{balance}", kb.balances[balance].origin)
    yield from wrapped(f"These add up ({balance}, {where}), so they are weighed as the parts and the rest.",
                       width, "  ", "    ")  # fmt: skip
    for rest in term.rests:
        slip = f", should {rest.without} be a slip" if rest.without else ""
        said = f"rest {amount(rest.read, unit)}{slip}: density {_figure(rest.value)}"
        yield from wrapped(f"{said} (sound {_figure(rest.healthy_value)})", width, "    ", "      ")
    said = f"together {_figure(term.value)} (sound {_figure(term.healthy_value)})"
    yield from wrapped(said, width, "  ", "    ")


def _reading_lines(kb: Knowledge, reading: WeighedReading, width: int) -> Iterator[str]:
    away = "" if reading.symptom else ", the symptom away"
    yield from wrapped(f"{kb.measurements[reading.measurement].label}: {reading.text}{away}", width)
    if reading.outcome:
        setting = place(kb, f"settings/{reading.outcome}", kb.settings.origins[reading.outcome])
        said = "That repair had nothing to do with it."
        if reading.value < 1.0:
            done = "repaired" if reading.outcome == "failed_repair" else "hidden for some days"
            said = f"It was {done}, and work comes out so by the setting {reading.outcome}, {setting}"
        yield from wrapped(said, width, "  ", "    ")
        return
    yield from _limit_lines(kb, reading, width)
    if reading.rule is not None:
        where = place(kb, f"rules/{reading.rule.id}", reading.rule.origin)
        yield from wrapped(
            f"rule {reading.rule.id}, {where}{_sources(reading.rule.sources)}", width, "  ", "    "
        )
        if reading.rule.because:
            yield from wrapped(reading.rule.because, width, "    ", "    ")
    elif reading.repaired:
        yield from wrapped("It was repaired by then: the healthy reading holds.", width, "  ", "    ")
    else:
        yield from wrapped("No rule speaks of it there: the healthy reading holds.", width, "  ", "    ")
    yield from _weighed_lines(kb, reading, width)


def _weighed_lines(kb: Knowledge, reading: WeighedReading, width: int) -> Iterator[str]:
    healthy = place(kb, f"measurements/{reading.measurement}", reading.healthy_at)
    if reading.expected is not None and reading.healthy is not None:
        unit = kb.measurements[reading.measurement].unit or ""
        yield from wrapped(f"with it {range_words(reading.expected, unit)}", width, "  ", "    ")
        yield from wrapped(f"healthy {range_words(reading.healthy, unit)} ({healthy})", width, "  ", "    ")
        slip = f"; a slip in {_figure(reading.slip)} of readings, then {_figure(reading.slipped)}"
        density = f"density {_figure(reading.value)} (sound {_figure(reading.healthy_value)})"
        yield from wrapped(f"{density}{slip if reading.slip else ''}", width, "  ", "    ")
        return
    room = max(len(band) for band in reading.bands)
    yield f"  {'':{room}}  read as  with it  healthy ({healthy})"
    for band, share, chance, sound in zip(
        reading.bands, reading.shares, reading.with_fault, reading.healthy_chances, strict=True
    ):
        if share >= 0.0005:
            yield f"  {band:{room}}  {share:7.3f}  {chance:7.4f}  {sound:7.4f}"


def _limit_lines(kb: Knowledge, reading: WeighedReading, width: int) -> Iterator[str]:
    if reading.limit_set is None:
        return
    measurement = kb.measurements[reading.measurement]
    steps = ", ".join(
        f"{band} to {limit:.4g}" for band, limit in zip(measurement.bands, reading.limits, strict=False)
    )
    where = place(kb, f"measurements/{reading.measurement}", reading.limit_set.origin)
    text = f"limits in {measurement.unit}, for people: {steps}; {where}{_sources(reading.limit_set.sources)}"
    yield from wrapped(text, width, "  ", "    ")


def _sum_lines(account: Account, width: int) -> Iterator[str]:
    yield "In all"
    yield f"  product of the above             {account.product:.6g}"
    yield f"  chance of all these readings     {account.evidence_chance:.6g}"
    yield f"  quotient: this alone             {account.alone:.6f}"
    for members, chance in account.others[:_SHOWN]:
        named = " and ".join(f"{fault} ({degree})" for fault, degree in members)
        yield from wrapped(f"+ {chance:.6f}  {named}", width, "  ", "      ")
    rest = sum(chance for _, chance in account.others[_SHOWN:])
    if rest:
        yield f"  + {rest:.6f}  {len(account.others) - _SHOWN} further sets with it"
    yield f"  sum                              {account.total:.6f}"
    yield f"  the case states                  {account.probability:.6f}"
    off = max(abs(account.total - account.probability), abs(account.alone - account.stated_alone))
    agree = "The two agree" if off < 1e-9 else f"The two DIFFER by {off:.2g}: tell the developers"
    yield from wrapped(
        f"{agree}. Sets of more faults than are listed had {account.left_out:.2g} of the chance before any "
        f"reading; they can change this by {account.bound:.2g} at most.",
        width,
    )
    for measurement, why in account.unused:
        yield from wrapped(f"Not counted: {measurement}, {why or 'no reason stated'}", width)


def _figure(chance: float) -> str:
    return f"{chance:.4g}"
