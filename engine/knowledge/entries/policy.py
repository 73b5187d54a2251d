"""The settings that the program asks for, each with what its number may be.

A bound says from where on the number means nothing any more, not what is wise.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from crankpath.engine.knowledge.building.shapes import SHARE_OF_ALL, Number

_MINUTES: Final = Number("minutes, from 0 to 10000", least=0, most=10_000)
_SECONDS: Final = Number("seconds, above 0 and up to 600", above=0, most=600)
_BITS: Final = Number("bits, from 0 to 100", least=0, most=100)
_COUNTED: Final = Number("a number above 0 and up to 1000", above=0, most=1000)

SETTINGS: Final[Mapping[str, Number]] = {
    **dict.fromkeys(
        ("proven_at", "stuck_at", "likely_enough", "worth_trying", "unlisted", "unlisted_spread",
         "co_occurrence_scale", "failed_repair", "back_soon", "proof_level", "mass_bound", "untouched_keeps",
         "slip", "slip_again", "slip_anything", "crank_dip", "crank_ripple_least", "crank_ripple_most",
         "crank_lead_off"),
        SHARE_OF_ALL,
    ),
    **dict.fromkeys(
        ("help_minutes", "comeback_minutes", "trial_minutes", "lost_fault_minutes", "cheap_parts",
         "asking_minutes"),
        _MINUTES,
    ),
    **dict.fromkeys(
        ("crank_shortest", "crank_longest", "crank_parting", "crank_settles_after", "crank_ends_before",
         "crank_first_peak_within", "crank_first_peak_sampling"),
        _SECONDS,
    ),
    **dict.fromkeys(("bits_floor", "conflict_bits"), _BITS),
    **dict.fromkeys(
        ("failure_rate_prior_a", "failure_rate_prior_b", "usual_rate_a", "usual_rate_b"), _COUNTED
    ),
    "left_scale": Number("a factor from 0.1 to 10", least=0.1, most=10),
    "largest_set": Number("a whole number from 1 to 3", least=1, most=3, whole=True),
    "readings_worth": Number("a number of cases, above 0 and up to 100000", above=0, most=100_000),
    "shares_worth": Number("a number of cases, above 0 and up to 100000", above=0, most=100_000),
    "crank_full_volts": Number("V of a full 12 V supply, above 0 and up to 100", above=0, most=100),
    "crank_least_amperes": Number("A, above 0 and up to 10000", above=0, most=10_000),
    "crank_slowest": Number("rpm, above 0 and up to 10000", above=0, most=10_000),
    "crank_fastest": Number("rpm, above 0 and up to 10000", above=0, most=10_000),
}  # fmt: skip
"""Name -> what the number may be."""

IN_ORDER: Final = (
    ("worth_trying", "likely_enough"), ("likely_enough", "proven_at"), ("crank_shortest", "crank_longest"),
    ("crank_slowest", "crank_fastest"), ("crank_ripple_least", "crank_ripple_most"),
    ("crank_first_peak_sampling", "crank_first_peak_within"),
)  # fmt: skip
"""Pairs of settings of which the first must be the smaller one."""
