"""Numbers written as words become figures; words that only count stay words."""

from __future__ import annotations

import pytest
from shipped_base import shipped_knowledge

from crankpath.shell.reader.pieces.figures import figured
from crankpath.shell.reader.pieces.lexicon import Lexicon, lexicons
from crankpath.shell.reader.pieces.tokens import tokens

BY_LANGUAGE = {lexicon.language: lexicon for lexicon in lexicons(shipped_knowledge())}


def figures(text: str, lexicon: Lexicon) -> list[str]:
    found = figured(tokens(text, lexicon), lexicon)
    return [token.figure.text for token in found if token.kind == "figure" and token.figure]


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("zero point three eight volts", "0.38 V"),
        ("point oh five", "0.05"),
        ("twelve four", "12.4"),
        ("12 point 6", "12.6"),
        ("six hundred and fifty amps", "650 A"),
        ("one ten rpm", "110 rpm"),
        ("two twenty millivolts", "220 mV"),
        ("nine and a half volts", "9.5 V"),
        ("half a volt", "0.5 V"),
        ("a tenth of a volt", "0.1 V"),
        ("one point one k amps", "1100 A"),
        ("three to four hundred millivolts", "300 to 400 mV"),
    ],
)
def test_spoken_numbers_are_figures(said: str, meant: str) -> None:
    assert figures(said, BY_LANGUAGE["en"]) == [meant]


def test_each_language_has_its_own_number_words() -> None:
    assert figures("zwölf komma vier", BY_LANGUAGE["de"]) == ["12.4"]


@pytest.mark.parametrize(
    "said", ["one click", "two batteries", "call me at 5", "unit 42", "part no 10461758", "3 kids"]
)
def test_what_counts_or_numbers_things_is_no_figure(said: str) -> None:
    assert figures(said, BY_LANGUAGE["en"]) == []
