"""Recordings of the solved machine: every crank is found, and every value lies within its own error."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import pytest
from recorder import CrankWave, Style, draw_crank, draw_style, recording_lines

from crankpath.engine.errors import RecordingError
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.physics.tables import PhysicsError
from crankpath.engine.recordings.columns import read_columns
from crankpath.engine.recordings.figures import CrankFigures, figures_from
from crankpath.engine.recordings.layout import layout_of
from crankpath.engine.recordings.recording import FoundCrank, Recording
from crankpath.engine.solved.drawn.draw import draw_machine

BATTERY, CURRENT = "battery_crank_voltage", "crank_current"
OTHERS = (
    "positive_leg_drop", "negative_leg_drop", "starter_crank_voltage", "start_terminal_voltage",
    "solenoid_contact_drop",
)  # fmt: skip
BEGINS = {"s": 0.0, "ms": 0.0, "clock": 28800.0, "date": 1935648000.0}
FINE = 4000  # samples of a true crank


@dataclass(frozen=True)
class GeneratedRecording:
    """A generated recording: what was written, what truly was, and what was found in it."""

    names: tuple[str, ...]
    volts: int
    style: Style
    waves: tuple[CrankWave, ...]
    found: tuple[FoundCrank, ...]
    remarks: tuple[str, ...]


def recorded(kb: Knowledge, lines: Sequence[str], names: Sequence[str], volts: float,
             cylinders: int | None = None, unit: str | None = None
             ) -> tuple[tuple[FoundCrank, ...], tuple[str, ...]]:  # fmt: skip
    layout = layout_of(lines[:200])
    told = [f"{place}={name}" for place, name in enumerate(names, 2)]
    columns = read_columns(told, layout, kb.measurements)
    facts = {"system_voltage": volts} | ({"cylinders": cylinders} if cylinders else {})
    recording = Recording(kb, facts, layout, columns, 1, unit)
    return tuple(recording.all(lines)), recording.remarks


def generated(kb: Knowledge, seed: int) -> GeneratedRecording | None:
    """A recording of a drawn machine by a drawn recorder; None where no such machine shows a complaint."""
    rng = random.Random(seed)
    faults = {} if rng.random() < 0.2 else None
    try:
        machine = draw_machine(rng, kb, rng.choice(["first", "second", "third"]), faults, rng.random() < 0.5)
    except PhysicsError:
        return None
    names = [rng.choice((BATTERY, CURRENT))]
    names += rng.sample([name for name in (BATTERY, CURRENT, *OTHERS) if name not in names], rng.randrange(3))
    cylinders, style, volts = rng.choice((3, 4, 6, 8)), draw_style(rng), machine.sound.layout.system_voltage
    at, waves = rng.uniform(1, 3), []
    for _ in range(rng.randrange(1, 4)):
        waves.append(draw_crank(rng, machine, names, cylinders, at, machine.attempt(rng)))
        at = waves[-1].end + rng.uniform(1.5, 4)
    lines = list(recording_lines(rng, style, waves, names, at, volts))
    unit = style.time if style.time in ("s", "ms") else None
    found, remarks = recorded(kb, lines, names, volts, cylinders, unit)
    return GeneratedRecording(tuple(names), volts, style, tuple(waves), found, remarks)


def is_a_crank(told: GeneratedRecording, wave: CrankWave, figures: CrankFigures) -> bool:
    """Whether a crank loads the battery by as much as the knowledge base asks of one."""
    change = {name: wave.run[name] - wave.rest[name] for name in told.names}
    if CURRENT in change and change[CURRENT] >= 1.05 * figures.least_amperes:
        return True
    if BATTERY not in change:
        return False
    full = figures.full_volts * told.volts / 12
    least = max(figures.dip * min(wave.rest[BATTERY], full), 10 * told.style.noise * told.volts)
    return wave.rest[BATTERY] > full / 2 and min(wave.rest[BATTERY], full) - wave.run[BATTERY] >= 1.05 * least


def true_values(wave: CrankWave, name: str, figures: CrankFigures) -> dict[str, float]:
    step = wave.length / FINE
    fine = [wave.value(name, wave.begin + i * step) for i in range(FINE)]
    start, end = int(figures.settles_after / step), int((wave.length - figures.ends_before) / step)
    top = max(range(int(figures.first_peak_within / step)), key=lambda i: abs(fine[i] - wave.rest[name]))
    return {
        "settled": math.fsum(fine[start:end]) / (end - start), "first_peak": fine[top],
        "lowest": min(fine[top:end]), "highest": max(fine[top:end]),
    }  # fmt: skip


def slips(told: GeneratedRecording, figures: CrankFigures) -> Iterator[str]:
    """Everything that is not as it truly was."""
    near = 0.1 + 2 / told.style.rate
    for wave in told.waves:
        begin = wave.begin + BEGINS[told.style.time]
        found = [crank.values for crank in told.found if abs(crank.values.begin - begin) < near]
        if not found:
            if is_a_crank(told, wave, figures):
                yield f"no crank at {begin}"
            continue
        (values,) = found
        for name, column in zip(told.names, values.columns, strict=True):
            for kind, true in true_values(wave, name, figures).items():
                read = column.named(kind)
                if read is not None and abs(read.value - true) > read.error:
                    yield f"{name} {kind}: {read}, truly {true}"
        if values.speed and abs(values.speed.value - wave.rpm) > values.speed.error:
            yield f"speed {values.speed}, truly {wave.rpm}"
        if values.turned is not None and values.turned != (wave.rpm > 0):
            yield f"turned {values.turned} at {wave.rpm} rpm"
    begins = [wave.begin + BEGINS[told.style.time] for wave in told.waves]
    for crank in told.found:
        if min(abs(crank.values.begin - begin) for begin in begins) >= near:
            yield f"a crank at {crank.values.begin} where none was"


def drawn(kb: Knowledge, seeds: range) -> dict[int, GeneratedRecording]:
    told = {seed: generated(kb, seed) for seed in seeds}
    return {seed: each for seed, each in told.items() if each is not None}


@pytest.fixture(scope="module")
def sample(kb: Knowledge) -> dict[int, GeneratedRecording]:
    return drawn(kb, range(4))


def all_slips(kb: Knowledge, told: dict[int, GeneratedRecording]) -> dict[int, list[str]]:
    figures = figures_from(kb.settings)
    return {seed: found for seed, each in told.items() if (found := list(slips(each, figures)))}


def test_every_crank_is_found_and_every_value_lies_within_its_error(
    kb: Knowledge, sample: dict[int, GeneratedRecording]
) -> None:
    assert all_slips(kb, sample) == {}


@pytest.mark.slow
def test_the_same_holds_of_twenty_more_recordings(kb: Knowledge) -> None:
    assert all_slips(kb, drawn(kb, range(4, 24))) == {}


@pytest.mark.long
@pytest.mark.parametrize("first", range(1000, 1500, 50))
def test_the_same_holds_of_five_hundred_recordings(kb: Knowledge, first: int) -> None:
    assert all_slips(kb, drawn(kb, range(first, first + 50))) == {}


@pytest.mark.slow
def test_most_recordings_tell_most_values_closely(kb: Knowledge) -> None:
    """Errors that are wide enough for anything would be right and useless."""
    close, seen, speeds, turning = 0, 0, 0, 0
    for told in drawn(kb, range(12)).values():
        for crank in told.found:
            for column in crank.values.columns:
                if column.settled and column.before:
                    seen += 1
                    close += column.settled.error < 0.1 * abs(column.settled.value - column.before.value)
            speed = crank.values.speed
            turning += crank.values.turned is not False
            speeds += speed is not None and speed.error < 0.1 * speed.value
    assert seen > 15
    assert close > 0.6 * seen
    assert speeds > 0.6 * turning


@pytest.mark.parametrize("seed", [0, 1, 2, *(pytest.param(n, marks=pytest.mark.slow) for n in range(3, 12))])
def test_a_file_of_pure_noise_has_no_cranks(kb: Knowledge, seed: int) -> None:
    rng = random.Random(seed)
    spread, rate = 10 ** rng.uniform(-3, 0.7), rng.choice((10, 20, 100, 1000))
    middle = rng.choice((0.0, 12.5))
    noise = rng.choice((lambda: rng.gauss(0, spread), lambda: rng.uniform(-3, 3) * spread))
    lines = ["t (s),U (V),I (A)\n"]
    lines += [
        f"{i / rate:.3f},{middle + noise():.3f},{20 * noise():.2f}\n" for i in range(min(60 * rate, 8000))
    ]
    assert recorded(kb, lines, (BATTERY, CURRENT), 12)[0] == ()


def steady(seconds: float, rate: int, volts: float, begin: float = 0.0) -> list[str]:
    return [f"{begin + i / rate:.3f},{volts:.2f}\n" for i in range(int(seconds * rate))]


HEADER = "t (s),battery (V)\n"


def test_a_generator_that_stops_charging_is_no_crank(kb: Knowledge) -> None:
    lines = [HEADER, *steady(5, 100, 14.2), *steady(30, 100, 12.7, 5)]
    assert recorded(kb, lines, (BATTERY,), 12) == ((), ())


def test_a_level_that_stays_low_is_no_crank_and_is_told(kb: Knowledge) -> None:
    lines = [HEADER, *steady(5, 100, 12.6), *steady(90, 100, 11.2, 5)]
    found, remarks = recorded(kb, lines, (BATTERY,), 12)
    assert found == ()
    assert "The level changed and stayed so for more than 60 s; that is no crank: from 5.0 s on." in remarks


def test_a_recording_that_begins_in_a_crank_says_that_it_is_not_taken(kb: Knowledge) -> None:
    whole = [*steady(2, 100, 9.8, 7), *steady(5, 100, 12.4, 9)]
    lines = [HEADER, *steady(2, 100, 9.8), *steady(5, 100, 12.4, 2), *whole]
    found, remarks = recorded(kb, lines, (BATTERY,), 12)
    assert [round(crank.values.begin, 2) for crank in found] == [7.0]
    assert any("The recording begins at 9.80 V and rises soon after" in remark for remark in remarks)


def test_a_recording_that_breaks_off_in_a_crank_gives_it_and_says_so(kb: Knowledge) -> None:
    lines = [HEADER, *steady(5, 100, 12.6), *steady(2, 100, 9.8, 5)]
    ((crank,), _) = recorded(kb, lines, (BATTERY,), 12)
    assert crank.values.cut
    assert crank.values.columns[0].settled is not None
    assert crank.values.columns[0].settled.value == pytest.approx(9.8)
    assert "The recording begins or breaks off within this crank." in crank.values.remarks


def test_a_battery_of_another_system_voltage_is_told(kb: Knowledge) -> None:
    lines = [HEADER, *steady(5, 100, 25.2), *steady(2, 100, 20.0, 5), *steady(5, 100, 25.0, 7)]
    found, remarks = recorded(kb, lines, (BATTERY,), 12)
    assert found == ()
    assert any("reads 25.2 V at rest; a full battery of this machine reads 12.6 V" in r for r in remarks)


def test_a_lead_that_comes_off_is_told_and_is_no_crank(kb: Knowledge) -> None:
    lines = [HEADER, *steady(5, 100, 12.6), *steady(2, 100, 0.0, 5), *steady(5, 100, 12.6, 7)]
    found, remarks = recorded(kb, lines, (BATTERY,), 12)
    assert found == ()
    assert any("Samples in which the battery reads nothing are left out" in remark for remark in remarks)


def test_a_slow_recorder_tells_no_first_peak_and_no_speed_and_says_why(kb: Knowledge) -> None:
    lines = [HEADER, *steady(5, 10, 12.6), *steady(3, 10, 9.8, 5), *steady(5, 10, 12.5, 8)]
    ((crank,), _) = recorded(kb, lines, (BATTERY,), 12, 6)
    column = crank.values.columns[0]
    assert (column.first_peak, column.lowest) == (None, None)
    assert (crank.values.speed, crank.values.turned) == (None, None)
    assert any("samples a second are too few for the ripple" in remark for remark in crank.values.remarks)
    assert any("No first peak, lowest and highest: samples 100 ms apart" in r for r in crank.values.remarks)


def test_the_samples_may_come_one_line_at_a_time(kb: Knowledge) -> None:
    lines = [HEADER, *steady(3, 200, 12.6), *steady(3, 200, 9.8, 3), *steady(3, 200, 12.5, 6)]
    layout = layout_of(lines[:200])
    columns = read_columns([f"2={BATTERY}"], layout, kb.measurements)
    recording = Recording(kb, {"system_voltage": 12}, layout, columns)
    under_way, found = [], []
    for line in lines:
        found += recording.feed(line)
        under_way.append(recording.cranking)
    assert [round(crank.values.begin, 2) for crank in found] == [3.0]
    assert any(under_way)
    assert not under_way[-1]


@pytest.mark.parametrize(("header", "sentence"), [
    ("x,battery (V)\n", "No header says which column is the time"),
    ("time,battery (V)\n", "does not say what its time counts; tell s, ms or us"),
])  # fmt: skip
def test_a_time_that_can_be_read_in_two_ways_is_asked_for(kb: Knowledge, header: str, sentence: str) -> None:
    layout = layout_of([header, "0,12.6\n", "1,12.6\n"])
    columns = read_columns([f"2={BATTERY}"], layout, kb.measurements)
    with pytest.raises(RecordingError, match=sentence):
        Recording(kb, {"system_voltage": 12}, layout, columns)


def test_a_recording_without_battery_or_current_is_refused(kb: Knowledge) -> None:
    layout = layout_of(["t (s),leg (V)\n", "0,0.1\n", "1,0.2\n"])
    columns = read_columns(["2=positive leg"], layout, kb.measurements)
    with pytest.raises(RecordingError, match="Cranks are found by voltage or current"):
        Recording(kb, {"system_voltage": 12}, layout, columns)
