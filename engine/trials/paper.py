"""A fixed paper order, as a good workshop sheet has it: battery, legs, contacts, control, bench.

Read down the sheet; the first reading outside its limit sends to a short list of readings
that single out the part; the part is repaired. With nothing outside its limit the sheet
ends with the starter. Written out in DEVELOPERS.md. It is a comparison, not advice: limits
and minutes are the knowledge base's own, the order is the common one. The expert order
(`crankpath.engine.trials.expert`) is another sheet, followed in the same way.
"""

from __future__ import annotations

from dataclasses import dataclass

from crankpath.engine.cases.case import Case
from crankpath.engine.inference.entries import CannotTake, Reading, Repaired
from crankpath.engine.trials.trial import TrialStep


@dataclass(frozen=True, slots=True)
class PaperRow:
    """A line of the sheet: if ``reading`` shows one of ``bad``, go on with ``then``.

    then: more rows, or the repair to make. ``otherwise``: the repair when no row of
    ``then`` was bad.
    """

    reading: str
    bad: frozenset[str]
    then: tuple[PaperRow, ...] | str
    otherwise: str | None = None


def row(reading: str, bad: str, then: tuple[PaperRow, ...] | str, otherwise: str | None = None) -> PaperRow:
    """A line of a sheet; ``bad`` holds band names, parted by spaces."""
    return PaperRow(reading, frozenset(bad.split()), then, otherwise)


OVER = "high severe full"
BATTERY = (
    row("battery_pair_difference", "high severe", "replace_battery"),
    row("charging_voltage", "none feeble low", "repair_charging"),
    row("parasitic_draw", "high", "find_parasitic_drain"),
)
POSITIVE = (
    row("positive_post_drop", OVER, "clean_positive_post"),
    row("disconnect_drop", OVER, "renew_disconnect"),
    row("starter_stud_drop", OVER, "clean_starter_stud"),
    row("positive_cable_drop", OVER, "replace_positive_cable"),
)
NEGATIVE = (
    row("negative_post_drop", OVER, "clean_negative_post"),
    row("disconnect_drop", OVER, "renew_disconnect"),
    row("ground_strap_drop", OVER, "renew_ground_strap"),
    row("starter_mount_drop", OVER, "clean_starter_mount"),
    row("negative_cable_drop", OVER, "replace_negative_cable"),
)
_CONTROL = (
    row("start_fuse_inspection", "open", "replace_start_fuse"),
    row("control_feed_voltage", "none low", "repair_control_wiring"),
    row("key_switch_output_voltage", "none low", "replace_key_switch"),
    row("gear_selector_trial", "cranks_in_other_position", "adjust_or_replace_interlock"),
    row("interlock_output_voltage", "none low", "adjust_or_replace_interlock"),
    row("relay_ground_drop", "high full", "repair_relay_ground"),
    row("relay_coil_voltage", "none low", "repair_control_wiring"),
    row("relay_contact_drop", "near high full", "replace_relay"),
    row("relay_output_voltage", "none low", "replace_relay"),
)
SHEET = (
    row("battery_rest_voltage", "collapsed empty flat low half", BATTERY, "charge_battery"),
    row("battery_load_voltage", "gone collapsed low", "replace_battery"),
    row("crank_behaviour", "keeps_running", "replace_solenoid"),
    row("crank_behaviour", "spins_free", "replace_starter"),
    row(
        "crank_behaviour",
        "grinds",
        (row("ring_gear_inspection", "worn", "replace_ring_gear"),),
        "replace_starter",
    ),
    row("battery_crank_voltage", "collapsed low", (), None),
    row("positive_leg_drop", OVER, POSITIVE, "replace_positive_cable"),
    row("negative_leg_drop", OVER, NEGATIVE, "replace_negative_cable"),
    row("start_terminal_voltage", "none low", _CONTROL, "repair_control_wiring"),
    row("solenoid_contact_drop", OVER, "replace_solenoid"),
    row("engine_turns_by_hand", "locked", "free_or_refer_engine"),
    row("engine_turns_by_hand", "hard", "lighten_engine"),
)
LAST = ("replace_starter", "replace_solenoid", "replace_battery")


@dataclass(frozen=True)
class PaperOrder:
    """Follows a sheet from the top after every repair.

    waits: leaves the meter on until a fault that comes and goes shows, instead of reading as it comes.
    """

    sheet: tuple[PaperRow, ...] = SHEET
    last: tuple[str, ...] = LAST
    waits: bool = False

    def next(self, case: Case) -> TrialStep:
        """The first line not yet read, or the repair that a line sends to."""
        done = [entry.repair for entry in case.entries if isinstance(entry, Repaired)]
        step = _follow(case, self.sheet, done)
        if step is not None:
            return self._waiting(case, step)
        for repair in self.last:
            if repair not in done:
                return TrialStep("repair", repair)
        return TrialStep("stop")

    def afterwards(self, case: Case) -> TrialStep:
        """It looks no further than its sheet."""
        del case
        return TrialStep("stop")

    def _waiting(self, case: Case, step: TrialStep) -> TrialStep:
        if step.action != "measure" or not self.waits or not case.assessment.intermittent:
            return step
        if not case.assessment.shows(case.kb.measurements[step.name or ""]):
            return step
        return TrialStep("watch", minutes=step.minutes, together=(step.name or "",))


def _follow(case: Case, rows: tuple[PaperRow, ...], done: list[str]) -> TrialStep | None:
    for row in rows:
        if row.reading not in case.assessment.model.measurements:
            continue
        band = _band(case, row.reading)
        if band is None:
            minutes = case.advisor.minutes(case.kb.measurements[row.reading])
            return TrialStep("measure", row.reading, minutes=minutes)
        if band not in row.bad:
            continue
        if isinstance(row.then, str):
            if row.then not in done:
                return TrialStep("repair", row.then)
            continue
        step = _follow(case, row.then, done)
        if step is not None:
            return step
        if row.otherwise is not None and row.otherwise not in done:
            return TrialStep("repair", row.otherwise)
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
