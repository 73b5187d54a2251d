"""A fixed paper order, as a good workshop sheet has it: battery, legs, contacts, control, bench.

Read down the sheet; the first reading outside its limit sends to a short list of readings
that single out the part; the part is repaired. With nothing outside its limit the sheet
ends with the starter. Written out in DEVELOPERS.md. It is a comparison, not advice: limits
and minutes are the knowledge base's own, the order is the common one.
"""

from __future__ import annotations

from dataclasses import dataclass

from crankpath.engine.cases.case import Case
from crankpath.engine.inference.entries import CannotTake, Reading, Repaired
from crankpath.engine.trials.trial import Step


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the sheet: if ``reading`` shows one of ``bad``, go on with ``then``.

    then: more rows, or the repair to make. ``otherwise``: the repair when no row of
    ``then`` was bad.
    """

    reading: str
    bad: frozenset[str]
    then: tuple[Row, ...] | str
    otherwise: str | None = None


def _row(reading: str, bad: str, then: tuple[Row, ...] | str, otherwise: str | None = None) -> Row:
    return Row(reading, frozenset(bad.split()), then, otherwise)


_OVER = "high severe full"
_BATTERY = (
    _row("battery_pair_difference", "high severe", "replace_battery"),
    _row("charging_voltage", "none feeble low", "repair_charging"),
    _row("parasitic_draw", "high", "find_parasitic_drain"),
)
_POSITIVE = (
    _row("positive_post_drop", _OVER, "clean_positive_post"),
    _row("disconnect_drop", _OVER, "renew_disconnect"),
    _row("starter_stud_drop", _OVER, "clean_starter_stud"),
    _row("positive_cable_drop", _OVER, "replace_positive_cable"),
)
_NEGATIVE = (
    _row("negative_post_drop", _OVER, "clean_negative_post"),
    _row("disconnect_drop", _OVER, "renew_disconnect"),
    _row("ground_strap_drop", _OVER, "renew_ground_strap"),
    _row("starter_mount_drop", _OVER, "clean_starter_mount"),
    _row("negative_cable_drop", _OVER, "replace_negative_cable"),
)
_CONTROL = (
    _row("start_fuse_inspection", "open", "replace_start_fuse"),
    _row("control_feed_voltage", "none low", "repair_control_wiring"),
    _row("key_switch_output_voltage", "none low", "replace_key_switch"),
    _row("gear_selector_trial", "cranks_in_other_position", "adjust_or_replace_interlock"),
    _row("interlock_output_voltage", "none low", "adjust_or_replace_interlock"),
    _row("relay_ground_drop", "high full", "repair_relay_ground"),
    _row("relay_coil_voltage", "none low", "repair_control_wiring"),
    _row("relay_contact_drop", "near high full", "replace_relay"),
    _row("relay_output_voltage", "none low", "replace_relay"),
)
SHEET = (
    _row("battery_rest_voltage", "collapsed empty flat low half", _BATTERY, "charge_battery"),
    _row("battery_load_voltage", "gone collapsed low", "replace_battery"),
    _row("crank_behaviour", "keeps_running", "replace_solenoid"),
    _row("crank_behaviour", "spins_free", "replace_starter"),
    _row(
        "crank_behaviour",
        "grinds",
        (_row("ring_gear_inspection", "worn", "replace_ring_gear"),),
        "replace_starter",
    ),
    _row("battery_crank_voltage", "collapsed low", (), None),
    _row("positive_leg_drop", _OVER, _POSITIVE, "replace_positive_cable"),
    _row("negative_leg_drop", _OVER, _NEGATIVE, "replace_negative_cable"),
    _row("start_terminal_voltage", "none low", _CONTROL, "repair_control_wiring"),
    _row("solenoid_contact_drop", _OVER, "replace_solenoid"),
    _row("engine_turns_by_hand", "locked", "free_or_refer_engine"),
    _row("engine_turns_by_hand", "hard", "free_or_refer_engine"),
)
LAST = ("replace_starter", "replace_solenoid", "replace_battery")


@dataclass(frozen=True)
class PaperOrder:
    """Follows the sheet from the top after every repair."""

    def next(self, case: Case) -> Step:
        """The first line not yet read, or the repair that a line sends to."""
        done = [entry.repair for entry in case.entries if isinstance(entry, Repaired)]
        step = _follow(case, SHEET, done)
        if step is not None:
            return step
        for repair in LAST:
            if repair not in done:
                return Step("repair", repair)
        return Step("stop")


def _follow(case: Case, rows: tuple[Row, ...], done: list[str]) -> Step | None:
    for row in rows:
        if row.reading not in case.assessment.model.measurements:
            continue
        band = _band(case, row.reading)
        if band is None:
            minutes = case.advisor.minutes(case.kb.measurements[row.reading])
            return Step("measure", row.reading, minutes=minutes)
        if band not in row.bad:
            continue
        if isinstance(row.then, str):
            if row.then not in done:
                return Step("repair", row.then)
            continue
        step = _follow(case, row.then, done)
        if step is not None:
            return step
        if row.otherwise is not None and row.otherwise not in done:
            return Step("repair", row.otherwise)
    return None


def _band(case: Case, reading: str) -> str | None:
    """Band of the latest reading since the last repair, the symptom being there; "" if it cannot be had.

    An intermittent fault is waited for: a reading with the symptom away is asked for again,
    at most four times.
    """
    repair_epoch = case.assessment.repair_epoch
    asked = [e for e in case.entries if isinstance(e, Reading) and e.measurement == reading]
    if any(isinstance(e, CannotTake) and e.measurement == reading for e in case.entries):
        return ""
    weighed = [
        piece
        for piece in case.assessment.weighed
        if piece.taken is not None
        and piece.taken.measurement.id == reading
        and piece.taken.repair_epoch == repair_epoch
    ]
    present = [piece for piece in weighed if piece.taken is not None and piece.taken.symptom]
    if present:
        return present[-1].band
    if weighed and len(asked) >= 4:
        return weighed[-1].band
    if reading == "crank_behaviour" and repair_epoch:
        first = [
            p for p in case.assessment.weighed if p.taken is not None and p.taken.measurement.id == reading
        ]
        return first[0].band if first else None
    if weighed and not case.assessment.shows(case.kb.measurements[reading]):
        return weighed[-1].band
    return None
