"""What the body of an entry from elsewhere must hold; pure functions.

A body of an unknown kind is let through, and so are parts that are not named here: a newer program
may have written them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

_LONGEST: Final = 20_000  # characters of a text
_LARGEST: Final = 1e15  # no figure of a machine has more digits
_MOST: Final = 100_000  # tries, or numbers of cranks and cables
_DEEPEST: Final = 3  # facts hold cables by run, and those their gauge and length


def _text(value: object) -> bool:
    return isinstance(value, str) and len(value) <= _LONGEST


def _yes_or_no(value: object) -> bool:
    return value is None or isinstance(value, bool)


def _said(value: object) -> bool:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return -_LARGEST <= value <= _LARGEST
    return value is None or _text(value)


def _count(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= _MOST


def _texts(value: object) -> bool:
    return isinstance(value, list) and all(map(_text, value))


def _facts(value: object, depth: int = 1) -> bool:
    if isinstance(value, Mapping):
        return depth <= _DEEPEST and all(_facts(part, depth + 1) for part in value.values())
    return depth > 1 and (_said(value) or _yes_or_no(value))


_TEXT: Final = {"text": _text}
_PARTS: Final[Mapping[str, Mapping[str, Callable[[object], bool]]]] = {
    "opened": {"name": _text, "machine?": _text},
    "equipment": {"facts?": _facts, "lacks?": _texts, "machine?": _text, "asked?": _text,
                  "round_trip?": _said},
    "complaint": _TEXT,
    "reading": {"measurement": _text, "text?": _said, "value?": _said, "symptom?": _yes_or_no,
                "crank?": _count, "cable?": _count},
    "cannot": {"measurement": _text},
    "skip": {"measurement": _text},
    "tries": {"failures": _count, "of": _count, "waiting?": _yes_or_no},
    "repaired": {"repair": _text, "cured?": _yes_or_no},
    "note": _TEXT,
    "caution_shown": {"caution": _text, "act?": _text},
    "taken_back": {"event": _text},
    "closed": {"causes?": _texts},
    "renamed": {"name": _text},
    "sent": {**_TEXT, "waits_for?": _text, "step?": _count, "measurements?": _texts},
    "promised": {"text?": _text, "due?": _text, "kept?": _text, "watch?": _texts, "until?": _text,
                 "call?": _text},
    "given": {"to": _text},
    "papers": {"label": _text, **_TEXT},
    "attached": {"file": _text, "size": _said, "digest": _text, "event?": _text},
}  # fmt: skip
"""Kind of entry -> its parts and what each may be; a name with "?" may be left out."""


def flaw(kind: str, body: Mapping[str, Any]) -> str:
    """Return what is wrong with a body, as the end of a sentence, or "" if nothing is."""
    for name, fits in _PARTS.get(kind, {}).items():
        part = name.removesuffix("?")
        if part not in body:
            if part == name:
                return f"its {part!r} is missing"
        elif not fits(body[part]):
            return f"its {part!r} cannot be {_shown(body[part])}"
    if kind == "reading" and body.get("text") is None and body.get("value") is None:
        return "its 'text' is missing"
    if kind == "tries" and body["failures"] > body["of"]:
        return f"it cannot have failed {body['failures']} of {body['of']} times"
    return ""


def _shown(value: object) -> str:
    try:
        return repr(value)[:40]
    except ValueError:  # a figure of thousands of digits
        return "such a figure"
