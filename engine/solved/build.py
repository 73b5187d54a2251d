"""A machine as it is built: every resistance, coil, torque and battery in numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from crankpath.engine.physics.motor import Load, Motor


@dataclass(frozen=True, slots=True)
class Battery:
    """One battery: 12 V, or 24 V where a 24 V machine has an odd number of them.

    emf: rested V. ohms: internal. polarised: V it gives up at once under a starter's load.
    able: measured cranking ability over the rating (1 = as rated). rating: A.
    """

    emf: float
    ohms: float
    polarised: float
    able: float
    rating: float


@dataclass(frozen=True, slots=True)
class WiringLayout:
    """What is wired where. Feeds name the node they hang on."""

    system_voltage: int
    series: int  # batteries in each string
    disconnect: str  # none | positive | negative
    frame: bool  # the battery is grounded to the frame
    relay: bool
    feed: str
    relay_feed: str
    coil_ground: str
    accessory_ground: str
    junction: bool = False  # the positive cable is joined on the way
    second_relay: bool = False  # the start relay feeds a magnetic switch


@dataclass(frozen=True, slots=True)
class Solenoid:
    """Windings in ohm; needs in ampere-turns, counted per turn of the pull-in winding.

    pull_turns: turns of the pull-in winding that are left (1 = all); hold_turns likewise.
    """

    pull_ohms: float
    hold_ohms: float
    pull_need: float
    hold_need: float
    pull_turns: float = 1.0
    hold_turns: float = 1.0
    welded: bool = False


@dataclass(frozen=True, slots=True)
class Relay:
    """Coil currents in A at which it closes and at which it still holds; `second`: of a magnetic switch."""

    pull_amperes: float
    hold_amperes: float
    second_pull_amperes: float = 0.0
    second_hold_amperes: float = 0.0


@dataclass(frozen=True, slots=True)
class Habits:
    """What differs from machine to machine and from ear to ear, drawn once."""

    relay_heard: bool  # a relay alone is told as a click
    chatter_closed: float  # share of the time the contacts are closed
    looks: Mapping[str, tuple[str, str]] = field(default_factory=dict)  # how the place looks sound, and bad
    misjudged: frozenset[str] = frozenset()  # other inspections that come out wrong
    wiggles: str = ""  # the fault that moving the wiring brings on or clears
    other_position: bool = False
    told: frozenset[str] = frozenset()  # faults that the machine's own electronics tell of
    told_wrongly: bool = False
    taps: frozenset[str] = frozenset()  # faults that a tap on the starter clears for a try
    grinding_share: float = 0.3


@dataclass(frozen=True, slots=True)
class Build:
    """The whole machine.

    ohms: segment or wire -> ohm. usual_amperes: cranking current the machine was designed
    around. torque: engine torque at its usual speed and this temperature, W/rpm.
    """

    layout: WiringLayout
    batteries: tuple[Battery, ...]
    ohms: Mapping[str, float]
    motor: Motor
    load: Load
    torque: float
    drag: float
    clutch: float  # torque in W/rpm at which the overrunning clutch slips (inf = never)
    meshes: bool  # the pinion finds good teeth
    solenoid: Solenoid
    relay: Relay
    habits: Habits
    usual_amperes: float
    usual_speed: float
    degc: float
    charging_volts: float
    quiet_milliamperes: float
    cables: Mapping[str, Mapping[str, str]]  # run -> gauge and length as text
    side_by_side: Mapping[str, int]  # run -> cables in parallel
    held: str = ""  # what keeps the solenoid in once the key is released: relay, key or pinion

    @property
    def volts_factor(self) -> float:
        """1 at 12 V, 2 at 24 V."""
        return self.layout.system_voltage / 12

    @property
    def strings(self) -> int:
        """Battery strings in parallel."""
        return len(self.batteries) // self.layout.series
