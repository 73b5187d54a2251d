"""Limits per 100 A against the figures of the standards' summaries."""

import pytest

from crankpath.engine.physics.limits import circuit_ohms, volts_per_100_amperes
from crankpath.engine.physics.tables import PhysicsError


@pytest.mark.parametrize(
    ("volts", "duty", "per_100"),
    [(12, "light", 0.200), (24, "light", 0.400), (12, "heavy", 0.10), (24, "heavy", 0.17)],
)
def test_sae_j541_per_100_amperes(volts: int, duty: str, per_100: float) -> None:
    # SAE J541 Table 1, read in a summary.
    assert volts_per_100_amperes(volts, duty) == per_100


def test_sae_j3053_heavy_is_half_a_volt_at_500_amperes() -> None:
    # SAE J3053-2024, heavy 12 V: 0.5 V / 500 A; 24 V: 1.0 V / 500 A, 0.24 V / 120 A (summary).
    assert 500 * circuit_ohms(12, "heavy", "sae_j3053") == pytest.approx(0.5)
    assert 500 * circuit_ohms(24, "heavy", "sae_j3053") == pytest.approx(1.0)
    assert 120 * circuit_ohms(24, "heavy", "sae_j3053") == pytest.approx(0.24)


def test_the_limit_as_a_resistance() -> None:
    # SAE J541 as computed from its 0.17 V: 0.0017 ohm.
    assert circuit_ohms(24, "heavy") == pytest.approx(0.0017)


def test_an_unknown_voltage_is_refused() -> None:
    with pytest.raises(PhysicsError, match="48 V"):
        volts_per_100_amperes(48, "heavy")
    with pytest.raises(PhysicsError, match="sae_j541"):
        volts_per_100_amperes(12, "heavy", "sae_j999")
