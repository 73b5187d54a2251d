"""What a drawing of one machine's circuit shows, before it has a place on paper.

`picture` walks the circuit once; the text and the SVG drawing lay the same picture out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from crankpath.engine.knowledge.entries.machine import BRANCH, LOOP, SOURCE
from crankpath.engine.knowledge.records import Knowledge, Measurement, Segment
from crankpath.engine.machine.circuit import Circuit


@dataclass(frozen=True, slots=True)
class PicturePoint:
    """A test point on a run."""

    id: str
    name: str
    on_main: bool
    lead: str | None = None  # "red", "black" or None


@dataclass(frozen=True, slots=True)
class DrawnSegment:
    """A segment between two stops; `marked` if the reading answers for it."""

    id: str
    label: str
    drawn: str  # one of `crankpath.engine.knowledge.entries.machine.SIGNS`
    sign: str = ""  # a letter in it
    value: str = ""  # as it is to be shown, with its unit
    marked: bool = False


@dataclass(frozen=True, slots=True)
class Run:
    """Stops in the order of the current, and the pieces between them (one fewer)."""

    stops: tuple[PicturePoint, ...] = ()
    pieces: tuple[DrawnSegment, ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """A machine's circuit: down to the load, from the load back to the source, branches."""

    battery: DrawnSegment
    load: DrawnSegment
    there: Run
    back: Run
    control: tuple[Run, ...]

    def holds_lead(self, circuit: str) -> bool:
        """True if a lead of the measurement is drawn on the loop, or on a branch."""
        runs = (self.there, self.back) if circuit == LOOP else self.control
        wanted = circuit == LOOP
        return any(stop.lead and stop.on_main is wanted for run in runs for stop in run.stops)


def picture(
    kb: Knowledge,
    circuit: Circuit,
    measurement: Measurement | None = None,
    values: Mapping[str, str] | None = None,
) -> Picture:
    """The circuit of a machine, with the leads of a measurement and texts on segments.

    Args:
        kb: where labels come from.
        circuit: the machine's circuit.
        measurement: whose two leads, and what lies between them, are marked.
        values: text to write on a segment, by segment id ("0.31 V").

    Raises:
        ValueError: the circuit has no source, or no way from its first to its second end.
    """
    battery = next(iter(circuit.segments(SOURCE)), None)
    if battery is None or not (main := circuit.path(*battery.ends)):
        raise ValueError("the circuit cannot be drawn: no source, or no way from one end of it to the other")
    maker = _Maker(kb, circuit, battery, measurement, values or {})
    whole = maker.run(battery.ends[0], [kb.segments[name] for name in main])
    loads = (n for n, name in enumerate(main) if kb.segment_kinds[kb.segments[name].kind].load)
    split = next(loads, len(main) // 2)
    return Picture(
        maker.piece(battery),
        whole.pieces[split],
        Run(whole.stops[: split + 1], whole.pieces[:split]),
        Run(whole.stops[split + 1 :], whole.pieces[split + 1 :]),
        tuple(maker.run(start, chain) for start, chain in _control_chains(circuit, maker.main_points)),
    )


class _Maker:
    """Turns points and segments into stops and pieces with their marks."""

    def __init__(
        self,
        kb: Knowledge,
        circuit: Circuit,
        battery: Segment,
        measurement: Measurement | None,
        values: Mapping[str, str],
    ) -> None:
        self._kb, self._values = kb, values
        self.main_points = [battery.ends[0]]
        for name in circuit.path(*battery.ends):
            self.main_points.append(_other_end(kb.segments[name], self.main_points[-1]))
        ends = measurement.between if measurement else None
        self._leads = dict(zip(ends, ("red", "black"), strict=True)) if ends else {}
        self._on_control = any(end not in self.main_points for end in self._leads)
        if measurement is None:
            self._marked: frozenset[str] = frozenset()
        elif ends and set(ends) == set(battery.ends):
            self._marked = frozenset((battery.id,))  # across the posts it is the battery that is read
        else:
            self._marked = circuit.span(measurement)

    def run(self, start: str, segments: list[Segment]) -> Run:
        points = [start]
        for segment in segments:
            points.append(_other_end(segment, points[-1]))
        control = any(self._kb.circuits[segment.circuit].part == BRANCH for segment in segments)
        # A reading of the main circuit alone is not shown again where a control run starts or ends.
        leads = {} if control and not self._on_control else self._leads
        return Run(tuple(self._stop(p, leads.get(p)) for p in points), tuple(map(self.piece, segments)))

    def _stop(self, point: str, lead: str | None) -> PicturePoint:
        known = self._kb.points.get(point)
        return PicturePoint(point, known.short if known else point, point in self.main_points, lead)

    def piece(self, segment: Segment) -> DrawnSegment:
        kind = self._kb.segment_kinds[segment.kind]
        return DrawnSegment(
            segment.id,
            segment.label,
            kind.drawn,
            kind.sign,
            self._values.get(segment.id, ""),
            segment.id in self._marked,
        )


def _control_chains(circuit: Circuit, main_points: list[str]) -> Iterator[tuple[str, list[Segment]]]:
    """Runs of control segments, each from a point already drawn to the next such point or an end."""
    left = list(circuit.segments(BRANCH))
    drawn = list(main_points)
    for start in drawn:  # grows while it is walked: a branch starts where an earlier run passed
        while first := next((s for s in left if start in s.ends), None):
            chain, at = [first], _other_end(first, start)
            left.remove(first)
            while at not in drawn:
                drawn.append(at)
                onward = next((s for s in left if at in s.ends), None)
                if onward is None:
                    break
                left.remove(onward)
                chain.append(onward)
                at = _other_end(onward, at)
            yield start, chain


def _other_end(segment: Segment, point: str) -> str:
    a, b = segment.ends
    return b if a == point else a
