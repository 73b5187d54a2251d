"""Whatever a question, message or card offers is read back as it was meant, over the whole knowledge base."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from shipped_base import shipped_knowledge

from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.reader.numbered import read_answers
from crankpath.shell.reader.reader import default_facts, read_text

KB = shipped_knowledge()
PARTS = {fact.id: True for fact in KB.equipment.values() if set(fact.values) == {True, False}}
FACTS = Facts({**default_facts(KB).values, **PARTS, "system_voltage": 24,
               "disconnect_switch": "positive", "ground_path": "frame"})  # fmt: skip
OBSERVATIONS = [m for m in KB.measurements.values() if not m.numeric]
NUMERIC = [m for m in KB.measurements.values() if m.numeric]


def taken(text: str, asked: str) -> dict[str, float | str]:
    return {p.measurement: p.understood.value for p in read_text(text, KB, FACTS, asked).taken}


def first_letters(m: Measurement, band: str) -> Iterator[str]:
    """Beginnings of a value that no other value shares, from three letters on."""
    for length in range(3, len(band)):
        said = band[:length]
        others = [other for other in m.choices if other != band]
        if "_" not in said and said not in ("not", "non") and not any(o.startswith(said) for o in others):
            yield said


@pytest.mark.parametrize("m", OBSERVATIONS, ids=lambda m: m.id)
def test_a_choice_is_read_by_its_number_and_its_words(m: Measurement) -> None:
    for number, band in enumerate(m.choices, 1):
        said = [str(number), f"option {number}", band, band.replace("_", " "), m.band_labels.get(band, "")]
        for text in filter(None, said):
            assert taken(text, m.id) == {m.id: band}, text


@pytest.mark.parametrize("m", OBSERVATIONS, ids=lambda m: m.id)
def test_a_choice_is_read_by_its_first_letters(m: Measurement) -> None:
    for band in m.choices:
        labels = [m.band_labels.get(b, "").lower().split() for b in m.choices if b != band]
        for text in first_letters(m, band):
            if not any(word.startswith(text) for words in labels for word in words):
                assert taken(text, m.id) == {m.id: band}, text


@pytest.mark.parametrize("m", NUMERIC, ids=lambda m: m.id)
def test_a_reading_is_read_by_its_label_and_its_short_name(m: Measurement) -> None:
    value = {"V": "0.25 V" if m.worsens == "up" else "10.5 V", "A": "90 A", "rpm": "150 rpm", "%": "80 %",
             "mA": "40 mA", "ohm": "0.8 ohm", "degC": "14 degC"}[m.unit or ""]  # fmt: skip
    value = "6000 rpm" if m.state == "on_bench" and m.unit == "rpm" else value
    for name in (m.label, m.short):
        found = read_text(f"{name} {value}", KB, FACTS)
        assert [p.measurement for p in found.taken] == [m.id], name
        assert not found.asked


@pytest.mark.parametrize("m", OBSERVATIONS, ids=lambda m: m.id)
def test_a_numbered_answer_is_read_as_the_same_answer_alone(m: Measurement) -> None:
    first = next(n for n in NUMERIC if n.unit == "V" and n.worsens == "up")
    for number, band in enumerate(m.choices, 1):
        for said in (str(number), band, band.replace("_", " ")):
            found = read_answers(f"1 0.2 V, 2 {said}", KB, FACTS, (first.id, m.id))
            read = {p.measurement: p.understood.value for p in found.taken}
            assert read == {first.id: 0.2, m.id: band}, said
