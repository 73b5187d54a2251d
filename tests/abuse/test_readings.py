"""Anything typed as a reading is a value, or a sentence; never a traceback, never a wait."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager

from hypothesis import given, settings
from hypothesis import strategies as st

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import Knowledge

Within = Callable[[float], AbstractContextManager[None]]

PIECES = """
0 1 12.6 0,35 .35 -0.35 350 1e3 1e999 -1e-999 nan inf OL ol open ∞ V mV µV v A mA kA Ω ohm kΩ MΩ % rpm °C to
.. - – — + ± x / , . ; : ' " ( ) = ~ < > about ca. not yes no nothing none dead ½ ① ٣ ۵ 3 ² e E slow silent
single_click 12V6 0.4.5 1,234.5 1.234,5 0x1F 1_000
"""
_PIECES = st.sampled_from([*PIECES.split(), "\t", "\n", "\0", "\u202e", "\u200b", "\ufeff"])
typed = (
    st.lists(_PIECES, max_size=8).map(" ".join)
    | st.lists(_PIECES, max_size=8).map("".join)
    | st.text(max_size=60)
    | st.floats()
    | st.integers()
    | st.text(alphabet="0123456789.,-+eE ", min_size=1, max_size=400)
)


def attempt(
    case: Case, name: str, text: str | float, symptom: bool, cable: int
) -> tuple[Reading | None, str]:
    """The reading, or the sentence that refuses it."""
    try:
        return case.read(name, text, symptom, cable), ""
    except CaseError as slip:
        return None, str(slip)


def test_whatever_is_typed_is_understood_or_refused_in_a_sentence(
    kb: Knowledge, plenty: settings, within: Within
) -> None:
    cases = [Case(kb, {"system_voltage": volts}) for volts in (12, 24)]
    names = sorted(kb.measurements)

    @plenty
    @given(st.sampled_from(cases), st.sampled_from(names), typed, st.booleans(), st.integers(-1, 4))
    def check(case: Case, name: str, text: str | float, symptom: bool, cable: int) -> None:
        with within(2.0):
            reading, refusal = attempt(case, name, text, symptom, cable)
        if reading is None:
            assert "\n" not in refusal
            assert 10 < len(refusal) < 1000
            return
        measurement = kb.measurements[name]
        if isinstance(reading.value, str):
            assert reading.value in measurement.bands
        else:
            assert reading.value == reading.value  # never a number that is none
            assert measurement.numeric

    check()


def test_whatever_was_understood_can_be_ranked(kb: Knowledge, plenty: settings, within: Within) -> None:
    empty = Case(kb, {"system_voltage": 12})
    names = sorted(empty.assessment.model.measurements)

    @settings(plenty, max_examples=max(plenty.max_examples // 10, 30))
    @given(st.lists(st.tuples(st.sampled_from(names), typed, st.booleans()), max_size=6))
    def check(entries: list[tuple[str, str | float, bool]]) -> None:
        case = Case(kb, {"system_voltage": 12})
        case._model = empty._model
        with within(10.0):
            for name, text, symptom in entries:
                try:
                    case.record(name, text, symptom)
                except CaseError:
                    continue
            chances = [cause.probability for cause in case.causes()]
            case.suggestions()
            case.verdict()
        assert all(-1e-9 <= chance <= 1.0 + 1e-9 for chance in chances)

    check()
