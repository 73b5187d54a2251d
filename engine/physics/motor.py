"""The starter motor: its speed line, and where motor and load settle.

A motor's speed goes with its back-emf, V - I * R, over its flux (textbook DC machine).
Speeds are those of the engine in rpm; torques are in W per rpm, so that torque * speed is
power and no gear ratio is needed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from crankpath.engine.physics.tables import PhysicsError


def speed_at(speed: float, motor_volts: float, amperes: float, motor_ohms: float, new_volts: float) -> float:
    """Speed with another motor voltage at the same current: proportional to V - I * R.

    Raises:
        PhysicsError: the motor's back-emf is not above zero, so there is no line to follow.
    """
    emf = motor_volts - amperes * motor_ohms
    if emf <= 0:
        raise PhysicsError(
            "At that current the motor's own resistance takes the whole voltage; it stands still."
        )
    return max(0.0, speed * (new_volts - amperes * motor_ohms) / emf)


@dataclass(frozen=True, slots=True)
class Motor:
    """A motor with constant or saturating flux.

    emf = volts_per_rpm * flux(I) * speed and torque = volts_per_rpm * flux(I) * I, where
    flux = residual + (1 - residual) * I / (I + half_current): residual 1 is a permanent
    magnet, less is a series winding. friction (W/rpm) is the motor's own, braking
    (W/rpm per rpm) that of turns shorted in the armature.
    """

    volts_per_rpm: float
    ohms: float
    residual: float
    half_current: float
    friction: float
    braking: float = 0.0
    gear: float = 16.0

    def flux(self, amperes: float) -> float:
        """Flux at that current, without unit."""
        return self.residual + (1 - self.residual) * amperes / (amperes + self.half_current)

    def torque(self, amperes: float) -> float:
        """Electrical torque in W/rpm at that current."""
        return self.volts_per_rpm * self.flux(amperes) * amperes

    def emf(self, amperes: float, speed: float) -> float:
        """Back-emf in V."""
        return self.volts_per_rpm * self.flux(amperes) * speed


@dataclass(frozen=True, slots=True)
class Load:
    """What the motor turns: torque = still + per_rpm * speed; breakaway to start it (W/rpm)."""

    still: float
    per_rpm: float = 0.0
    breakaway: float = 0.0


@dataclass(frozen=True, slots=True)
class Running:
    """Where a motor settles: A, rpm (0 = stalled), and its emf in V."""

    amperes: float
    speed: float
    emf: float


def settle(motor: Motor, load: Load, open_volts: float, source_ohms: float) -> Running:
    """Current and speed of motor and load on a source of open_volts behind source_ohms.

    The motor stands still if its torque at standstill does not exceed the breakaway torque.
    Otherwise the current is found by bisection: torque rises and speed falls with it.
    """
    total = source_ohms + motor.ohms
    if open_volts <= 0 or math.isinf(total):
        return Running(0.0, 0.0, 0.0)
    stall = open_volts / total
    if motor.torque(stall) - motor.friction <= max(load.breakaway, load.still):
        return Running(stall, 0.0, 0.0)
    low, high = 0.0, stall
    for _ in range(60):
        amperes = (low + high) / 2
        speed = _speed(motor, open_volts - amperes * total, amperes)
        needed = motor.friction + load.still + (motor.braking + load.per_rpm) * speed
        if motor.torque(amperes) < needed:
            low = amperes
        else:
            high = amperes
    amperes = (low + high) / 2
    emf = open_volts - amperes * total
    return Running(amperes, _speed(motor, emf, amperes), emf)


def _speed(motor: Motor, emf: float, amperes: float) -> float:
    return emf / (motor.volts_per_rpm * motor.flux(amperes))
