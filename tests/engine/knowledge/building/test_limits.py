"""Limits taken from templates."""

from __future__ import annotations

from pathlib import Path

import pytest

from crankpath.engine.inference.bands import limits_in_force
from crankpath.engine.knowledge.building.limits import filled_in
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.engine.knowledge.records import Measurement

TINY = Path(__file__).parents[2] / "data" / "tiny"
DROP = (
    "measurements:\n"
    '  drop: {{like: positive_leg_drop, label: drop, asks: "?", '
    "between: [positive_clamp, starter_battery_stud], limits: {limits}}}\n"
)
TEMPLATE = """limit_templates:
  joint:
    parameters: {most: "V at 12 V", current: "a fact"}
    sets:
      - given: {$current: known}
        at: [0.01, {formula: "$most / 2"}, $most]
        source: [shop]
        because: "At most $most V."
      - {at: [0.02, 0.5, 1], times: system_voltage / 12}
  any_joint:
    {parameters: {most: "V at 12 V"}, sets: [{use: joint, with: {most: $most, current: air_temperature}}]}
"""
USE = "{use: joint, with: {most: 0.2, current: air_temperature}, because: Bolted.}"


def laid_over(folder: Path, text: str) -> tuple[Measurement | None, list[str]]:
    (folder / "shop.yaml").write_text(text, "utf-8")
    kb, problems = read_knowledge(TINY, folder, shipped=False)
    return kb.measurements["drop"] if kb else None, [str(p).replace(f"{folder}/", "") for p in problems]


@pytest.mark.parametrize(
    "limits", [USE, f"[{USE}]", "{use: any_joint, with: {most: 0.2}, because: Bolted.}"]
)
def test_a_use_gives_the_template_s_sets_with_its_own_reason(tmp_path: Path, limits: str) -> None:
    drop, told = laid_over(tmp_path, TEMPLATE + DROP.format(limits=limits))
    assert told == []
    assert drop is not None
    first, last = drop.limits
    assert (first.sources, first.because, last.because) == (("shop",), "At most 0.2 V. Bolted.", "Bolted.")
    assert limits_in_force(drop, Facts({"air_temperature": 5.0, "system_voltage": 12})) == (0.01, 0.1, 0.2)
    assert (first.origin.file, first.origin.line) == ("shop.yaml", 5)


def test_every_limit_of_a_set_is_multiplied(tmp_path: Path) -> None:
    drop, _ = laid_over(tmp_path, TEMPLATE + DROP.format(limits=USE))
    assert drop is not None
    assert limits_in_force(drop, Facts({"system_voltage": 24})) == (0.04, 1.0, 2.0)


@pytest.mark.parametrize(
    ("limits", "said"),
    [
        ("{use: jont}", "'jont' is not in 'limit_templates'. Did you mean joint?"),
        ("{use: joint, with: {most: 0.2}}", "drop limits: the template needs current. Add it to 'with:'."),
        ("{use: joint, with: {mst: 0.2, most: 1, current: air_temperature}}", "Did you mean most?"),
        ("{use: joint, with: {most: 0.2, current: air_temprature}}", "Did you mean air_temperature?"),
        ("{use: joint, with: {most: 0.001, current: air_temperature}}", "shop.yaml:6:13: measurement drop"),
        ("[{use: joint, given: {system_voltage: 12}}]", "has no field 'given'"),
    ],
)
def test_a_slip_in_a_use_is_told(tmp_path: Path, limits: str, said: str) -> None:
    drop, told = laid_over(tmp_path, TEMPLATE + DROP.format(limits=limits))
    assert drop is None
    assert any(said in sentence for sentence in told), told


@pytest.mark.parametrize(
    ("template", "said"),
    [
        ("{sets: [{at: [$most]}]}", "$most is not among the parameters."),
        ("{parameters: {most: a, mst: b}, sets: [{at: [$most]}]}", "no set uses $mst. Take it out."),
        ("{parameters: {most: a}}", "limit template t has no 'sets'"),
        ("{sets: 5}", "'5' does not fit. Expected a list of limit sets"),
    ],
)
def test_a_slip_in_a_template_is_told(tmp_path: Path, template: str, said: str) -> None:
    _, told = laid_over(tmp_path, f"limit_templates: {{t: {template}}}\n")
    assert any(said in sentence for sentence in told), told


def test_templates_that_use_each_other_are_told_and_never_hang(tmp_path: Path) -> None:
    templates = "limit_templates:\n  a: {sets: [{use: b}]}\n  b: {sets: [{use: a}]}\n"
    drop, told = laid_over(tmp_path, templates + DROP.format(limits="{use: a}"))
    assert drop is None
    assert any("uses itself" in sentence for sentence in told), told


def test_templates_made_to_annoy_are_given_up_soon(tmp_path: Path) -> None:
    uses = [f"  t{n}: {{sets: [{', '.join([f'{{use: t{n + 1}}}'] * 200)}]}}\n" for n in range(4)]
    templates = f"limit_templates:\n{''.join(uses)}  t4: {{sets: [{{at: [1, 2, 3]}}]}}\n"
    drop, told = laid_over(tmp_path, templates + DROP.format(limits="{use: t0}"))
    assert drop is None
    assert any("more than 100 limit sets" in sentence for sentence in told), told


def test_a_text_that_is_one_parameter_becomes_its_value() -> None:
    assert filled_in(["$a", {"$b": "$a V"}], {"a": 0.5, "b": "x"}) == [0.5, {"x": "0.5 V"}]
