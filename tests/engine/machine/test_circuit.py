"""Paths, spans and existence on a small invented circuit with every kind of alternative."""

from __future__ import annotations

from typing import Any

import pytest

from crankpath.engine.knowledge.condition import Condition, Facts, Is
from crankpath.engine.knowledge.records import (
    CircuitPart,
    Fault,
    Knowledge,
    Measurement,
    Origin,
    Segment,
    SegmentKind,
)
from crankpath.engine.machine.circuit import Circuit

HERE = Origin("circuit.yaml", 1, 1)
SWITCHED = Is("disconnect_switch", ("positive",))
UNSWITCHED = Is("disconnect_switch", ("none", "negative"))
RELAY, NO_RELAY = Is("start_relay", (True,)), Is("start_relay", (False,))


def segment(
    name: str, a: str, b: str, circuit: str = "main", kind: str = "joint", only: Condition | None = None
) -> Segment:
    return Segment(name, name.replace("_", " "), (a, b), circuit, kind, only, HERE)


SEGMENTS = (
    segment("battery", "negative_post", "positive_post", "battery", "battery"),
    segment("post_joint", "positive_post", "clamp"),
    segment("cable", "clamp", "lug", kind="cable", only=UNSWITCHED),
    segment("cable_to_switch", "clamp", "switch_in", kind="cable", only=SWITCHED),
    segment("switch", "switch_in", "switch_out", kind="switch", only=SWITCHED),
    segment("cable_from_switch", "switch_out", "lug", kind="cable", only=SWITCHED),
    segment("stud_joint", "lug", "stud"),
    segment("motor", "stud", "case", kind="motor"),
    segment("ground", "case", "negative_post", kind="cable"),
    segment("feed_wire", "stud", "key_in", "control", "wire"),
    segment("key", "key_in", "key_out", "control", "switch"),
    segment("plain_wire", "key_out", "terminal", "control", "wire", NO_RELAY),
    segment("coil_wire", "key_out", "coil_in", "control", "wire", RELAY),
    segment("coil", "coil_in", "coil_out", "control", "coil", RELAY),
    segment("coil_ground", "coil_out", "case", "control", "wire", RELAY),
    segment("contacts", "stud", "terminal", "control", "contacts", RELAY),
    segment("windings", "terminal", "case", "control", "coil"),
)
PARTS = {"main": "loop", "battery": "source", "control": "branch"}
FIELDS: dict[str, Any] = dict.fromkeys(Knowledge.__dataclass_fields__) | {
    "segments": {s.id: s for s in SEGMENTS},
    "circuits": {id_: CircuitPart(id_, id_, part, HERE) for id_, part in PARTS.items()},
    "segment_kinds": {
        s.kind: SegmentKind(s.kind, s.kind, "line", "", s.kind in ("motor", "coil"), HERE) for s in SEGMENTS
    },
}
KB = Knowledge(**FIELDS)


def circuit(**values: str | bool) -> Circuit:
    return Circuit(KB, Facts({"disconnect_switch": "none", "start_relay": True, **values}))


def measurement(*spans: tuple[str, str], leaves_out: tuple[str, ...] = ()) -> Measurement:
    fields: dict[str, Any] = dict.fromkeys(Measurement.__dataclass_fields__)
    return Measurement(**(fields | {"covers": spans, "leaves_out": leaves_out}))


def fault(*places: str) -> Fault:
    return Fault(**(dict.fromkeys(Fault.__dataclass_fields__) | {"places": places, "degree_places": {}}))  # type: ignore[arg-type]


def test_a_path_lists_the_segments_in_the_order_they_are_passed() -> None:
    assert circuit().path("positive_post", "stud") == ("post_joint", "cable", "stud_joint")
    assert circuit().path("stud", "positive_post") == ("stud_joint", "cable", "post_joint")


def test_a_disconnect_switch_puts_its_pieces_into_the_path() -> None:
    assert circuit(disconnect_switch="positive").path("clamp", "lug") == (
        "cable_to_switch",
        "switch",
        "cable_from_switch",
    )


def test_a_path_never_takes_the_short_way_through_the_battery() -> None:
    assert circuit().path("positive_post", "negative_post") == (
        "post_joint",
        "cable",
        "stud_joint",
        "motor",
        "ground",
    )


def test_between_points_of_the_main_circuit_the_control_side_is_no_way_round() -> None:
    # The relay contacts and the windings lead from stud to case too, beside the motor.
    assert circuit().path("stud", "case") == ("motor",)


def test_a_path_into_the_control_side_starts_along_the_main_circuit() -> None:
    assert circuit().path("positive_post", "key_out") == (
        "post_joint",
        "cable",
        "stud_joint",
        "feed_wire",
        "key",
    )


def test_a_path_goes_round_a_coil_although_the_way_through_it_has_fewer_segments() -> None:
    assert circuit().path("coil_in", "stud") == ("coil_wire", "key", "feed_wire")


def test_without_a_relay_the_key_feeds_the_terminal_itself() -> None:
    assert circuit(start_relay=False).path("stud", "terminal") == ("feed_wire", "key", "plain_wire")
    assert circuit(start_relay=True).path("stud", "terminal") == ("contacts",)


@pytest.mark.parametrize(("a", "b"), [("switch_in", "switch_out"), ("stud", "stud"), ("stud", "nowhere")])
def test_where_there_is_no_way_the_path_is_empty(a: str, b: str) -> None:
    assert circuit().path(a, b) == ()


def test_a_segment_stands_while_its_condition_is_unknown() -> None:
    unknown = Circuit(KB, Facts())
    assert unknown.exists("cable")
    assert unknown.exists("switch")


def test_points_and_segments_exist_only_where_the_machine_has_them() -> None:
    assert circuit(disconnect_switch="positive").exists("switch_in")
    assert not circuit().exists("switch_in")
    assert not circuit().exists("switch")
    assert circuit().exists("coil_in")


def test_a_span_is_the_union_of_its_paths_without_what_it_leaves_out() -> None:
    leg = measurement(("positive_post", "stud"), ("case", "negative_post"), leaves_out=("switch",))
    assert circuit(disconnect_switch="positive").span(leg) == {
        "post_joint",
        "cable_to_switch",
        "cable_from_switch",
        "stud_joint",
        "ground",
    }


def test_a_reading_on_a_part_the_machine_lacks_answers_for_nothing() -> None:
    assert circuit().span(measurement(("switch_in", "switch_out"))) == frozenset()


def test_two_readings_with_equal_spans_that_leave_out_different_parts_are_kept_apart() -> None:
    machine = circuit()
    assert machine.span(measurement(("clamp", "stud"))) == {"cable", "stud_joint"}
    assert machine.span(measurement(("clamp", "stud"), leaves_out=("cable",))) == {"stud_joint"}


def test_a_reading_covers_a_fault_when_one_of_its_places_lies_between_the_leads() -> None:
    across = measurement(("clamp", "lug"))
    assert circuit().covers(across, fault("cable", "cable_to_switch"))
    assert circuit(disconnect_switch="positive").covers(across, fault("cable", "cable_to_switch"))
    assert not circuit().covers(across, fault("stud_joint"))
    assert not circuit().covers(across, fault())


def test_segments_can_be_listed_by_circuit_in_the_order_written() -> None:
    assert [s.id for s in circuit(start_relay=False).segments("branch")] == [
        "feed_wire",
        "key",
        "plain_wire",
        "windings",
    ]
    assert len(circuit().segments()) == 13
