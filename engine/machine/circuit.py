"""The circuit of one machine as a graph of test points, and what a reading answers for.

A segment stands in the graph unless its ``only`` is known not to hold. Nothing is bridged
by guessing: where a machine lacks a part, the knowledge base writes the alternative as a
segment of its own (one cable from clamp to lug without a disconnect switch, two pieces
with one). Whether wiring on the machine is sound is not looked at here.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import networkx as nx

from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.entries.machine import LOOP, SOURCE
from crankpath.engine.knowledge.records import Fault, Knowledge, Measurement, Segment

_THROUGH_A_LOAD: Final = 1000.0
_POINT, _SEGMENT = "point", "segment"


class Circuit:
    """The segments that stand on this machine, and the ways along them.

    Args:
        kb: where segments, their kinds and their circuits stand.
        facts: what is known of the machine.
    """

    __slots__ = ("_everything", "_kb", "_main", "_paths", "_present", "_spans")

    def __init__(self, kb: Knowledge, facts: Facts) -> None:
        self._kb = kb
        here = (s for s in kb.segments.values() if s.only is None or s.only.holds(facts) is not False)
        self._present = {s.id: s for s in here}
        self._main = self._graph(self.segments(LOOP))
        self._everything = self._graph(s for s in self.segments() if kb.circuits[s.circuit].part != SOURCE)
        self._paths: dict[tuple[str, str], tuple[str, ...]] = {}
        self._spans: dict[tuple[tuple[tuple[str, str], ...], tuple[str, ...]], frozenset[str]] = {}

    def segments(self, part: str | None = None) -> tuple[Segment, ...]:
        """The segments of this machine, as written; only those of the loop, the source or the branches."""
        circuits = self._kb.circuits
        return tuple(s for s in self._present.values() if part in (None, circuits[s.circuit].part))

    def exists(self, name: str) -> bool:
        """True if a segment of this machine has that id, or ends at that point."""
        return name in self._present or any(name in s.ends for s in self._present.values())

    def path(self, a: str, b: str) -> tuple[str, ...]:
        """Ids of the segments passed from point a to point b, in that order.

        Never through a source; along the loop if both points are on it; round a load where there is
        a way round. Empty if a is b, or there is no way.
        """
        if (a, b) not in self._paths:
            self._paths[a, b] = _way(self._main, a, b) or _way(self._everything, a, b)
        return self._paths[a, b]

    def span(self, measurement: Measurement) -> frozenset[str]:
        """Ids of the segments a reading answers for; empty if none of its spans is there."""
        key = (measurement.spans, measurement.leaves_out)
        if key not in self._spans:
            passed = frozenset(s for a, b in measurement.spans for s in self.path(a, b))
            self._spans[key] = passed.difference(measurement.leaves_out)
        return self._spans[key]

    def covers(self, measurement: Measurement, fault: Fault, degree: str = "") -> bool:
        """True if one of the places of the fault (at that degree) lies in the span of the measurement."""
        return not self.span(measurement).isdisjoint(fault.places_of(degree))

    def has_place(self, fault: Fault, degree: str) -> bool:
        """False for a degree whose own places are all missing on this machine."""
        own = fault.degree_places.get(degree)
        return own is None or any(place in self._present for place in own)

    def _graph(self, segments: Iterable[Segment]) -> nx.Graph[tuple[str, str]]:
        """Points and segments as nodes, so that two segments between the same points both stand."""
        graph: nx.Graph[tuple[str, str]] = nx.Graph()
        for segment in segments:
            weight = _THROUGH_A_LOAD if self._kb.segment_kinds[segment.kind].load else 1.0
            for end in segment.ends:
                graph.add_edge((_POINT, end), (_SEGMENT, segment.id), weight=weight)
        return graph


def _way(graph: nx.Graph[tuple[str, str]], a: str, b: str) -> tuple[str, ...]:
    try:
        nodes = nx.dijkstra_path(graph, (_POINT, a), (_POINT, b))
    except (nx.NodeNotFound, nx.NetworkXNoPath):
        return ()
    return tuple(name for sort, name in nodes if sort == _SEGMENT)
