"""Short wording that the screens of the session share."""

from __future__ import annotations

import re
from collections.abc import Iterable

from crankpath.engine.inference.entries import CannotTake, Entry, Reading, Repaired, Tries
from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Knowledge, Measurement
from crankpath.shell.outlets.reports.readings import value_words
from crankpath.shell.text.clean import one_line
from crankpath.shell.text.columns import clipped, columns, padded, wrapped

INDENT = "   "
_FILLING = frozenset(("at", "the", "of", "a", "an", "by", "in"))


def entry_words(kb: Knowledge, entry: Entry) -> str:
    """One entry of a case in a few words."""
    match entry:
        case Reading():
            m = kb.measurements[entry.measurement]
            what = entry.text if m.numeric else value_words(m, str(entry.value))
            cable = f" cable {entry.cable}" if entry.cable != 1 else ""
            away = "" if entry.symptom else f", on a good {kb.about.one_try}"
            return one_line(f"{m.label}{cable}: {what}{away}")
        case CannotTake():
            return f"{kb.measurements[entry.measurement].label}: cannot be taken"
        case Tries():
            return tries_words(entry.failures, entry.of, entry.waiting)
        case Repaired():
            how = {True: "cured", False: "not cured", None: "proof is due"}[entry.cured]
            return f"repair made: {kb.repairs[entry.repair].label} ({how})"


def tries_words(failures: object, of: object, waiting: bool) -> str:
    """Tries, counted or made only to read a failure."""
    return f"failed {failures} of {of} tries" + (", waiting for a failure" if waiting else "")


def aligned(rows: list[tuple[str, str]], width: int, indent: str = INDENT, most: int = 16) -> list[str]:
    """Two columns; the second goes on below itself, or the whole row wraps where there is no room.

    >>> aligned([("back", "take back"), ("note TEXT", "a note")], 40)
    ['   back       take back', '   note TEXT  a note']
    """
    first = min(max((columns(a) for a, _ in rows), default=0), most)
    lines: list[str] = []
    for a, b in rows:
        start = f"{indent}{padded(a, first)}  "
        lines += wrapped(b, width, start, " " * (len(indent) + first + 2))
    return lines


def wrapped_lines(lines: Iterable[str], width: int) -> list[str]:
    """The lines, those wider than the terminal wrapped below their mark.

    >>> wrapped_lines(["? There is no case 7; cases lists them."], 24)
    ['? There is no case 7;', '  cases lists them.']
    """
    found: list[str] = []
    for line in lines:
        mark = re.match(r"(?:\?|!|--|==|>>)? *", line)
        indent = mark.end() if mark else 0
        fits = columns(line) <= width
        found += [line] if fits else wrapped(line[indent:], width, line[:indent], " " * indent)
    return found


def name_in(label: str, width: int) -> str:
    """The name of a cause in at most `width`; names begin alike and end in what tells them apart.

    >>> name_in("bad joint at the battery positive post", 32)
    'bad joint battery positive post'
    >>> name_in("bad joint at the battery positive post", 20)
    '..positive post'
    """
    if columns(label) <= width:
        return label
    words = [word for word in label.split() if word not in _FILLING]
    if columns(" ".join(words)) <= width:
        return " ".join(words)
    while len(words) > 1 and columns(" ".join(words)) > width - 2:
        del words[0]
    return ".." + clipped(" ".join(words), max(width - 2, 1), "")


def head(text: str, width: int) -> list[str]:
    """A question's first line."""
    return wrapped(text, width, ">> ", ">> ")


def say(text: str, width: int) -> list[str]:
    """A sentence below it; nothing for ""."""
    return wrapped(text, width, INDENT) if text else []


def of_complaint(m: Measurement) -> bool:
    """True for what the operator tells: it costs nothing and is not argued for."""
    return bool({SYMPTOM_KIND, HISTORY_KIND} & set(m.kinds))
