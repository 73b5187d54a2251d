from __future__ import annotations

from itertools import combinations
from xml.etree import ElementTree

import pytest

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.drawing.canvas import Canvas, Label, overlap
from crankpath.shell.outlets.drawing.picture import picture
from crankpath.shell.outlets.pages import sheet_of
from crankpath.shell.outlets.pages.leads_svg import draw_strips
from crankpath.shell.outlets.pages.sheet.bar_svg import lay_out_bars
from crankpath.shell.outlets.pages.sheet.data import BudgetPart, VoltageBudget
from crankpath.shell.outlets.pages.sheet.drops_svg import draw_drops, lay_out_drops
from crankpath.shell.outlets.pages.sheet.figures import circuit_figures

SVG = "{http://www.w3.org/2000/svg}"
DROPS = (
    "positive_leg_drop", "positive_post_drop", "positive_cable_drop", "disconnect_drop", "starter_stud_drop",
    "solenoid_contact_drop", "negative_leg_drop", "negative_post_drop", "negative_cable_drop",
    "ground_strap_drop", "starter_mount_drop",
)  # fmt: skip


def texts(svg: str) -> list[str]:
    return [element.text or "" for element in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def nothing_lies_on_anything(canvas: Canvas) -> None:
    labels: list[Label] = [label for label in canvas.labels if label.text not in ("M", "+", "−")]
    clashes = [(a.text, b.text) for a, b in combinations(labels, 2) if overlap(a.box(), b.box())]
    assert clashes == []
    for label in labels:
        left, top, right, bottom = label.box()
        assert left >= 0, label.text
        assert right <= canvas.width, label.text
        assert top >= 0, label.text
        assert bottom <= canvas.height, label.text


@pytest.mark.parametrize("after", [False, True])
@pytest.mark.parametrize("disconnect", ["none", "positive", "negative"])
@pytest.mark.parametrize("ground_path", ["direct", "frame"])
def test_every_drop_of_every_arrangement_finds_its_place(
    shipped: Knowledge, disconnect: str, ground_path: str, after: bool
) -> None:
    case = Case(shipped, {"disconnect_switch": disconnect, "ground_path": ground_path})
    here = [name for name in DROPS if name in case.assessment.model.measurements]
    for name in here:
        case.record(name, "1.25 V")
    if after:
        case.repaired("clean_positive_post")
        for name in here:
            case.record(name, "125 mV")
    circuit = circuit_figures(case)
    assert circuit is not None
    nothing_lies_on_anything(lay_out_drops(circuit, "circuit"))
    said = texts(draw_drops(circuit, "circuit"))
    assert said.count("1.25 V") == len(here)
    assert said.count("→ 0.125 V") == (len(here) if after else 0)


def test_readings_at_the_posts_and_across_the_starter_are_told_whole(loader: Case) -> None:
    circuit = sheet_of(loader).circuit
    assert circuit is not None
    nothing_lies_on_anything(lay_out_drops(circuit, "circuit"))
    said = texts(draw_drops(circuit, "circuit"))
    for figure in (*circuit.battery_figures, *circuit.load_figures):
        values = " → ".join(value for value in (figure.before, figure.after) if value)
        judged = "before the repair" if figure.due else figure.mark
        assert f"{figure.label} {values}, {judged}" in said


def test_a_circuit_without_readings_is_drawn(small: Knowledge) -> None:
    circuit = sheet_of(Case(small)).circuit
    assert circuit is not None
    nothing_lies_on_anything(lay_out_drops(circuit, "circuit"))


@pytest.mark.parametrize(
    "volts", [(2.0, 1.0, 0.1, 9.0, 0.2), (0.01, 0.01, 0.01, 24.0, 0.01), (12.0, 0, 0, 0, 0), (0, 0, 0, 0, 0)]
)
def test_the_labels_of_a_bar_stand_side_by_side(volts: tuple[float, ...]) -> None:
    names = ("inside", "there", "inner", "rest", "back")
    parts = tuple(BudgetPart(n, n.replace("_", " "), v, True) for n, v in zip(names, volts, strict=True))
    budgets = VoltageBudget("before", parts), VoltageBudget("after", parts)
    nothing_lies_on_anything(lay_out_bars(budgets, "bars"))


def test_bars_are_drawn_on_one_scale() -> None:
    small = VoltageBudget("before", (BudgetPart("rest", "starter", 5.0, True),))
    large = VoltageBudget("after", (BudgetPart("rest", "starter", 10.0, True),))
    first, second = lay_out_bars((small, large), "bars").shapes
    assert first.width is not None
    assert second.width == pytest.approx(2 * first.width)


def test_both_leads_of_every_reading_are_shown(shipped: Knowledge) -> None:
    case = Case(shipped, {"disconnect_switch": "positive", "ground_path": "frame", "start_relay": True})
    model = case.assessment.model
    for m in model.measurements.values():
        if m.between is None:
            continue
        said = texts(draw_strips(picture(shipped, model.circuit, m), m.label))
        for letter, point in zip("RB", m.between, strict=True):
            assert said.count(letter) == 1, m.id
            assert shipped.points[point].short in said, m.id


def test_a_strip_goes_no_further_than_one_point_beyond_the_leads(shipped: Knowledge) -> None:
    model = Case(shipped).assessment.model
    drawn = picture(shipped, model.circuit, model.measurements["positive_post_drop"])
    said = texts(draw_strips(drawn, "post"))
    assert {"B+ post", "B+ clamp", "pos lug"} <= set(said)
    assert "BAT stud" not in said


def test_a_reading_without_leads_has_no_strip(shipped: Knowledge) -> None:
    model = Case(shipped).assessment.model
    drawn = picture(shipped, model.circuit, model.measurements["crank_current"])
    assert draw_strips(drawn, "current") == ""
