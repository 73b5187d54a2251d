"""The figures in kb/machines: read in one place, each with a source that is listed."""

from importlib.resources import files

import pytest
import yaml

from crankpath.engine.physics.tables import Figures, interpolate, load_parameters

SETS = ("first", "second", "third", "tables")


def without_source(figure: object, path: str = "") -> list[str]:
    """Paths of figures (mappings that hold a number) that name no source."""
    if not isinstance(figure, dict):
        return []
    if "source" in figure:
        return []
    if any(isinstance(value, (int, float, list)) for value in figure.values()):
        return [path]
    return [slip for key, value in figure.items() for slip in without_source(value, f"{path}/{key}")]


def sources(figure: object) -> set[str]:
    if isinstance(figure, dict):
        own = set(figure.get("source", ()))
        return own.union(*(sources(value) for value in figure.values()))
    return set().union(*(sources(part) for part in figure)) if isinstance(figure, list) else set()


@pytest.mark.parametrize("name", SETS)
def test_every_figure_names_a_source(name: str) -> None:
    assert without_source(load_parameters(name)) == []


@pytest.mark.parametrize("name", SETS)
def test_every_source_is_a_reference_of_the_knowledge_base(name: str) -> None:
    text = files("crankpath.kb").joinpath("references.yaml").read_text(encoding="utf-8")
    listed: Figures = yaml.safe_load(text)["references"]
    assert sources(load_parameters(name)) - set(listed) == set()


@pytest.mark.parametrize("name", SETS[:2])
def test_every_range_ascends(name: str) -> None:
    def ranges(figure: object) -> list[list[float]]:
        if isinstance(figure, dict):
            own = [figure[key] for key in ("range", "extra", "others") if key in figure]
            return own + [r for value in figure.values() for r in ranges(value)]
        return []

    found = ranges(load_parameters(name))
    assert len(found) > 100
    assert all(low < high for low, high in found)


@pytest.mark.parametrize(("name", "like"), [("second", "first"), ("third", "second")])
def test_a_set_that_is_like_another_differs_in_what_it_states_and_nowhere_else(name: str, like: str) -> None:
    text = files("crankpath.kb").joinpath(f"machines/{name}.yaml").read_text(encoding="utf-8")
    stated: Figures = yaml.safe_load(text)
    assert stated["like"] == like
    own, base = load_parameters(name), load_parameters(like)
    assert own["meter"]["volts"] == stated["meter"]["volts"] != base["meter"]["volts"]
    assert own["meter"]["input_ohms"] == base["meter"]["input_ohms"]
    assert "input_ohms" not in stated["meter"]
    assert own["faults"]["starter_brushes"]["open"] == base["faults"]["starter_brushes"]["open"]


def test_outside_a_table_its_end_values_hold() -> None:
    points = [[0, 1.0], [10, 3.0], [20, 4.0]]
    assert [interpolate(points, x) for x in (-5, 5, 15, 99)] == [1.0, 2.0, 3.5, 4.0]
