"""Whatever a question, message or card offers is read back as it was meant, over both knowledge bases."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest
from sampled import one_in
from shipped_base import shipped_knowledge

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.condition import Facts, FactValue
from crankpath.engine.knowledge.folders import SHIPPED, shipped_bases
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge, Measurement
from crankpath.shell.outlets.messages.preparations import answer_example, example_value
from crankpath.shell.reader.numbered import read_answers
from crankpath.shell.reader.reader import default_facts, read_text

BASES = {
    SHIPPED: shipped_knowledge(),
    **{name: load_knowledge(name, shipped=False) for name in shipped_bases()},
}
EVERY = [(base, m) for base, kb in BASES.items() for m in kb.measurements.values()]
OBSERVED = [pytest.param(base, m, id=f"{base}-{m.id}") for base, m in EVERY if not m.numeric]
NUMERIC = [pytest.param(base, m, id=f"{base}-{m.id}") for base, m in EVERY if m.numeric]


@cache
def facts(base: str, asked: str) -> Facts:
    """A machine that has a reading: with every part, and of those that shut each other out the right one."""
    kb = BASES[base]
    parts = [f.id for f in kb.equipment.values() if set(f.values) == {True, False}]
    usual: dict[str, FactValue] = {**default_facts(kb).values, **dict.fromkeys(parts, True)}
    only = kb.measurements[asked].only
    others = ({**usual, f.id: value} for f in kb.equipment.values() for value in f.values)
    return next(Facts(v) for v in (usual, *others) if only is None or only.holds(Facts(v)) is not False)


def taken(base: str, text: str, m: str, asked: str | None) -> dict[str, float | str]:
    found = read_text(text, BASES[base], facts(base, m), asked)
    assert not found.asked, (text, found.asked)
    return {p.measurement: p.understood.value for p in found.taken}


def number_words(kb: Knowledge, number: int) -> Iterator[str]:
    """A place in a list as it is said: three, the third one."""
    for words in (words for words in kb.words.values() if words.language == "en"):
        yield from words.numbers.get(str(number), ())
        yield from (f"the {word} one" for word in words.ordinals.get(str(number), ()))


def first_letters(m: Measurement, band: str) -> Iterator[str]:
    """Beginnings of a value that no other value shares, from three letters on."""
    for length in range(3, len(band)):
        said = band[:length]
        others = [other for other in m.choices if other != band]
        means_more = "_" in said or said in ("not", "non", "one")
        if not means_more and not any(o.startswith(said) for o in others):
            yield said


@pytest.mark.parametrize(("base", "m"), one_in(4, OBSERVED))
def test_a_choice_is_read_by_its_number_and_its_words(base: str, m: Measurement) -> None:
    for number, band in enumerate(m.choices, 1):
        said = [str(number), f"option {number}", band, band.replace("_", " "), m.band_labels.get(band, "")]
        for text in filter(None, (*said, *number_words(BASES[base], number))):
            assert taken(base, text, m.id, m.id) == {m.id: band}, text


@pytest.mark.parametrize(("base", "m"), one_in(4, OBSERVED))
def test_a_choice_is_read_by_its_first_letters(base: str, m: Measurement) -> None:
    for band in m.choices:
        labels = [m.band_labels.get(b, "").lower().split() for b in m.choices if b != band]
        for text in first_letters(m, band):
            if not any(word.startswith(text) for words in labels for word in words):
                assert taken(base, text, m.id, m.id) == {m.id: band}, text


@pytest.mark.parametrize(("base", "m"), one_in(4, NUMERIC))
def test_a_reading_is_read_by_its_label_and_its_short_name(base: str, m: Measurement) -> None:
    value = {"V": "0.25 V" if m.worsens == "up" else "10.5 V", "A": "90 A", "rpm": "150 rpm", "%": "80 %",
             "mA": "40 mA", "ohm": "0.8 ohm", "degC": "14 degC"}[m.unit or ""]  # fmt: skip
    value = "6000 rpm" if m.state == "on_bench" and m.unit == "rpm" else value
    for name in (m.label, m.short):
        assert list(taken(base, f"{name} {value}", m.id, None)) == [m.id], name


@pytest.mark.parametrize(("base", "m"), one_in(4, NUMERIC + OBSERVED))
def test_the_examples_that_a_message_offers_are_read_as_the_answer(base: str, m: Measurement) -> None:
    case = Case(BASES[base], dict(facts(base, m.id).values))
    name, example = answer_example(case, m)
    for text, asked in ((example, None), (example, m.id), (example_value(case, m), m.id)):
        assert list(taken(base, text, m.id, asked)) == [m.id], text
    found = read_text(f"{name} n/a", BASES[base], facts(base, m.id), m.id)
    assert [cannot for cannot, _ in found.cannot] == [m.id], name


@pytest.mark.parametrize(("base", "m"), one_in(4, OBSERVED))
def test_a_numbered_answer_is_read_as_the_same_answer_alone(base: str, m: Measurement) -> None:
    first = next(n for b, n in EVERY if b == base and n.numeric and n.unit == "V" and n.worsens == "up")
    for number, band in enumerate(m.choices, 1):
        for said in (str(number), band, band.replace("_", " ")):
            found = read_answers(f"1 0.2 V, 2 {said}", BASES[base], facts(base, m.id), (first.id, m.id))
            read = {p.measurement: p.understood.value for p in found.taken}
            assert read == {first.id: 0.2, m.id: band}, said
