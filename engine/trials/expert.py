"""An expert's order: what an experienced electrician does next, by what the last reading showed.

The complaint and the post voltage say which side to go to; there the reading comes first that
splits what is left, and a joint is read before the cable between. Where a fault comes and goes the
meter stays on until it fails. From memory of the trade, and written without a look at the rules.
"""

from __future__ import annotations

from functools import partial
from typing import Final

from crankpath.engine.trials.paper import BATTERY, NEGATIVE, OVER, POSITIVE, PaperOrder, PaperRow, row

_TURNED: Final = (
    row("engine_turns_by_hand", "locked", "free_or_refer_engine"),
    row("engine_turns_by_hand", "hard", "lighten_engine"),
)
_FLAT: Final = row("battery_rest_voltage", "collapsed empty flat low", BATTERY, "charge_battery")
_WORN: Final = row("battery_load_voltage", "gone collapsed low", "replace_battery")
_DRAWS: Final = row("crank_current", "high very_high", _TURNED, "replace_starter")
_LEGS: Final = (
    row("positive_leg_drop", OVER, POSITIVE),
    row("negative_leg_drop", OVER, NEGATIVE),
)
_CONTACTS: Final = row("solenoid_contact_drop", OVER, "replace_solenoid")
_FED: Final = (
    row("control_feed_voltage", "none low", (row("start_fuse_inspection", "open", "replace_start_fuse"),),
        "repair_control_wiring"),
)  # fmt: skip
_CONTROL: Final = (
    row("relay_coil_voltage", "normal", (
        row("relay_contact_drop", "near high full", "replace_relay"),
    ), "repair_control_wiring"),
    row("relay_ground_drop", "high full", "repair_relay_ground"),
    row("key_switch_output_voltage", "none low", _FED, "replace_key_switch"),
    row("interlock_output_voltage", "none low", "adjust_or_replace_interlock"),
    row("start_message", "withheld", "clear_start_inhibit"),
)  # fmt: skip
_WINDINGS: Final = (
    row("pull_in_resistance", "open high shorted", "replace_solenoid"),
    row("hold_in_resistance", "open high shorted", "replace_solenoid"),
)
_AT_THE_STARTER: Final = (
    row("starter_crank_voltage", "none low", _LEGS),
    row("start_terminal_voltage", "none low near", _CONTROL, "repair_control_wiring"),
)
_SLOW: Final = (
    _FLAT,
    row("battery_crank_voltage", "collapsed low", (_DRAWS, _WORN)),
    *_LEGS,
    _CONTACTS,
    _DRAWS,
    _WORN,
    *_TURNED,
)
_NO_TURN: Final = (
    _FLAT,
    row("battery_crank_voltage", "collapsed low", (_DRAWS, _WORN)),
    *_AT_THE_STARTER,
    _CONTACTS,
    _DRAWS,
    row("crank_behaviour", "silent solenoid_click single_click", _WINDINGS),
    _WORN,
)
_CHATTER: Final = (
    _FLAT,
    row("battery_crank_voltage", "collapsed low", (_WORN,)),
    *_LEGS,
    *_AT_THE_STARTER,
    *_WINDINGS,
    _WORN,
)
SHEET: Final[tuple[PaperRow, ...]] = (
    row("crank_behaviour", "keeps_running", "replace_solenoid"),
    row("crank_behaviour", "spins_free", "replace_starter"),
    row("crank_behaviour", "grinds", (row("ring_gear_inspection", "worn", "replace_ring_gear"),),
        "replace_starter"),
    row("crank_behaviour", "slow", _SLOW),
    row("crank_behaviour", "chatter", _CHATTER),
    *_NO_TURN,
)  # fmt: skip

ExpertOrder: Final = partial(PaperOrder, SHEET, waits=True)
"""A fresh expert for one machine."""
