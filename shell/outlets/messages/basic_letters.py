"""Text in the letters that every telephone sends one by one (3GPP TS 23.038, the basic table).

A single letter outside the table makes a whole message cost more than twice the room, so
signs are spelled out. A letter that has no plain spelling is kept: a dearer message is
better than a caution with holes in it.
"""

from __future__ import annotations

import unicodedata
from typing import Final

from crankpath.shell.text.clean import clean

ALPHABET: Final = frozenset(
    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789"
    " !\"#$%&'()*+,-./:;<=>?@_£¥¤§¡¿ÄÅÆÇÉÑÖØÜßàäåæèéìñòöøùü"
)
"""The basic table without capital Greek, which is rarely meant, and without control characters."""

_SPELLED: Final = str.maketrans(
    {
        "Ω": "ohm", "\N{OHM SIGN}": "ohm", "µ": "u", "μ": "u", "°": " deg ", "²": "2", "³": "3", "·": ".",
        "–": "-", "—": "-", "−": "-", "‐": "-", "\N{NON-BREAKING HYPHEN}": "-", "±": "+/-",
        "×": "x", "÷": "/",
        "≤": "<=", "≥": ">=", "≈": "about ", "→": "to", "…": "...", "•": "-", "½": "1/2", "¼": "1/4",
        "‘": "'", "’": "'", "‚": ",", "“": '"', "”": '"', "„": '"', "«": '"', "»": '"', "`": "'", "´": "'",
        "[": "(", "]": ")", "{": "(", "}": ")", "\\": "/", "|": "/", "~": "about ", "^": " ", "€": "EUR",
    }
)  # fmt: skip


def in_basic_letters(text: str) -> str:
    """The text in one line, signs spelled out, accents taken off where they cost room.

    >>> in_basic_letters("0.4\\u2009Ω \\x1b[1m– “hot” joint")
    '0.4 ohm (1m- "hot" joint'
    """
    if ALPHABET.issuperset(text):
        return " ".join(text.split())
    spelled = clean(text).translate(_SPELLED)
    return " ".join("".join(map(_letter, spelled)).split())


def _letter(letter: str) -> str:
    if letter in ALPHABET:
        return letter
    bare = "".join(c for c in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(c))
    return bare if bare and ALPHABET.issuperset(bare) else letter
