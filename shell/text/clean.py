"""Text that comes from people and files, made safe for a terminal; and lines made visible on one.

Everything that is printed goes through `clean`, so that a name or a note can neither move
the cursor nor change colours.
"""

from __future__ import annotations

import unicodedata
from typing import Final

LONGEST: Final = 4000  # characters of one typed line that are looked at

_GONE: Final = {"Cc": " ", "Cf": "", "Cs": "", "Zl": " ", "Zp": " "}
_BOLD, _WARN, _PLAIN = "\x1b[1m", "\x1b[1;33m", "\x1b[0m"


def clean(text: str) -> str:
    """The text without control characters, each made a space, and without marks that turn its direction.

    >>> clean("a\\x1b[31mb\\tc\\u202ed")
    'a [31mb cd'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_GONE.get(unicodedata.category(c), c) for c in text)


def one_line(text: str, most: int = LONGEST) -> str:
    """Cleaned, spaces made one, cut to `most` characters.

    >>> one_line("  rained \\n all   night ", 12)
    'rained al...'
    """
    line = " ".join(clean(text[: 4 * most]).split())
    return line if len(line) <= most else line[: most - 3] + "..."


def painted(line: str) -> str:
    """A line with what its first mark says made bold or yellow; the marks alone say the same.

    >>> painted("! Goggles and gloves.") == "\\x1b[1;33m! Goggles and gloves.\\x1b[0m"
    True
    """
    if line.startswith("! "):
        return f"{_WARN}{line}{_PLAIN}"
    if line.startswith((">> ", "== ")):
        return f"{_BOLD}{line}{_PLAIN}"
    return line
