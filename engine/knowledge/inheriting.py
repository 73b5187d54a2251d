"""``like: ID``: an entry takes the fields it does not write from another of its section.

    positive_splice_drop:
      like: positive_post_drop
      label: drop across the splice block
      between: [splice_in, splice_out]

Names of a thing (``label``, ``short``, ``aliases``) are its own and never taken; neither is
what speaks of the very place that is written anew (`goes_with` in the records). An entry of a shop's folder
that is ``like`` its own id changes single fields of the shipped entry of that id. A list need not be
written anew: ``kinds: {add: [splice], drop: [post]}`` is the list taken over with these put in and taken out.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from crankpath.engine.knowledge.building.fields import ADD, DROP, LIKE, RecordOf, sections_of, written_fields
from crankpath.engine.knowledge.building.lists import ASelector, ListOf
from crankpath.engine.knowledge.documents import Place, RawEntry, inside, key_origin
from crankpath.engine.knowledge.problems import ProblemCollector, near, quoted
from crankpath.engine.knowledge.records import Knowledge, Origin


def with_inherited(
    section: str, added: Mapping[str, RawEntry], below: Mapping[str, RawEntry], slips: ProblemCollector
) -> dict[str, RawEntry]:
    """The entries of one folder with what ``like`` gives them filled in.

    Args:
        section: the section they stand in.
        added: the folder's entries.
        below: the entries of the folders below it.
        slips: takes an id that is not known, and entries that are like each other.
    """
    if not sections_of(Knowledge)[section].like:
        return dict(added)
    done: dict[str, RawEntry] = {}
    for id_ in added:
        _complete(section, id_, added, below, slips, done, ())
    return {id_: done[id_] for id_ in added}


def _complete(
    section: str,
    id_: str,
    added: Mapping[str, RawEntry],
    below: Mapping[str, RawEntry],
    slips: ProblemCollector,
    done: dict[str, RawEntry],
    way: tuple[str, ...],
) -> RawEntry:
    if id_ in done:
        return done[id_]
    raw = added[id_]
    base = raw.data.get(LIKE) if isinstance(raw.data, dict) else None
    if base is None:
        done[id_] = raw
        return raw
    origin = key_origin(raw.key.file, raw.place, LIKE)
    found: RawEntry | None = None
    if not isinstance(base, str):
        message = f"{section} {id_}: {quoted(base)} is no id to be like"
        slips.add(origin, message, "Write 'like: id', one id of the section", raw.folder)
    elif base in way:
        message = f"{section} {id_}: entries that are like each other: {', '.join((*way, id_))}"
        slips.add(origin, message, "Write one of them out", raw.folder)
    elif base != id_ and base in added:
        found = _complete(section, base, added, below, slips, done, (*way, id_))
    elif base in below:
        found = below[base]
    else:
        message = f"{section} {id_} is like {quoted(base)}, which is not in '{section}'"
        slips.add(origin, message, near(base, (*added, *below)), raw.folder, check="unknown_id")
    done[id_] = _laid_over(section, raw, found, origin, slips)
    return done[id_]


def _laid_over(
    section: str, raw: RawEntry, base: RawEntry | None, origin: Origin, slips: ProblemCollector
) -> RawEntry:
    """The entry with the base's fields where it has none; they stand where ``like`` stands."""
    own: dict[str, Any] = {key: value for key, value in raw.data.items() if key != LIKE}
    taken: Mapping[str, Any] = base.data if base is not None and isinstance(base.data, dict) else {}
    if base is not None and base.id != raw.id:
        left = _left_out(section, own)
        taken = {key: value for key, value in taken.items() if key not in left}
    here = Place(origin.line, origin.column, None)
    written = raw.place.below if isinstance(raw.place.below, Mapping) else {}
    below = {**dict.fromkeys(taken, (origin.line, origin.column, here)), **written}
    lists = _lists(section)
    for key, change in own.items():
        if key in lists and isinstance(change, dict) and change and set(change) <= {ADD, DROP}:
            own[key], below[key] = _changed(taken.get(key), change, inside(raw.place, key), raw, key, slips)
    place = Place(raw.place.line, raw.place.column, below)
    return RawEntry(raw.id, {**taken, **own}, place, raw.key, raw.folder, base is None or base.spoilt)


def _lists(section: str) -> set[str]:
    """The fields of a section that hold a list."""
    shape = sections_of(Knowledge)[section].shape
    fields = written_fields(shape.cls).values() if isinstance(shape, RecordOf) else ()
    return {field.key for field in fields if isinstance(field.shape, (ListOf, ASelector))}


def _changed(
    taken: Any, change: Mapping[str, Any], at: Place, raw: RawEntry, key: str, slips: ProblemCollector
) -> tuple[list[Any], tuple[int, int, Place]]:
    """The list taken over with what is added and dropped, and the place of it."""
    before = [taken] if isinstance(taken, str) else list(taken or ())
    if isinstance(taken, dict):
        message = f"{raw.id} {key}: what is taken over is no list"
        slips.add(Origin(raw.key.file, at.line, at.column), message, "Write it out", raw.folder)
    added, dropped = (_as_list(change.get(name)) for name in (ADD, DROP))
    for n, gone in enumerate(dropped):
        if gone not in before:
            item = inside(inside(at, DROP), n)
            message = f"{raw.id} {key}: {quoted(gone)} is not in the list that is taken over"
            slips.add(Origin(raw.key.file, item.line, item.column), message,
                      near(str(gone), map(str, before)), raw.folder, check="unknown_id")  # fmt: skip
    kept = [item for item in before if item not in dropped]
    fresh = [n for n, item in enumerate(added) if item not in kept]
    places = [at] * len(kept) + [inside(inside(at, ADD), n) for n in fresh]
    return [*kept, *(added[n] for n in fresh)], (at.line, at.column, Place(at.line, at.column, places))


def _as_list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def _left_out(section: str, own: Mapping[str, Any]) -> set[str]:
    """The fields that are never taken over by an entry that writes these itself."""
    shape = sections_of(Knowledge)[section].shape
    fields = written_fields(shape.cls).values() if isinstance(shape, RecordOf) else ()
    left = [field for field in fields if field.own or any(key in own for key in field.goes_with)]
    return {key for field in left for key in field.keys}
