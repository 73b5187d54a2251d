"""Figures put together (ranges, parts of a whole, alternatives), and those that count things set aside."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Final

from crankpath.engine.typed.units import UNITS, unit_called
from crankpath.shell.reader.pieces.lexicon import Lexicon
from crankpath.shell.reader.pieces.number_words import with_number_words
from crankpath.shell.reader.pieces.tokens import Figure, Token, rewritten

_LEAST_RATING: Final = 200  # "380/900" is a part of a rating, "12/24" is not
_LEAST_WHOLE: Final = 20  # "3 of 10" counts tries, "380 of 900" is a part of a rating
_HOURS: Final = 24
_CLOCK: Final = 90  # an hour of the day, or so many minutes
_TALLY: Final = 3  # digits of a count of tries are fewer
_YEARS: Final = range(1950, 2050)
_REACH: Final = 4
_SIGN: Final = 2  # letters of a unit's sign


def figured(found: Sequence[Token], lexicon: Lexicon) -> list[Token]:
    """The tokens with their figures put together, and those that are no reading set aside."""
    with_units = _detached(_labelled(found), lexicon)
    return _set_aside(_put_together(with_number_words(with_units, lexicon), lexicon), lexicon)


def _labelled(found: Sequence[Token]) -> list[Token]:
    """ "Crank A 610": a unit's sign, as a meter writes it, stands before its figure."""
    made = list(found)
    for at in range(1, len(found) - 1):
        sign, figure = found[at].text, found[at + 1].figure
        unit = unit_called(sign) if len(sign) <= _SIGN and found[at - 1].kind == "word" else None
        if unit and unit.name == sign and figure and figure.unit is None:
            figure = replace(figure, text=f"{figure.text} {sign}", unit=unit)
            made[at + 1] = replace(found[at + 1], figure=figure)
    return made


def _shifted(found: Sequence[Token], at: int) -> bool:
    """ "9.6 amps 480 rpm 130": of figures in a row the last has no unit, so each unit is of the next."""
    end = at
    while end + 1 < len(found) and (figure := found[end].figure) and figure.unit and " " in found[end].text:
        end += 1
    last = found[end].figure
    closes = end + 1 == len(found) or found[end + 1].kind != "word"
    return end > at + 1 and last is not None and last.unit is None and closes


def _detached(found: Sequence[Token], lexicon: Lexicon) -> list[Token]:
    """ "Rpm 135 amps 520": the unit behind a figure names the next where its own stands before it."""
    made: list[Token] = []
    chain = False
    for at, token in enumerate(found):
        before = unit_called(made[-1].text) if made and len(made[-1].text) > 1 else None
        chain = token.figure is not None and (chain or _shifted(found, at))
        figure = token.figure
        apart = token.text.rpartition(" ") if figure and figure.unit else ("", "", "")
        if figure and figure.unit and apart[1] and (
            chain or (before and before.dimension != figure.unit.dimension)
        ):
            middle = token.start + len(apart[0])
            made.append(
                replace(token, text=apart[0], end=middle, figure=replace(figure, text=apart[0], unit=None))
            )
            made.append(Token("word", apart[2], lexicon.key(apart[2]), middle + 1, token.end))
        else:
            made.append(token)
    return made


def _put_together(found: list[Token], lexicon: Lexicon) -> list[Token]:
    made: list[Token] = []
    at = 0
    while at < len(found):
        joined, end = _joined(found, at, made, lexicon)
        made.append(joined or found[at])
        at = end if joined else at + 1
    return made


def _joined(found: list[Token], at: int, before: list[Token], lexicon: Lexicon) -> tuple[Token | None, int]:
    """The token that several together make, and where they end."""
    if found[at].figure is None:
        return _marked(found, at, lexicon)
    behind = found[at + 1] if at + 1 < len(found) else None
    parted = behind is not None and behind.kind == "soft" and behind.text != "-"
    for make in (_fraction,) if parted else (_range, _fraction, _alternatives, _error):
        token, end = make(found, at, before, lexicon)
        if token is not None:
            return token, end
    return None, at


def _figure_at(found: Sequence[Token], at: int) -> Figure | None:
    return found[at].figure if 0 <= at < len(found) else None


def _is(found: Sequence[Token], at: int, role: str, lexicon: Lexicon) -> bool:
    return 0 <= at < len(found) and found[at].kind == "word" and found[at].key in lexicon.single(role)


def _whole(found: Sequence[Token], first: int, last: int, figure: Figure) -> Token:
    text = " ".join(token.text for token in found[first:last])
    return Token("figure", text, "", found[first].start, found[last - 1].end, figure)


def _pair(found: Sequence[Token], at: int, apart: int) -> tuple[Figure, Figure] | None:
    """Two figures that can be of one reading, so many tokens apart."""
    a, b = _figure_at(found, at), _figure_at(found, at + apart)
    if a is None or b is None or "OL" in (a.text, b.text):
        return None
    return (a, b) if a.unit is None or b.unit is None or a.unit.dimension == b.unit.dimension else None


def _range(found: list[Token], at: int, before: list[Token], lexicon: Lexicon) -> tuple[Token | None, int]:
    """ "9.6 to 9.8", "9.6-9.8", "between 9.6 and 9.8"; "went from 9 to 1" is the last of them."""
    between = bool(before) and before[-1].key in lexicon.single("between")
    to = _is(found, at + 1, "to", lexicon) or (between and _is(found, at + 1, "with", lexicon))
    dash = at + 1 < len(found) and found[at + 1].text == "-"
    pair = _pair(found, at, 2) if to or dash else None
    if pair is None:
        return None, at
    a, b = pair
    if before and before[-1].key in lexicon.single("from") and _changes(before, lexicon):
        before.append(rewritten(found[at], "aside"))
        return found[at + 2], at + 3
    low, high = _like(found, at, a, b), b.text
    return _whole(found, at, at + 3, Figure(f"{low} to {high}", b.unit or a.unit, False, b.rough)), at + 3


def _like(found: Sequence[Token], at: int, a: Figure, b: Figure) -> str:
    """ "three to four hundred": the first is as many hundreds."""
    first, second = a.text.split()[0], b.text.split()[0]
    if a.whole and b.whole and len(first) == 1 and second.endswith("00") and not found[at].text.isdecimal():
        return first + second[1:]
    return a.text


def _changes(before: Sequence[Token], lexicon: Lexicon) -> bool:
    return any(token.key in lexicon.single("change") for token in before[-_REACH:])


def _fraction(found: list[Token], at: int, before: list[Token], lexicon: Lexicon) -> tuple[Token | None, int]:
    """ "380 of 900", "380/900", "310 cca out of 750", "610, rated 925"."""
    a = _figure_at(found, at)
    if a is None or not a.whole:
        return None, at
    for apart in range(2, 7):
        b = _figure_at(found, at + apart)
        if b is None or not b.whole:
            continue
        words = found[at + 1 : at + apart]
        part, whole = float(a.text.split()[0]), float(b.text.split()[0])
        slash = [t.text for t in words] == ["/"] and whole >= _LEAST_RATING
        said = slash or any(_of(t, lexicon) for t in words)
        if not said and _is(found, at - 1, "rated", lexicon):
            part, whole, said = whole, part, True  # "rated 800, tested 560"
        said = said or _is(found, at + apart + 1, "rated", lexicon)
        if sum(t.kind == "word" for t in words) > 4 or not said:
            return None, at
        if part > whole * 1.6 or whole == 0:
            return None, at
        figure = Figure(f"{100 * part / whole:.3g} %", UNITS["%"], part_of=whole)
        kind = "figure" if whole >= _LEAST_WHOLE else "aside"
        return rewritten(_whole(found, at, at + apart + 1, figure), kind, figure), at + apart + 1
    return None, at


def _of(token: Token, lexicon: Lexicon) -> bool:
    return token.kind == "word" and token.key in lexicon.single("of") | lexicon.single("rated")


def _alternatives(
    found: list[Token], at: int, before: list[Token], lexicon: Lexicon
) -> tuple[Token | None, int]:
    """ ".38 or .88": it is one of them, to be asked."""
    if not _is(found, at + 1, "or", lexicon) or (pair := _pair(found, at, 2)) is None:
        return None, at
    a, b = pair
    unit = b.unit or a.unit
    first = _like(found, at, a, b)
    if unit and not a.unit:
        first = f"{first} {unit.name}"
    return _whole(found, at, at + 3, replace(b, text=first, unit=unit, others=(b.text,))), at + 3


def _error(found: list[Token], at: int, before: list[Token], lexicon: Lexicon) -> tuple[Token | None, int]:
    pair = _pair(found, at, 2)
    if pair is None or found[at + 1].key != "±":
        return None, at
    a, b = pair
    return _whole(found, at, at + 3, Figure(f"{a.text} +/- {b.text}", a.unit or b.unit)), at + 3


def _marked(found: list[Token], at: int, lexicon: Lexicon) -> tuple[Token | None, int]:
    """ "min 8.9 max 10.4", "lowest 8.9": the mark stands right before its figure."""
    first = _mark(found, at, lexicon)
    if not first or (a := _figure_at(found, at + 1)) is None or a.others:
        return None, at
    then = at + 2
    while then < len(found) and (found[then].text in (",", "/") or _is(found, then, "joining", lexicon)):
        then += 1
    second, b = _mark(found, then, lexicon), _figure_at(found, then + 1)
    if not second or b is None or second == first:
        return None, at
    unit = b.unit or a.unit
    return _whole(found, at, then + 2, Figure(f"{first} {a.text} {second} {b.text}", unit)), then + 2


def _mark(found: Sequence[Token], at: int, lexicon: Lexicon) -> str:
    for role, mark in (("lowest", "min"), ("highest", "max")):
        if _is(found, at, role, lexicon):
            return mark
    return ""


Why = Callable[[list[Token], int, Lexicon], bool]


def _set_aside(found: list[Token], lexicon: Lexicon) -> list[Token]:
    """Figures that count, number or date things are no readings."""
    made = list(found)
    for at, token in enumerate(found):
        if token.figure and (_bounded(found, at, lexicon) or _apiece(found, at, lexicon)):
            made[at] = token = rewritten(token, token.kind, replace(token.figure, bound=True))
        if token.kind == "figure" and any(why(found, at, lexicon) for why in _REASONS):
            made[at] = rewritten(token, "aside", token.figure)
    return made


def _bounded(found: Sequence[Token], at: int, lexicon: Lexicon) -> bool:
    """ "Less than 0.1", "over 1000", "topped out at 600", but not "turning over 90"."""
    than = at > 0 and found[at - 1].kind == "word" and found[at - 1].key not in lexicon.trade
    said = [tuple(t.key for t in found[max(at - n, 0) : at]) for n in (1, 2, 3)]
    said += [keys[:-1] for keys in said if than]
    if not lexicon.roles.get("bound", frozenset()).isdisjoint(said) or _like_a_time(found, at, lexicon):
        return True
    behind = tuple(t.key for t in found[at + 1 : at + 6])
    after = lexicon.roles.get("bound_after", frozenset())
    if any(behind[first:last] in after for first, last in combinations(range(len(behind) + 1), 2)):
        return True  # "600 and it was past that"
    if any(t.key in lexicon.single("negates") for t in _clause_before(found, at)[-_REACH:-1]):
        return True  # "does not even make 8"
    over = _is(found, at - 1, "over", lexicon)
    return over and (at < 2 or found[at - 2].key not in lexicon.trade)


def _apiece(found: list[Token], at: int, lexicon: Lexicon) -> bool:
    """ "12.4 apiece", "each one reads 12.4": of how many, and what they come to, is not told."""
    around = (*_clause_before(found, at), *found[at + 1 : at + 2])
    return any(token.key in lexicon.single("apiece") for token in around)


def _word(found: Sequence[Token], at: int) -> Token | None:
    return found[at] if 0 <= at < len(found) and found[at].kind == "word" else None


def _counts(found: list[Token], at: int, lexicon: Lexicon) -> bool:
    """What it counts stands behind it: "3 tries", "a 10 amp fuse", "20 volt scale"."""
    figure, behind = found[at].figure, _word(found, at + 1)
    if figure and figure.unit and figure.whole and _is_of(found, at, lexicon):
        return True
    article = _is(found, at - 1, "article", lexicon)
    if figure and figure.unit and figure.whole and behind is None and article and _figured(found, at + 1):
        return True  # "a 12V 100Ah battery"
    if figure is None or behind is None:
        return False
    further = _word(found, at + 2)
    if further and figure.whole and not figure.unit and behind.key not in lexicon.trade:
        plural = further.text.lower().endswith("s")  # "10 more minutes", "2 fresh batteries"
        counted = further.key in lexicon.single("counted") and (plural or further.key not in lexicon.trade)
        behind = further if counted else behind
    if figure.unit is not None:
        described = article and not found[at].text.lower().endswith("s")
        apiece = behind.key in lexicon.single("apiece") and _word(found, at + 2) is None
        thing = lexicon.single("described") | lexicon.single("machine")  # "the 24v crane"
        return ((described or apiece) and figure.whole) or behind.key in thing
    low = behind.text.lower()
    if further and behind.key in lexicon.single("apiece") and further.key in lexicon.single("counted"):
        return True  # "10.50 per hour"
    if behind.key in lexicon.single("counted"):
        return behind.key not in lexicon.trade or (figure.whole and (low.endswith("s") or len(low) < 4))
    unknown = behind.key not in lexicon.vocabulary and behind.key not in lexicon.everyday
    return figure.whole and unknown and len(low) > 3 and low.endswith("s") and not low.endswith("ss")


def _figured(found: Sequence[Token], at: int) -> bool:
    return at < len(found) and found[at].kind in ("figure", "aside")


def _is_of(found: list[Token], at: int, lexicon: Lexicon) -> bool:
    """ "The fuse is 30 amp": said of a thing that nothing is read at."""
    back = at - 1
    while back > 0 and _is(found, back, "filler", lexicon):
        back -= 1
    return _is(found, back, "described", lexicon) and found[back].key not in lexicon.trade


def _numbers(found: list[Token], at: int, lexicon: Lexicon) -> bool:
    """What it is the number of stands before it: "unit 42", "part no 17"."""
    figure, before = found[at].figure, _word(found, at - 1)
    if before and before.key in lexicon.single("filler") | lexicon.single("prepositions"):
        before = _word(found, at - 2)  # "the code is 4521"
    if figure is None or before is None:
        return False
    digits = figure.text.split()[0]
    short = digits.isdecimal() and (
        figure.unit is None or (len(digits) < 3 and figure.unit.name in ("A", "m", "L"))
    )
    if before.key in lexicon.single("numbered"):
        return short and not (figure.unit and " " in found[at].text)
    small = before.key in lexicon.single("numbered_small") and figure.whole and figure.unit is None
    return small and len(digits) == 1


def _tallies(found: list[Token], at: int, lexicon: Lexicon) -> bool:
    """ "Failed 3": a small whole number right after it counts tries."""
    figure = found[at].figure
    small = figure is not None and figure.whole and figure.unit is None and len(figure.text) < _TALLY
    return small and _is(found, at - 1, "tallied", lexicon)


def _tells_time(found: list[Token], at: int, lexicon: Lexicon) -> bool:
    """ "call me at 5": a small whole number behind such a word, among words of no reading."""
    figure = found[at].figure
    before = _clause_before(found, at)
    if figure is None or figure.unit is not None or not _is(found, at - 1, "clock", lexicon):
        return False
    if not figure.whole:
        return _like_a_time(found, at, lexicon) and len(before) > 1
    number = float(figure.text.split()[-1])
    if number > _CLOCK:
        return number in _YEARS
    named = any(lexicon.called((token.key,)) for token in before[:-1])
    talk = sum(_means_nothing(token, lexicon) for token in before)
    return talk > 0 and not named


def _like_a_time(found: Sequence[Token], at: int, lexicon: Lexicon) -> bool:
    """ "Got here at 9.40", "bin um 12.15 da", but not "sits at 12.40": nothing before it is read or named."""
    figure = found[at].figure
    shape = re.fullmatch(r"(\d{1,2})\.(\d)[05]", figure.text) if figure else None
    if not shape or int(shape[1]) > _HOURS or int(shape[2]) > 5 or not _is(found, at - 1, "clock", lexicon):
        return False
    before = _clause_before(found, at)
    reads = lexicon.single("reads").union(lexicon.broad)
    return not any(t.key in reads or lexicon.called((t.key,)) for t in before)


def _clause_before(found: Sequence[Token], at: int) -> Sequence[Token]:
    """The words before a figure, back to a break."""
    first = max(at - 10, 0)
    first = max((i + 1 for i in range(first, at) if found[i].kind in ("soft", "hard")), default=first)
    return [token for token in found[first:at] if token.kind == "word"]


def _means_nothing(token: Token, lexicon: Lexicon) -> bool:
    quiet = lexicon.single("filler") | lexicon.single("prepositions") | lexicon.single("hedge")
    return token.key not in lexicon.weights and token.key not in quiet


def _is_elsewhere(found: list[Token], at: int, lexicon: Lexicon) -> bool:
    """Its unit is of nothing that is read here: a length, a temperature."""
    figure = found[at].figure
    units = lexicon.dimensions
    return figure is not None and figure.unit is not None and figure.unit.dimension not in units


_REASONS: tuple[Why, ...] = (_counts, _numbers, _tallies, _tells_time, _is_elsewhere)
