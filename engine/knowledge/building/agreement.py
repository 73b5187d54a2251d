"""What the fields of one entry must agree on, and what one field says of another.

Each check takes the draft of a record, the entry as written, and its spot. It notes what is
wrong, and may complete the draft. A field that could not be read raises `InvalidValue` when a check
looks at it, so no check speaks of what has been told already.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any, Final

from crankpath.engine.knowledge.building.fields import Draft
from crankpath.engine.knowledge.building.known_names import YES_NO
from crankpath.engine.knowledge.building.limits import parameters_agree
from crankpath.engine.knowledge.building.spot import InvalidValue, Spot, as_written
from crankpath.engine.knowledge.chance_words import SLACK, ChanceError, spread
from crankpath.engine.knowledge.entries.faults import Degree, Fault, Share
from crankpath.engine.knowledge.entries.general import Complaint, Setting, Silence
from crankpath.engine.knowledge.entries.machine import EquipmentFact, Point
from crankpath.engine.knowledge.entries.measurements import (
    LimitSet,
    LimitTemplate,
    Measurement,
    Range,
    Unread,
)
from crankpath.engine.knowledge.entries.policy import SETTINGS
from crankpath.engine.knowledge.entries.rules import Balance, EvidenceRule
from crankpath.engine.knowledge.entries.values import Quantity
from crankpath.engine.knowledge.formula import Formula, parsed
from crankpath.engine.knowledge.problems import near, quoted
from crankpath.engine.knowledge.slips.values import decimal_commas

Written = Mapping[str, Any]


def _yes_and_no_are_words(fact: Draft, written: Written, at: Spot) -> None:
    if set(map(str, fact.values)) == YES_NO:
        fact.values = (True, False)  # so that nothing that rests on them is told as well
        at.inside("values").refuse("yes and no are words here", "Type [true, false]")


def _the_default_is_a_value(fact: Draft, written: Written, at: Spot) -> None:
    if fact.values and fact.default is not None and fact.default not in fact.values:
        known = [as_written(value).strip("'") for value in fact.values]
        at.inside("default").refuse(f"{quoted(fact.default)} is not among the "
                                    "values", near(str(fact.default), known, 12))


def _the_value_is_one_of_the_observation(complaint: Draft, written: Written, at: Spot) -> None:
    bands = at.names.choices(complaint.measurement)
    if bands and complaint.value not in bands:
        message = f"{quoted(complaint.value)} is no band of {complaint.measurement}"
        at.inside("value").refuse(message, near(complaint.value, bands, 12))


def _the_setting_is_one(setting: Draft, written: Written, at: Spot) -> None:
    """A setting that the program does not ask for changes nothing; one out of range makes nonsense."""
    shape = SETTINGS.get(at.context.id)
    if shape is None:
        at.wrong_key("no such setting is asked for", near(at.context.id, SETTINGS))
    else:
        whole = shape.whole and setting.value.is_integer()
        shape.read(int(setting.value) if whole else setting.value, at.inside("value"))


def _what_is_silenced_is_there(silence: Draft, written: Written, at: Spot) -> None:
    """So that no silence outlives its cause."""
    sections = at.names.sections
    known = {id_ for ids in sections.values() for id_ in ids}
    for index, name in enumerate(silence.entries):
        section, _, id_ = name.rpartition("/")
        if name not in sections and id_ not in (sections.get(section, ()) if section else known):
            message = f"{quoted(name)} is no entry of the knowledge base"
            at.inside("entries", index).wrong(message, near(id_, known), "unknown_id")


def _a_short_name_is_there(length: int) -> Check:
    def check(entry: Draft, written: Written, at: Spot) -> None:
        entry.short = entry.short or entry.label[:length]

    return check


def _the_unit_is_there(m: Draft, written: Written, at: Spot) -> None:
    """Bands with limits between them are of a reading in a unit: without it nothing else fits."""
    if m.unit is None and {"bands", "limits"} <= written.keys():
        del m.unit
        at.lacks("has bands and limits, but no 'unit'", "Add 'unit:', as V, A or ohm")
        raise InvalidValue


def _the_bands_suit_the_unit(m: Draft, written: Written, at: Spot) -> None:
    wanted, other = ("bands", "values") if m.unit is not None else ("values", "bands")
    if other in written:
        kind = "a reading in a unit" if m.unit is not None else "an observation (it has no unit)"
        at.inside(other).refuse(f"this does not belong to {kind}", f"Write '{wanted}'")
    for low, high in (("low", "high"), ("very_low", "low"), ("high", "very_high")):
        if m.unit is not None and low in m.bands and high in m.bands[: m.bands.index(low)]:
            rising = ", ".join(reversed(m.bands))
            at.inside(wanted).refuse(f"'{high}' stands before '{low}': bands begin with the lowest reading",
                                     f"Type [{rising}]")  # fmt: skip
    for index, band in enumerate(m.bands):
        if band in m.bands[:index]:
            at.inside(wanted, index).refuse(f"{quoted(band)} stands twice", "Keep one of them")


def _labels_are_for_bands(m: Draft, written: Written, at: Spot) -> None:
    for band in m.band_labels:
        if band not in (*m.bands, *m.finer):
            advice = near(band, m.bands, 12)
            at.inside("band_labels", band).wrong_key(f"{quoted(band)} is no band here", advice)


def _finer_values_are_of_a_band(m: Draft, written: Written, at: Spot) -> None:
    apart = at.names.bands.get(m.finer_as or "", ())
    for value, band in m.finer.items():
        if band not in m.bands:
            at.inside("finer", value).refuse(f"{quoted(band)} is no value here", near(band, m.bands, 12))
        if value not in apart:
            message = f"{quoted(value)} is no value of what 'finer_as' names"
            at.inside("finer", value).wrong_key(message, near(value, apart, 12))


def _it_leads_to_another(fault: Draft, written: Written, at: Spot) -> None:
    if at.context.id in fault.leads_to:
        at.inside("leads_to").wrong(f"{at.context.id} cannot lead to itself", "Take it out")


def _the_limits_rise(limits: Draft, written: Written, at: Spot) -> None:
    numbers = [value for value in limits.at if isinstance(value, float)]
    if any(low >= high for low, high in pairwise(numbers)):
        rising = ", ".join(f"{value:g}" for value in sorted(numbers))
        plain = len(set(numbers)) == len(limits.at)
        advice = f"Type [{rising}]" if plain else "Write them from the first band to the last"
        at.inside("at").refuse("the limits must rise", advice, "limits")


def _the_limits_are_multiplied(limits: Draft, written: Written, at: Spot) -> None:
    """Works ``times`` into the limits, so that nothing else needs to know of it."""
    times = limits.times
    if times is not None:
        limits.at = tuple(parsed(f"{_factor(limit)} * ({times.text})")[0] for limit in limits.at)
        limits.times = None


def _factor(limit: Quantity) -> str:
    return f"({limit.text})" if isinstance(limit, Formula) else repr(limit)


def _the_limits_lie_between_the_bands(m: Draft, written: Written, at: Spot) -> None:
    if m.unit is None and "limits" in written:
        at.inside("limits").wrong(
            "an observation (it has no unit) has no limits", "Remove them or add 'unit'"
        )
    elif m.unit is not None and "limits" not in written:
        at.lacks("is read in a unit but has no 'limits' between its bands", "Add 'limits:'")
    for index, limits in enumerate(m.limits):
        count, wanted = len(limits.at), len(m.bands) - 1
        if m.unit is not None and count != wanted:
            message = f"it has {count} limits; {wanted + 1} bands have {wanted} between them"
            meant = decimal_commas([f"{value:g}" for value in limits.at if isinstance(value, float)])
            advice = f"Type {meant}" if meant and count == 2 * wanted else ""
            at.inside("limits", index, "at").wrong(message, advice)
    _the_last_holds_always(m.limits, at.inside("limits"))


def _the_healthy_readings_suit_the_unit(m: Draft, written: Written, at: Spot) -> None:
    """Reads ranges of a meter; of an observation aligns the chances with the values."""
    m.healthy = tuple(replace(reading, reads=_sound(reading.reads, m)) for reading in m.healthy)
    _the_last_holds_always(m.healthy, at.inside("healthy"))


def _sound(unread: Unread, m: Draft) -> Range | tuple[float, ...]:
    if m.unit is not None:
        return unread.as_range()
    try:
        return spread(unread.as_chances(), m.bands)
    except ChanceError as slip:
        unread.at.refuse(str(slip), check="chances")


def _the_combination_suits_the_unit(m: Draft, written: Written, at: Spot) -> None:
    wrong = ("product_of_odds",) if m.unit is not None else ("adds", "shifts")
    if m.combination in wrong:
        kind = "a reading in a unit" if m.unit is not None else "an observation (it has no unit)"
        at.inside("combination").refuse(f"{quoted(m.combination)} does not belong to {kind}")


def _the_last_holds_always(parts: Iterable[Any], at: Spot) -> None:
    """The last of several alternatives is the one that is used when nothing is known."""
    for index, part in enumerate(parts := tuple(parts)):
        if index == len(parts) - 1 and part.given is not None:
            at.inside(index).wrong("the last one must hold always, as the one used when nothing is known",
                                   "Take 'given' off the last one")  # fmt: skip


def _a_share_is_a_part(share: Draft, written: Written, at: Spot) -> None:
    if not 0 < share.chance < 1:
        at.inside("chance").refuse(
            f"{share.chance:g} is no share", "A share lies above 0 and below 1", "share"
        )


def _the_shares_cover_every_machine(fault: Draft, written: Written, at: Spot) -> None:
    if not isinstance(written.get("share"), list):
        fault.shares = tuple(replace(share, sources=fault.sources) for share in fault.shares)
    _the_last_holds_always(fault.shares, at.inside("share"))


def _the_degrees_add_up(fault: Draft, written: Written, at: Spot) -> None:
    """Separates the degrees' chances from their places."""
    own = {degree: said for degree, said in fault.degrees.items() if isinstance(said, Degree)}
    chances = {d: said.chance if isinstance(said, Degree) else said for d, said in fault.degrees.items()}
    total = sum(chances.values())
    if abs(total - 1) > SLACK:
        at.inside("degrees").refuse(f"they add up to {total:.3g}", "They must add up to 1", "chances")
    fault.degrees = {degree: value / total for degree, value in chances.items()}
    fault.degree_places = {degree: said.places for degree, said in own.items()}
    fault.places = fault.places or tuple(dict.fromkeys(p for said in own.values() for p in said.places))


def _the_degrees_are_those_of_the_faults(rule: Draft, written: Written, at: Spot) -> None:
    if not rule.degrees:
        return
    known: dict[str, None] = {}
    for id_, raw in at.names.sections["faults"].items():
        data = raw.data if isinstance(raw.data, dict) else {}
        if id_ in rule.faults.ids or set(rule.faults.kinds) & set(data.get("kinds") or ()):
            degrees = data.get("degrees")
            if degrees is not None and not isinstance(degrees, dict):
                return  # told where the degrees stand
            known.update(dict.fromkeys(degrees if isinstance(degrees, dict) and degrees else ("present",)))
    for index, degree in enumerate(rule.degrees):
        if known and degree not in known:
            message = f"{quoted(degree)} is no degree of these faults"
            at.inside("degrees", index).wrong(message, near(degree, known), "unknown_id")


def _the_reading_suits_the_measurements(rule: Draft, written: Written, at: Spot) -> None:
    """A range for meters; chances for observations, which must all have these values.

    With a kind and a place the circuit decides which measurements are meant, so here one
    fitting measurement of the kind is enough.
    """
    of_kinds = [id_ for kind in rule.measurements.kinds for id_ in at.names.measurement_kinds.get(kind, ())]
    meant = [id_ for id_ in dict.fromkeys((*rule.measurements.ids, *of_kinds)) if at.names.bands.get(id_)]
    if any(_unit_of(id_, at) is not None for id_ in meant):
        rule.reads = rule.reads.as_range()
        return
    unread = rule.reads
    if meant and isinstance(unread.value, dict) and "between" in unread.value:
        data = at.names.sections["measurements"][meant[0]].data
        if {"bands", "limits"} <= data.keys():
            raise InvalidValue  # told as a reading without its unit
        values = ", ".join(f"{value}: ..." for value in at.names.bands[meant[0]])
        unread.at.refuse(f"{meant[0]} is an observation and has no range", f"Write {{{values}}}")
    rule.reads = unread.as_chances()
    slips = {}
    for id_ in meant:
        try:
            spread(rule.reads, at.names.bands[id_])
        except ChanceError as slip:
            slips[id_] = str(slip)
    if slips and (len(slips) == len(meant) or not rule.measurements.kinds or rule.where == "any"):
        worst = next(iter(slips))
        observed = {id_: bands for id_, bands in at.names.bands.items() if _unit_of(id_, at) is None}
        others = [id_ for id_, bands in observed.items() if set(rule.reads) <= set(bands)]
        if len(others) == 1 and not set(rule.reads) & set(at.names.bands[worst]):
            at.inside("measurements").refuse(f"what it reads are values of {others[0]}, not of {worst}",
                                             f"Type [{others[0]}]", "chances")  # fmt: skip
        unread.at.refuse(f"this does not fit {worst}: {slips[worst]}", check="chances")


def _unit_of(measurement: str, at: Spot) -> Any:
    known = at.names.sections["measurements"].get(measurement)
    return known.data.get("unit") if known is not None and isinstance(known.data, dict) else None


def _the_implied_one_is_part_of_it(balance: Draft, written: Written, at: Spot) -> None:
    ids = (balance.whole, *balance.parts)
    if balance.implied and balance.implied not in ids:
        message = f"{quoted(balance.implied)} is neither the whole nor a part"
        at.inside("implied").refuse(message, near(balance.implied, ids))


Check = Callable[[Draft, Written, Spot], None]

CHECKS: Final[Mapping[type, tuple[Check, ...]]] = {
    EquipmentFact: (_yes_and_no_are_words, _the_default_is_a_value),
    Complaint: (_the_value_is_one_of_the_observation,),
    Setting: (_the_setting_is_one,),
    Silence: (_what_is_silenced_is_there,),
    Point: (_a_short_name_is_there(12),),
    LimitSet: (_the_limits_rise, _the_limits_are_multiplied),
    LimitTemplate: (parameters_agree,),
    Measurement: (
        _a_short_name_is_there(14), _the_unit_is_there, _the_bands_suit_the_unit, _labels_are_for_bands,
        _finer_values_are_of_a_band, _the_limits_lie_between_the_bands, _the_combination_suits_the_unit,
        _the_healthy_readings_suit_the_unit,
    ),
    Share: (_a_share_is_a_part,),
    Fault: (_the_shares_cover_every_machine, _the_degrees_add_up, _it_leads_to_another),
    EvidenceRule: (_the_degrees_are_those_of_the_faults, _the_reading_suits_the_measurements),
    Balance: (_the_implied_one_is_part_of_it,),
}  # fmt: skip
