"""What a mistyped value or name was meant to be."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any, Final

_COMMA: Final = re.compile(r"[-+]?[0-9]+,[0-9]+\Z")
_PER_CENT: Final = re.compile(r"([0-9]+(?:[.,][0-9]+)?) ?(?:%|per ?cent|percent)\Z", re.IGNORECASE)
_WITH_UNIT: Final = re.compile(r"([-+]?[0-9]+(?:[.,][0-9]+)?) ?([^\W\d]+|°C)\Z")
_DASHES: Final = str.maketrans("–—−", "---")
# Letters of other alphabets that look like Latin ones (the everyday part of Unicode's confusables).
_ALIKE: Final = str.maketrans(
    "аеорсухіјѕԁһкмтвнАВЕКМНОРСТУХІЈЅαοερυνιΑΒΕΖΗΙΚΜΝΟΡΤΥΧ‐‑–—−０１２３４５６７８９",
    "aeopcyxijsdhkmtbhABEKMHOPCTYXIJSaoepuviABEZHIKMNOPTYX-----0123456789",
)


_ROUND: Final = re.compile(r"[-+]?[0-9OoIl]*[.,]?[0-9OoIl]+\Z")  # letters that look like nought and one
_AS_DIGITS: Final = str.maketrans("OoIl", "0011")
_THOUSANDS: Final = re.compile(r"[1-9][0-9]{0,2}(,[0-9]{3})+\Z")
_FROM_TO: Final = re.compile(r"(-?[0-9.]+) ?(?:-|to|\.\.\.?) ?(-?[0-9.]+)\Z")
_ONE_IN: Final = re.compile(r"([0-9]{1,4}) *(?:/|in|of) *([0-9]{1,6})$")


def number_meant(value: Any) -> str:
    """The number that was meant by what is none, as it is to be typed; empty if there is none.

    >>> number_meant("0,06"), number_meant("6 %"), number_meant("75 min"), number_meant("–5")
    ('0.06', '0.06', '75', '-5')
    >>> number_meant("1/8"), number_meant("O.07"), number_meant("60,000")
    ('0.125', '0.07', '60000')
    """
    if isinstance(value, list):
        return (
            number_meant(value[0]) or (f"{value[0]:g}" if _number(value[0]) else "")
            if len(value) == 1
            else ""
        )
    if not isinstance(value, str):
        return ""
    text = value.translate(_ALIKE).strip()
    if found := _PER_CENT.match(text):
        return f"{float(found[1].replace(',', '.')) / 100:g}"
    if found := _WITH_UNIT.match(text):
        text = found[1]
    if _ROUND.match(text) and any(sign.isdigit() for sign in text):
        text = text.translate(_AS_DIGITS)
    if _THOUSANDS.match(text):
        return text.replace(",", "")
    if _COMMA.match(text):
        return text.replace(",", ".")
    if (found := _ONE_IN.match(text)) and float(found[2]):
        return f"{float(found[1]) / float(found[2]):.3g}"
    try:
        float(text)
    except ValueError:
        return ""
    return "" if text.lower().strip("+-.") in ("nan", "inf", "infinity") else text.removeprefix("+")


def list_meant(value: Any) -> str:
    """The list that was meant by what is none, or by one text alone, as it is to be typed; else empty.

    >>> list_meant("400-4000"), list_meant({"low": 1, "high": 2.5}), list_meant(["green red dark"])
    ('[400, 4000]', '[1, 2.5]', '[green, red, dark]')
    """
    if isinstance(value, str) and (found := _FROM_TO.match(value.translate(_DASHES).strip())):
        return f"[{found[1]}, {found[2]}]"
    if isinstance(value, dict) and len(value) > 1 and all(map(_number, value.values())):
        return f"[{', '.join(f'{number:g}' for number in value.values())}]"
    if isinstance(value, list) and len(value) == 1 and isinstance(value[0], str) and " " in value[0].strip():
        return f"[{', '.join(re.split(r'[ ;/]+', value[0].strip()))}]"
    return ""


def _number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def decimal_commas(values: Sequence[Any]) -> str:
    """A list whose numbers were typed with commas, as it is to be typed; empty if it was not.

    >>> decimal_commas([0, "05", 0, 1, 2, 5, 9, 6])
    '[0.05, 0.1, 2.5, 9.6]'
    """
    texts = [str(value) for value in values]
    if len(texts) < 2 or len(texts) % 2 or not all(re.match(r"-?[0-9]+\Z", text) for text in texts):
        return ""
    return f"[{', '.join(f'{whole}.{part}' for whole, part in zip(texts[::2], texts[1::2], strict=True))}]"


def formula_meant(text: str, names: Iterable[str] = ()) -> str:
    """Arithmetic with decimal points, the signs of a program, whole names and every parenthesis closed.

    >>> formula_meant("1,4 x system_voltage")
    '1.4 * system_voltage'
    >>> formula_meant("1.2 (system_voltage - 2")
    '1.2 * (system_voltage - 2)'
    >>> formula_meant("system voltage / 12", ["system_voltage"])
    'system_voltage / 12'
    """
    spaced = sorted((name for name in names if "_" in name), key=len, reverse=True)
    for name in (name for name in spaced if name.replace("_", " ") in text):
        text = text.replace(name.replace("_", " "), name)
    text = re.sub(r"([0-9]),([0-9])", r"\1.\2", text)
    text = re.sub(r" [xX] |[×·∙]", " * ", text).replace("÷", "/").replace(":", "/")
    text = re.sub(r"([\w.)]) +(?=[\w(])|(\d)(?=\()", r"\1\2 * ", text.translate(_DASHES))
    text += ")" * (text.count("(") - text.count(")"))
    return re.sub(r" +", " ", text).strip()


def latin(word: str) -> str:
    """The word with letters of other alphabets that look like Latin ones replaced by these.

    >>> latin("gr\\u043eund")
    'ground'
    """
    return word.translate(_ALIKE)


def odd_letter(word: str) -> str:
    """The first letter that only looks like a Latin one, with its number; empty if there is none."""
    odd = next((letter for letter, plain in zip(word, latin(word), strict=True) if letter != plain), "")
    return f"'{odd}' (U+{ord(odd):04X})" if odd else ""
