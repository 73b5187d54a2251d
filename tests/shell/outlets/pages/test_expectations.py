"""What knowledge pages draw of a fault and of a rule."""

from __future__ import annotations

import pytest

from crankpath.engine.checking.relations import Relations
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.pages.expectations import of_element, of_rule


@pytest.fixture(scope="module")
def relations(shipped: Knowledge) -> Relations:
    return Relations(shipped)


def test_a_meter_reading_is_a_range_beside_the_healthy_one_inside_the_line(relations: Relations) -> None:
    (one, *_) = of_rule(relations, "rules/slight_resistance_shows_across", 4)
    assert one.bands == ()
    assert one.spans is not None
    with_fault, sound = one.spans
    assert with_fault.ends is not None
    assert sound.ends is not None
    assert 0.0 <= sound.ends[0] < with_fault.ends[0] < with_fault.ends[1] <= 1.0
    assert sound.ends[1] < with_fault.ends[1]
    assert "; sound " in one.words


def test_the_whole_battery_is_a_tick_above_the_range_and_nothing_one_at_its_beginning(
    relations: Relations,
) -> None:
    (one, *_) = of_rule(relations, "rules/open_joint_takes_it_all", 4)
    assert one.spans is not None
    assert any(place > 0.5 and share > 0.5 for place, share in one.spans[0].ticks)
    (nothing, *_) = of_rule(relations, "rules/open_joint_silences_the_rest", 4)
    assert nothing.spans is not None
    assert any(place == 0.0 and share > 0.5 for place, share in nothing.spans[0].ticks)


def test_an_observation_is_its_values_with_both_chances(relations: Relations) -> None:
    (one, *_) = of_rule(relations, "rules/joints_come_and_go", 4)
    assert one.spans is None
    assert sum(chance for _, chance, _ in one.bands) == pytest.approx(1.0)
    assert sum(healthy for _, _, healthy in one.bands) == pytest.approx(1.0)


def test_of_a_fault_the_reading_that_it_moves_most_comes_first(relations: Relations) -> None:
    model = relations.survey.default
    index = model.elements_of["start_fuse"][0]
    labels = [one.measurement for one in of_element(model, index)]
    assert labels
    assert len(labels) == len(set(labels))
