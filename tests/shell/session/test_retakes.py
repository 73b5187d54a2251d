"""A corrected reading: what counts and what is shown, in the sitting, after reopening, in copies."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from crankpath.engine import Case
from crankpath.engine.knowledge.records import Knowledge, Measurement
from crankpath.engine.typed.reading import bound
from crankpath.shell.session.screens.ranking import taken_as
from crankpath.shell.session.state import CaseFactory, case_state, machines
from crankpath.shell.session.transfer import case_text, events_of_text
from crankpath.shell.store import open_store

if TYPE_CHECKING:
    from crankpath.shell.store import Store

AT = "2031-05-04T08:00:00Z"
EQUIPMENT = {"system_voltage": 24, "disconnect_switch": "positive", "ground_path": "frame"}
Causes = dict[str | None, float]


@pytest.fixture
def taken(small: Knowledge, sit: Callable[..., Any]) -> Any:
    """A case that is taken, at its first reading."""
    sitting = sit(small)
    sitting.type("it only hums", "slow", "every time", "")
    return sitting


def causes(case: Case) -> Causes:
    return {cause.fault: cause.probability for cause in case.causes()}


def far_apart(case: Case, m: Measurement) -> tuple[str, str]:
    """A slip and the right reading, as typed."""
    if not m.numeric:
        return m.bands[-1], m.bands[-2]
    least, most = (bound(limit, case.assessment.now.facts) or 0.0 for limit in (m.least, m.most))
    return tuple(f"{least + part * (most - least):.3g} {m.unit}" for part in (0.8, 0.3))  # type: ignore[return-value]


def stored(store: Store, case_id: str, kb: Knowledge, empty: CaseFactory) -> Case:
    return case_state(kb, empty, case_id, store.events(case_id)).case


@pytest.mark.parametrize("one_in", [6, pytest.param(1, marks=pytest.mark.slow)])
def test_a_corrected_reading_counts_alone_after_reopening_and_in_every_copy(
    shipped: Knowledge, tmp_path: Path, one_in: int
) -> None:
    empty = machines(shipped)
    machine = Case(shipped, EQUIPMENT)
    store = open_store(tmp_path / "a.sqlite")
    alone: dict[str, Causes] = {}
    for m in list(machine.assessment.model.measurements.values())[::one_in]:
        case_id = store.create_case(m.id, at=AT).case_id
        store.append(case_id, "equipment", {"facts": EQUIPMENT}, at=AT)
        for text in far_apart(machine, m):
            body = {"measurement": m.id, "text": text, "symptom": True}
            store.append(case_id, "reading", body, at=AT)
        expected = Case(shipped, EQUIPMENT)
        expected.record(m.id, far_apart(machine, m)[1])
        alone[case_id] = causes(expected)
    store.close()
    again, copy = open_store(tmp_path / "a.sqlite"), open_store(tmp_path / "b.sqlite")
    for case_id, expected_causes in alone.items():
        copy.import_case(again.export_case(case_id))
        written, writes = events_of_text(
            case_text(case_state(shipped, empty, case_id, again.events(case_id))), "a.yaml", shipped
        )
        imported = copy.create_case(written, at=AT).case_id
        for write in writes:
            copy.append(imported, write.kind, write.body, at=AT)
        for held, held_id in ((again, case_id), (copy, case_id), (copy, imported)):
            found = stored(held, held_id, shipped, empty)
            assert len(found.assessment.set_aside) == 1
            assert causes(found) == pytest.approx(expected_causes, abs=0.001)
    again.close()
    copy.close()


def test_the_screen_says_which_reading_stands_and_back_works_on_either(taken: Any) -> None:
    taken.type("pos leg 3.1 V")
    first = causes(taken.state.case)
    shown = " ".join(line.strip() for line in taken.type("pos leg 0.2 V"))
    assert "positive leg drop: 3.1 V (set aside); 0.2 V was read later and stands." in shown
    listed = [line for line in taken.type("entries") if "positive leg drop" in line]
    assert [line.endswith("(set aside)") for line in listed] == [True, False]
    older = listed[0].split()[0]
    corrected = causes(taken.state.case)
    taken.type(f"back {older}")
    assert causes(taken.state.case) == pytest.approx(corrected)
    taken.type("back", "pos leg 3.1 V", "pos leg 0.2 V", "back")
    assert causes(taken.state.case) == pytest.approx(first)
    assert taken.state.case.assessment.set_aside == ()


def test_a_reading_is_marked_by_its_own_figure(small: Knowledge) -> None:
    case = Case(small, {})
    case.record("occurrence", "intermittent")
    for _ in range(3):
        case.record("positive_leg_drop", "0.1 V")
    assert "OUTSIDE" in taken_as(case, case.record("positive_leg_drop", "3 V"))  # 0.1 V is met more often


def test_a_hand_over_marks_what_was_set_aside(taken: Any) -> None:
    taken.type("pos leg 3.1 V", "pos leg 0.2 V")
    lines = [line for line in taken.type("handover") if "positive leg drop" in line]
    assert any("3.1 V (set aside)" in line for line in lines)
