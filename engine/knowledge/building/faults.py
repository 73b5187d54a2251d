"""The records of faults and repairs."""

from __future__ import annotations

from crankpath.engine.knowledge.building.entry import Entry
from crankpath.engine.knowledge.chance_words import SLACK
from crankpath.engine.knowledge.records import Fault, Repair, Share, Step


def fault(entry: Entry) -> Fault:
    """One listed fault."""
    return Fault(
        id=entry.id,
        label=entry.text("label"),
        group=entry.text("group"),
        kinds=entry.words("kinds"),
        places=entry.refs("places", "segments") or _all_places(entry),
        shares=_shares(entry),
        degrees=_degrees(entry),
        degree_places=_degree_places(entry),
        away=entry.chance("away", 1.0),
        repair=entry.ref("repair", "repairs"),
        proof=entry.maybe_ref("proof", "measurements"),
        leads_to=entry.refs("leads_to", "faults"),
        only=entry.condition("only"),
        about=entry.text("about", ""),
        cautions=entry.refs("cautions", "cautions"),
        sources=entry.refs("source", "references"),
        origin=entry.at,
    )


def _shares(entry: Entry) -> tuple[Share, ...]:
    if not entry.has("share"):
        entry.wrong(None, "does not say how often it is met", "Add 'share:', of 1 for all such complaints")
        return ()
    if not isinstance(entry.raw("share"), list):
        value = _share(entry, "share")
        return (Share(None, value, entry.refs("source", "references"), entry.origin("share")),)
    shares = []
    for part in entry.parts("share"):
        given = part.condition("given")
        shares.append(Share(given, _share(part, "chance"), part.refs("source", "references"), part.at))
        part.close()
    if not shares or shares[-1].given is not None:
        entry.wrong("share", "the last one must hold always, as the one used when nothing is known",
                    "Take 'given' off the last one")  # fmt: skip
    return tuple(shares)


def _share(entry: Entry, key: str) -> float:
    value = entry.chance(key)
    if not 0 < value < 1:
        entry.wrong(key, f"{value:g} is no share", "A share lies above 0 and below 1", check="share")
    return value


def _degrees(entry: Entry) -> dict[str, float]:
    written = entry.mapping("degrees")
    if not written:
        return {"present": 1.0}
    chances = {
        degree: entry.chance_at("degrees", value["chance"] if isinstance(value, dict) else value, degree)
        for degree, value in written.items()
    }
    total = sum(chances.values())
    if abs(total - 1) > SLACK:
        entry.wrong("degrees", f"add up to {total:.3g}", "They must add up to 1", check="chances")
    return {degree: value / total for degree, value in chances.items()} if total else chances


def _degree_places(entry: Entry) -> dict[str, tuple[str, ...]]:
    """Places of the degrees that have their own: ``degree: {chance, places}``."""
    return {
        degree: entry.refs_in("degrees", value["places"], degree, "segments")
        for degree, value in entry.mapping("degrees").items()
        if isinstance(value, dict)
    }


def _all_places(entry: Entry) -> tuple[str, ...]:
    return tuple(dict.fromkeys(place for places in _degree_places(entry).values() for place in places))


def repair(entry: Entry) -> Repair:
    """Work that cures one or more faults."""
    return Repair(
        id=entry.id,
        label=entry.text("label"),
        steps=_steps(entry),
        minutes=entry.number("minutes", least=0),
        parts_cost=entry.number("parts_cost", 0.0, least=0),
        cautions=entry.refs("cautions", "cautions"),
        sources=entry.refs("source", "references"),
        origin=entry.at,
        does=entry.refs("does", "hazards"),
        needs=entry.condition("needs"),
        instead=entry.maybe_ref("instead", "repairs"),
        needs_because=entry.text("needs_because", ""),
    )


def _steps(entry: Entry) -> tuple[Step, ...]:
    """Each step a text, or ``step`` with what it ``does``."""
    written = entry.raw("steps")
    if not isinstance(written, list) or not any(isinstance(item, dict) for item in written):
        return tuple(Step(text) for text in entry.words("steps"))
    return tuple(
        _step(entry.part("steps", index)) if isinstance(item, dict) else Step(str(item))
        for index, item in enumerate(written)
    )


def _step(part: Entry) -> Step:
    step = Step(part.text("step"), part.refs("does", "hazards"))
    part.close()
    return step
