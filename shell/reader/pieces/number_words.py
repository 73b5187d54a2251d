"""Numbers written as words: "zero point three eight volts", "nine hundred", "half a volt"."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from crankpath.engine.typed.units import Unit, unit_called
from crankpath.shell.reader.pieces.lexicon import Lexicon
from crankpath.shell.reader.pieces.tokens import Figure, Token

_MOST: Final = 8  # number words in a row that are one number
_LOOSE: Final = frozenset("acflmrvk")


def with_number_words(found: Sequence[Token], lexicon: Lexicon) -> list[Token]:
    """The tokens, runs of number words made figures."""
    made: list[Token] = []
    at = 0
    while at < len(found):
        if not found[at].key and found[at].figure is None:  # a sign
            made.append(found[at])
            at += 1
            continue
        last = _run(found, at, lexicon)
        figure, end = _number(found, at, last, lexicon) if last > at else _one_and_a_half(found, at, lexicon)
        if figure is None:
            made.append(found[at])
            at += 1
        else:
            made.append(
                Token("figure", _text(found, at, end), "", found[at].start, found[end - 1].end, figure)
            )
            at = end
    return made


def _text(found: Sequence[Token], first: int, last: int) -> str:
    return " ".join(token.text for token in found[first:last])


def _run(found: Sequence[Token], first: int, lexicon: Lexicon) -> int:
    """One past the last token that may belong to the number that begins here."""
    last = first
    while last < len(found) and last - first < _MOST:
        token = found[last]
        bare = token.figure is not None and token.figure.whole and token.figure.unit is None
        spoken = token.kind == "word" and (
            token.key in lexicon.numbers or token.key in lexicon.single("point")
        )
        if not (spoken or bare or _linked(found, last, first, lexicon)):
            break
        last += 1
    return last


def _linked(found: Sequence[Token], at: int, first: int, lexicon: Lexicon) -> bool:
    """ "Six hundred and fifty": the "and" between hundreds and the rest."""
    if at == first or at + 1 >= len(found) or found[at].key not in lexicon.single("with"):
        return False
    return lexicon.numbers.get(found[at - 1].key, 0) >= 100 and found[at + 1].key in lexicon.numbers


def _number(found: Sequence[Token], first: int, last: int, lexicon: Lexicon) -> tuple[Figure | None, int]:
    """The figure of a run of number words and where it ends; None if it is no number or written in digits."""
    while last > first and found[last - 1].key in lexicon.single("point"):
        last -= 1
    run = [token for token in found[first:last] if token.key not in lexicon.single("with")]
    half, after = _half(found, last, lexicon)
    if all(token.kind == "figure" for token in run) and (not half or len(run) > 1):
        return None, first
    points = [
        i for i, token in enumerate(run) if token.key in lexicon.single("point") and token.kind == "word"
    ]
    values = [_value(token, lexicon) for token in run]
    if len(points) > 1:
        return None, first
    if points:
        whole = _whole(values[: points[0]]) if points[0] else (0.0, "")
        digits = _digits(values[points[0] + 1 :])
        if whole is None or whole[1] or not digits:
            return None, first
        number = f"{whole[0]:g}.{digits}"
    else:
        spoken = _whole(values)
        if spoken is None:
            return None, first
        number = f"{spoken[0]:g}" + (f".{spoken[1]}" if spoken[1] else "")
    half, after = (half, after) if not points else (0.0, last)
    number = f"{float(number) + half:g}" if half else number
    if after < len(found) and found[after].text.lower() == "k":
        number, after = f"{float(number) * 1000:g}", after + 1
    unit, end = _unit(found, after)
    alone = len(run) == 1 and not half and unit is None
    if alone and number == "0":  # it says nothing, which is read as such: "zero change"
        return None, first
    if alone and not (
        float(number) >= 13
        or (number != "1" and float(number) % 1 == 0 and _closes(found, last, lexicon))
        or _begins(found, last, lexicon)
    ):
        return None, first
    return Figure(number + (f" {unit.name}" if unit else ""), unit, "." not in number), end


def _value(token: Token, lexicon: Lexicon) -> float:
    if token.figure is not None:
        return float(token.figure.text)
    return lexicon.numbers.get(token.key, -1.0)


def _whole(values: Sequence[float]) -> tuple[float, str] | None:
    """What number words say: (whole number, digits behind an unspoken point); None if they are no number."""
    total, now, digits = 0.0, 0.0, ""
    for value in values:
        if digits:
            return None
        if value < 1 and value > 0:
            now = (now or 1) * value
        elif value == 100:
            now = (now or 1) * 100
        elif value == 1000:
            total, now = total + (now or 1) * 1000, 0.0
        elif now == 0 or (now % 100 == 0 and value < 100):
            now += value
        elif 20 <= now % 100 <= 90 and now % 10 == 0 and value < 10:
            now += value  # thirty five
        elif now < 10 <= value < 100:
            now = now * 100 + value  # six fifty
        elif now < 100 and value < 10:
            digits = f"{value:g}"  # twelve four, nine six
        else:
            return None
    return total + now, digits


def _digits(values: Sequence[float]) -> str:
    """Digits spoken behind the point: three eight, oh five, thirty eight."""
    text = ""
    for value in values:
        if value < 0 or value >= 100 or value != int(value):
            return ""
        if text and text[-1] == "0" and len(text) >= 2 and text[-2] != "0" and 0 < value < 10:
            text = text[:-1]  # thirty eight
        text += f"{value:.0f}"
    return text


def _half(found: Sequence[Token], at: int, lexicon: Lexicon) -> tuple[float, int]:
    """ "and a half", "and a quarter" behind a whole number."""
    keys = [token.key for token in found[at : at + 3]]
    if len(keys) == 3 and 0 < (part := lexicon.numbers.get(keys[2], 1)) < 1 and found[at].kind == "word":
        times = lexicon.numbers.get(keys[1], 1 if len(keys[1]) <= 3 else 0)  # "and three quarters"
        return (times * part, at + 3) if 0 < times * part < 1 else (0.0, at)
    return 0.0, at


def _one_and_a_half(found: Sequence[Token], at: int, lexicon: Lexicon) -> tuple[Figure | None, int]:
    """ "A volt and a half"."""
    unit, end = _unit(found, at + 1) if found[at].key in lexicon.single("article") else (None, at)
    half, after = _half(found, end, lexicon) if unit and end == at + 2 else (0.0, at)
    return (Figure(f"{1 + half:g} {unit.name}", unit), after) if unit and half else (None, at)


def _unit(found: Sequence[Token], at: int) -> tuple[Unit | None, int]:
    """A unit behind the number: "half a volt", "a tenth of a volt" too."""
    for skip in range(3):
        if at + skip >= len(found) or found[at + skip].kind != "word":
            break
        word = found[at + skip].text
        unit = unit_called(word)
        if unit and word.lower() not in _LOOSE:
            return unit, at + skip + 1
        if len(word) > 2:
            break
    return None, at


def _begins(found: Sequence[Token], at: int, lexicon: Lexicon) -> bool:
    """ "Three to four hundred": another number follows."""
    joins = at + 1 < len(found) and found[at].key in lexicon.single("to") | lexicon.single("or")
    return joins and (found[at + 1].key in lexicon.numbers or found[at + 1].kind == "figure")


def _closes(found: Sequence[Token], last: int, lexicon: Lexicon) -> bool:
    """Nothing or a break stands behind a small number, so it counts nothing."""
    quiet = lexicon.single("filler") | lexicon.everyday
    while last < len(found) and found[last].kind == "word" and found[last].key in quiet:
        last += 1
    return last == len(found) or found[last].kind in ("hard", "soft")
