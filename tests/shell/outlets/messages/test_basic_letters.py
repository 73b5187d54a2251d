from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.messages.basic_letters import ALPHABET, in_basic_letters

# 3GPP TS 23.038, section 6.2.1: the basic table without the letters of its extension.
BASIC_TABLE = (
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)


def test_the_alphabet_lies_in_the_basic_table_of_the_standard() -> None:
    assert frozenset(BASIC_TABLE) >= ALPHABET


def test_signs_are_spelled_out() -> None:
    assert in_basic_letters("0.4 Ω at −18 °C – “hot”…") == '0.4 ohm at -18 deg C - "hot"...'


def test_accents_go_where_the_alphabet_lacks_the_letter_and_stay_where_it_has_it() -> None:
    assert in_basic_letters("čistý pôl, Jürgen, año") == "cisty pol, Jürgen, año"


def test_letters_without_a_plain_spelling_are_kept_so_that_no_caution_has_holes() -> None:
    assert in_basic_letters("масса: снять первой") == "масса: снять первой"
    assert in_basic_letters("地線を先に") == "地線を先に"


def test_escapes_and_marks_that_turn_the_direction_are_taken_out() -> None:
    assert in_basic_letters("a\x1b[31mb\x9b1mc\u202ed\ne") == "a (31mb 1mcd e"


@given(st.text())
def test_no_control_character_is_ever_left(text: str) -> None:
    sent = in_basic_letters(text)
    assert all(letter.isprintable() for letter in sent if letter in ALPHABET or ord(letter) < 160)
    assert "\x1b" not in sent
    assert "\u202e" not in sent


def test_everything_the_shipped_knowledge_can_send_fits_the_alphabet(shipped: Knowledge) -> None:
    texts = [caution.short for caution in shipped.cautions.values()]
    for m in shipped.measurements.values():
        texts += [m.label, m.short, m.asks, m.leads, *m.bands]
    texts += [repair.label for repair in shipped.repairs.values()]
    assert {letter for text in texts for letter in in_basic_letters(text)} <= ALPHABET
