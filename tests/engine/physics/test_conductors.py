"""Cable resistance against published tables."""

import pytest

from crankpath.engine.physics.conductors import (
    METRES_PER_FOOT,
    Gauge,
    at_temperature,
    awg_area_mm2,
    awg_diameter_inch,
    awg_ohm_per_metre,
    cable_resistance,
    parse_gauge,
    parse_length,
)
from crankpath.engine.physics.tables import PhysicsError

# Ohm per 1000 ft at 20 degC: table "American Wire Gauge" of a university physics site (hyperphysics).
UNIVERSITY_TABLE = {
    8: 0.6282,
    6: 0.3951,
    4: 0.2485,
    2: 0.1563,
    1: 0.124,
    0: 0.0983,
    -1: 0.078,
    -2: 0.0618,
    -3: 0.049,
}


@pytest.mark.parametrize(("awg", "published"), UNIVERSITY_TABLE.items())
def test_awg_resistance_is_that_of_the_university_table(awg: int, published: float) -> None:
    digits = len(str(published).split(".")[1])
    assert round(awg_ohm_per_metre(awg) * 1000 * METRES_PER_FOOT, digits) == pytest.approx(
        published, abs=1e-9
    )


def test_awg_geometry_is_that_of_astm_b258() -> None:
    # ASTM B258 defines 4/0 as 0.4600 inch and 36 AWG as 0.0050 inch.
    assert awg_diameter_inch(-3) == pytest.approx(0.46, abs=5e-5)
    assert awg_diameter_inch(36) == pytest.approx(0.005)
    assert awg_area_mm2(-3) == pytest.approx(107.22, abs=0.005)


@pytest.mark.parametrize(("awg", "feet", "volts"), [(6, 107, 0.942), (4, 90, 0.504)])
def test_a_run_at_twenty_amperes_drops_no_more_than_ac_43_13_prints(
    awg: int, feet: float, volts: float
) -> None:
    # FAA AC 43.13-1B Table 11-7: 20 A; its resistances are maxima of tinned strand.
    drop = 20 * cable_resistance(Gauge(awg=awg), feet * METRES_PER_FOOT)
    assert 0.85 * volts < drop < volts


def test_temperature_scaling_is_that_of_ac_43_13() -> None:
    # FAA AC 43.13-1B para 11-66: lengths scale by 254.5 / (234.5 + T).
    for degc in (-40, 0, 60, 105):
        assert at_temperature(1.0, degc) == pytest.approx((234.5 + degc) / 254.5, rel=5e-4)


@pytest.mark.parametrize(
    ("mm2", "published"), [(16, 1.21), (25, 0.780), (50, 0.386), (70, 0.272), (120, 0.161)]
)
def test_metric_resistance_is_that_of_iec_60228_class_5(mm2: float, published: float) -> None:
    # IEC 60228 class 5, plain copper, mohm/m at 20 degC (three secondary pages agree).
    assert cable_resistance(Gauge(mm2=mm2), 1.0) * 1000 == pytest.approx(published)


def test_two_cables_side_by_side_have_half_the_resistance() -> None:
    gauge = Gauge(awg=-1)
    assert cable_resistance(gauge, 3, in_parallel=2) == pytest.approx(cable_resistance(gauge, 3) / 2)


@pytest.mark.parametrize(
    ("text", "gauge"),
    [
        ("2/0 AWG", Gauge(awg=-1)), ("2/0", Gauge(awg=-1)), ("0000", Gauge(awg=-3)), ("AWG 4", Gauge(awg=4)),
        ("4 awg", Gauge(awg=4)), ("1 AWG", Gauge(awg=1)), ("0", Gauge(awg=0)), ("70 mm2", Gauge(mm2=70)),
        ("70mm²", Gauge(mm2=70)), ("95 sq mm", Gauge(mm2=95)),
    ],
)  # fmt: skip
def test_a_size_is_understood(text: str, gauge: Gauge) -> None:
    assert parse_gauge(text) == gauge
    assert parse_gauge(str(gauge)) == gauge


@pytest.mark.parametrize("text", ["", "70", "4", "mm2", "5/0 AWG", "2/0 mm2", "-2 AWG", "99 AWG", "nan mm2"])
def test_a_doubtful_size_is_refused(text: str) -> None:
    with pytest.raises(PhysicsError, match="no cable size"):
        parse_gauge(text)


def test_a_metric_size_without_a_figure_is_refused_with_those_there_are() -> None:
    with pytest.raises(PhysicsError, match="70"):
        cable_resistance(parse_gauge("71 mm2"), 1)


@pytest.mark.parametrize(
    ("text", "metres"),
    [("3 m", 3), ("2,5 m", 2.5), ("10 ft", 3.048), ("10'", 3.048), ("80 cm", 0.8), ("36 in", 0.9144)],
)
def test_a_length_is_understood(text: str, metres: float) -> None:
    assert parse_length(text) == pytest.approx(metres)


@pytest.mark.parametrize("text", ["3", "", "0 m", "-3 m", "3 miles", "m"])
def test_a_length_without_unit_or_size_is_refused(text: str) -> None:
    with pytest.raises(PhysicsError, match="no length"):
        parse_length(text)
