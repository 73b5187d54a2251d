"""What people type for a reading, and what is made of it."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shipped_base import shipped_knowledge

from crankpath.engine.errors import DoubtfulReading, ReadingError
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import HealthyReading, LimitSet, Measurement, MeterError, Origin
from crankpath.engine.typed.reading import understand
from crankpath.engine.typed.units import UNITS, in_unit

HERE = Origin("test.yaml", 1, 1)
TWELVE = Facts({"system_voltage": 12})


def measurement(**changes: object) -> Measurement:
    """A drop over a leg of a 12 V circuit, changed as a test needs it."""
    drop = Measurement(
        id="leg_drop",
        label="leg drop",
        short="leg",
        aliases=(),
        asks="",
        group="g",
        kinds=("loaded_drop",),
        unit="V",
        bands=("low", "near", "high"),
        band_labels={},
        combination="adds",
        scale=1.0,
        whole=(),
        limits=(LimitSet(None, (0.2, 0.4), (), "", HERE),),
        healthy=(HealthyReading(None, (0.9, 0.09, 0.01), HERE),),
        between=("a", "b"),
        covers=(("a", "b"),),
        leaves_out=(),
        signed=False,
        least=0.0,
        most=Formula.parse("1.3 * system_voltage"),
        doubtful_above=None,
        error=MeterError(0.05, 0.01),
        state="cranking",
        setups=(),
        tools=(),
        minutes=1.0,
        only=None,
        parallel=None,
        leads="",
        meter="",
        steps=(),
        misleads="",
        cautions=(),
        sources=(),
        origin=HERE,
    )
    return replace(drop, **changes)  # type: ignore[arg-type]


DROP = measurement()
BATTERY = measurement(label="battery voltage", combination="smallest")
CURRENT = measurement(label="current", unit="A", combination="shifts", most=5000.0)
SPEED = measurement(label="speed", unit="rpm", combination="smallest", most=3000.0)
SLEEP = measurement(label="sleep draw", unit="mA", most=20_000.0)
WINDING = measurement(label="winding", unit="ohm", combination="shifts", most=None)
SEEN = measurement(
    label="what it does",
    unit=None,
    limits=(),
    bands=("normal", "slow", "spins_free", "chatter", "single_click", "silent"),
    band_labels={"chatter": "rapid clicking"},
)


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("0.35", 0.35),
        (".35 V", 0.35),
        ("350mV", 0.35),
        ("350 mV", 0.35),
        ("350 MV", 0.35),
        ("0,35 V", 0.35),
        ("-0.35", 0.35),
        ("- 0.35", 0.35),
        ("\u22120.35", 0.35),
        ("+.35", 0.35),
        ("0.35v", 0.35),
        ("0.35V.", 0.35),
        ("350 millivolts", 0.35),
        ("０．３５", 0.35),
        ("0.35 volts", 0.35),
        ("1,250 V", 1.25),
        ("1.250", 1.25),
        ("9.6-9.8", 9.7),
        ("9.6 to 9.8 V", 9.7),
        ("0.4..0.5", 0.45),
        ("between 0.4 and 0.5", 0.45),
        ("350-400 mV", 0.375),
        ("min 9.4 max 10.1", 9.75),
        ("9.4 min 10.1 max", 9.75),
        ("max 10.1 min 9.4", 9.75),
        ("about 0.4", 0.4),
        ("~0.4", 0.4),
        ("0.4V 0.42V", 0.41),
        ("0.4V 420 mV", 0.41),
        ("0,4 0,42", 0.41),
        ("0.4,0.42", 0.41),
        ("9.6 +/- 0.1", 9.6),
        ("9.6±0.1 V", 9.6),
        ("zero", 0.0),
        ("no volts", 0.0),
        (0.35, 0.35),
        (3, 3.0),
        (-0.2, 0.2),
        ("35e-2", 0.35),
    ],
)
def test_a_voltage_is_understood_however_it_is_typed(typed: str | float, value: float) -> None:
    assert understand(DROP, typed, TWELVE).value == pytest.approx(value, abs=1e-12)


@pytest.mark.parametrize(
    ("reading", "typed", "value"),
    [
        (CURRENT, "850 amps", 850),
        (CURRENT, "0.85 kA", 850),
        (CURRENT, "-300A", 300),
        (CURRENT, "350", 350),
        (SPEED, "180 rpm", 180),
        (SPEED, "180r/min", 180),
        (SPEED, "1,250 rpm", 1250),
        (SPEED, "1,250", 1250),
        (SLEEP, "35", 35),
        (SLEEP, "0.035 A", 35),
        (SLEEP, "1,250 mA", 1250),
        (WINDING, "0.3 Ω", 0.3),
        (WINDING, "0.3Ω", 0.3),
        (WINDING, "300 mΩ", 0.3),
        (WINDING, "300 mohm", 0.3),
        (WINDING, "1.5kΩ", 1500),
        (WINDING, "2 k ohm", 2000),
        (WINDING, "2 MΩ", 2e6),
        (WINDING, "0.3 ohms", 0.3),
        (WINDING, "OL", math.inf),
        (WINDING, "O.L", math.inf),
        (WINDING, "0L Ω", math.inf),
        (WINDING, "overload", math.inf),
        (WINDING, "open", math.inf),
    ],
)
def test_each_unit_of_the_trade_is_understood(reading: Measurement, typed: str, value: float) -> None:
    assert understand(reading, typed, TWELVE).value == pytest.approx(value)


@pytest.mark.parametrize(
    ("typed", "note"),
    [
        ("-0.35", "sign ignored: it only tells which lead is where"),
        ("0.4 0.42", "the mean of 0.4 and 0.42 V"),
        ("0.4-0.5", "the middle of 0.4 and 0.5 V"),
        ("~0.4", "given as about"),
        ("nothing", "'nothing' taken as 0 V"),
        ("max 0.4", "the highest seen, taken as the reading"),
        ("0.35", None),
    ],
)
def test_what_was_assumed_is_said(typed: str, note: str | None) -> None:
    assert understand(DROP, typed, TWELVE).note == note


@pytest.mark.parametrize(
    ("typed", "spread", "repeats"),
    [
        ("9.6-9.8", 0.1, 1),
        ("9.6 +/- 0.1", 0.1, 1),
        ("9 V ± 200 mV", 0.2, 1),
        ("0.4 0.42 0.41", 0.01, 3),  # their mean is off by 0.01 / sqrt(3), as an even spread of 0.01 is
        ("0.4", None, 1),
    ],
)
def test_a_range_and_repeats_are_kept_apart(typed: str, spread: float | None, repeats: int) -> None:
    understood = understand(DROP, typed, TWELVE)
    assert understood.spread == (None if spread is None else pytest.approx(spread))
    assert understood.repeats == repeats


def test_a_signed_reading_keeps_its_sign() -> None:
    signed = understand(measurement(signed=True, least=-20.0), "-0.35", TWELVE)
    assert (signed.value, signed.note) == (-0.35, None)


@pytest.mark.parametrize(
    ("reading", "typed", "suggestion"),
    [
        (DROP, "310", "310 mV"),
        (DROP, "310 V", "310 mV"),
        (DROP, 310, "310 mV"),
        (DROP, "-310", "310 mV"),
        (BATTERY, "9800", "9800 mV"),
        (BATTERY, "98", "9.8 V"),
        (BATTERY, "1260", "12.6 V"),
        (DROP, "1,250 mV", "1250 mV"),
        (CURRENT, "1,250 A", "1250 A"),
        (SPEED, "1.250 rpm", None),
        (DROP, "OL", None),
        (DROP, "0.4 1.2", None),
    ],
)
def test_what_is_not_believable_is_asked_again(
    reading: Measurement, typed: str | int, suggestion: str | None
) -> None:
    with pytest.raises(DoubtfulReading) as asked:
        understand(reading, typed, TWELVE)
    assert asked.value.suggestion == suggestion
    if suggestion:
        assert math.isfinite(float(understand(reading, suggestion, TWELVE).value))


def test_over_range_on_volts_says_to_choose_a_higher_range() -> None:
    with pytest.raises(DoubtfulReading, match="choose a higher range and read again"):
        understand(DROP, "OL", TWELVE)


def test_310_volts_is_possible_where_the_machine_has_them() -> None:
    assert understand(DROP, "310", Facts({"system_voltage": 300})).value == 310


def test_an_unknown_limit_forbids_nothing() -> None:
    assert understand(DROP, "310", Facts()).value == 310


def test_a_large_figure_is_taken_only_with_its_unit() -> None:
    careful = measurement(doubtful_above=2.0)
    assert understand(careful, "3 V", TWELVE).value == 3
    assert understand(careful, 3.0, TWELVE).value == 3
    with pytest.raises(
        DoubtfulReading, match="write '3 mV' if that was meant, or '3 V' if the meter did show it"
    ):
        understand(careful, "3", TWELVE)


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "   ",
        "nan",
        "1e999",
        "-1e999",
        "x" * 5000,
        "1" * 5000,
        "0.3.5",
        "-",
        "V",
        "<0.1",
        "under 0.1",
        "0.1 foo",
        "0.3 A",
        "30 rpm",
        "1 2-3",
        "0.3 V 0.2 mV 5",
        "\x00",
        "💥",
        "0.4 V 3 A",
    ],
)
def test_what_is_no_reading_is_refused_in_a_sentence(typed: str) -> None:
    with pytest.raises(ReadingError) as refused:
        understand(DROP, typed, TWELVE)
    assert str(refused.value).endswith(".")
    assert len(str(refused.value)) < 200


@pytest.mark.parametrize("typed", [math.nan, math.inf, -math.inf, 10**400, True, None])
def test_a_number_that_is_none_is_refused(typed: float) -> None:
    with pytest.raises(ReadingError):
        understand(DROP, typed, TWELVE)


def test_a_unit_that_does_not_fit_is_named() -> None:
    with pytest.raises(ReadingError, match=r"'0.3 A' is in amperes, but leg drop is read in volts"):
        understand(DROP, "0.3 A", TWELVE)


@pytest.mark.parametrize(
    ("typed", "value", "note"),
    [
        ("single_click", "single_click", None),
        ("Single Click", "single_click", None),
        ("single-click", "single_click", None),
        ("rapid clicking", "chatter", None),
        ("sing", "single_click", "'sing' taken as single_click"),
        ("singel clik", "single_click", "'singel clik' taken as single_click"),
        ("silnt", "silent", "'silnt' taken as silent"),
    ],
)
def test_an_observation_is_found_by_its_name(typed: str, value: str, note: str | None) -> None:
    understood = understand(SEEN, typed, TWELVE)
    assert (understood.value, understood.note) == (value, note)


@pytest.mark.parametrize("typed", ["", "12", "x" * 5000, "purple"])
def test_an_observation_that_is_none_lists_the_values(typed: str) -> None:
    with pytest.raises(ReadingError, match="normal, slow, spins_free, chatter, single_click, silent"):
        understand(SEEN, typed, TWELVE)


def test_a_word_of_two_values_lists_both() -> None:
    with pytest.raises(ReadingError, match="'click' can be chatter, single_click; say which"):
        understand(SEEN, "click", TWELVE)


def test_an_ambiguous_beginning_lists_only_what_begins_so() -> None:
    with pytest.raises(ReadingError, match="'s' can be slow, spins_free, single_click, silent; say which"):
        understand(SEEN, "s", TWELVE)


@given(st.decimals(min_value=0, max_value=15, places=3))
def test_the_same_voltage_in_volts_and_millivolts_is_the_same_reading(volts: object) -> None:
    as_volts = understand(DROP, f"{volts} V", TWELVE).value
    as_millivolts = understand(DROP, f"{int(volts * 1000)} mV", TWELVE).value  # type: ignore[operator]
    assert as_volts == as_millivolts


@given(st.decimals(min_value="0.001", max_value="15.999", places=3))
def test_a_comma_is_a_point_in_a_voltage(volts: object) -> None:
    assert understand(DROP, str(volts).replace(".", ","), Facts({"system_voltage": 12.4})).value == float(
        str(volts)
    )


@given(st.sampled_from(sorted(UNITS)), st.sampled_from(sorted(UNITS)), st.floats(-1e6, 1e6))
def test_converting_there_and_back_changes_nothing(one: str, other: str, number: float) -> None:
    there = in_unit(number, UNITS[one], other)
    if UNITS[one].dimension != UNITS[other].dimension:
        assert there is None
    else:
        assert there is not None
        assert in_unit(there, UNITS[other], one) == pytest.approx(number, rel=1e-9, abs=1e-9)


@given(st.text(max_size=60))
def test_any_text_is_a_reading_or_a_sentence(text: str) -> None:
    value, sentence = 0.0, ""
    try:
        value = float(understand(DROP, text, TWELVE).value)
    except ReadingError as refused:
        sentence = str(refused)
    assert sentence.endswith(".") or (sentence == "" and 0 <= value <= 15.6)


@pytest.mark.parametrize("typed", ["± 0", "+/- 0.1", "±0.1 V"])
def test_an_error_without_a_figure_is_asked_about(typed: str) -> None:
    with pytest.raises(ReadingError, match="give the figure too"):
        understand(DROP, typed, Facts({"system_voltage": 12}))


def test_of_a_meters_minimum_and_maximum_the_one_that_the_reading_asks_for_counts() -> None:
    crank = shipped_knowledge().measurements["battery_crank_voltage"]
    for typed in ("min 6.2 max 12.7", "max 12.7 min 6.2 V"):
        understood = understand(crank, typed, TWELVE)
        assert (understood.value, understood.spread) == (6.2, None)
        assert understood.note == "the lowest seen, taken as the reading"
    assert understand(replace(crank, of_min_max="highest"), "min 6.2 max 12.7", TWELVE).value == 12.7
    assert understand(replace(crank, of_min_max=None), "min 6.2 max 12.7", TWELVE).spread == 3.25
    assert understand(crank, "9.6-9.8", TWELVE).spread == pytest.approx(0.1)


def test_figures_in_a_line_that_disagree_are_asked_back() -> None:
    drop = measurement(error=MeterError(0.06, 0.005))
    assert understand(drop, "0.5 0.52", TWELVE).repeats == 2
    with pytest.raises(DoubtfulReading, match=r"0\.5 to 0\.8 if it swings"):
        understand(drop, "0.5 0.8", TWELVE)
    assert understand(drop, "0.5 to 0.8", TWELVE).spread == pytest.approx(0.15)


@pytest.mark.parametrize(("typed", "value"), [("14", 14.0), ("14 degrees", 14.0), ("18 F", 10.0)])
def test_how_much_warmer_something_is_has_no_zero_of_a_scale(typed: str, value: float) -> None:
    """18 degrees Fahrenheit are 10 degrees Celsius as a difference: 5/9 (NIST SP 811, B.8)."""
    rise = shipped_knowledge().measurements["positive_post_rise"]
    assert understand(rise, typed, TWELVE).value == pytest.approx(value)
