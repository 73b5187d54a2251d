"""The published JSON Schemas: made from the records, of one mind with the loader."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from crankpath.engine.knowledge.building.schema import knowledge_schema
from crankpath.engine.knowledge.folders import SECTIONS, knowledge_files, read_schema, shipped_folder
from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.engine.knowledge.structure import structure_problems
from crankpath.engine.knowledge.yaml_source import read_yaml

TINY = Path(__file__).parents[2] / "data" / "tiny"
VALIDATOR = Draft202012Validator(read_schema("knowledge"))


def told(folder: Path, text: str) -> list[str]:
    """What is told of a file laid over the tiny base."""
    (folder / "f.yaml").write_text(text, "utf-8")
    return [
        str(problem).replace(f"{folder}/f.yaml:", "")
        for problem in read_knowledge(TINY, folder, shipped=False)[1]
    ]


@pytest.mark.parametrize("name", ["knowledge", "case"])
def test_the_schemas_are_schemas_themselves(name: str) -> None:
    Draft202012Validator.check_schema(read_schema(name))


def test_the_schema_file_is_the_one_made_from_the_records() -> None:
    """If not: `crankpath kb schema > kb/schema/knowledge.schema.json`."""
    assert read_schema("knowledge") == knowledge_schema()


def test_the_schema_has_every_section_and_what_is_taken_out_or_borrowed() -> None:
    assert set(read_schema("knowledge")["properties"]) == {*SECTIONS, "retire", "borrow"}


@pytest.mark.parametrize("file", [*knowledge_files(shipped_folder()), str(TINY / "base.yaml")])
def test_every_shipped_file_fits(file: str) -> None:
    document = read_yaml((shipped_folder() / file).read_text("utf-8"), file)
    assert [error.message for error in VALIDATOR.iter_errors(document.data)] == []


RULE = "rules: {r: {measurements: [crank_behaviour], because: b, "
FAULT = "faults: [positive_cable], "
SLIPS = [
    ("tools:\n  lamp: {lable: x, label: y}", "2:10: tool lamp has no field 'lable'. Did you mean label?"),
    ("tools:\n  lamp: {}", "2:3: tool lamp has no 'label'. Add 'label:', its name."),
    ("tools:\n  lamp: {label: 5}", "2:17: tool lamp label: '5' does not fit. Expected a text"),
    ("tools:\n  lamp: {label: }", "2:17: tool lamp label: nothing does not fit. Expected a text"),
    ("tools:\n  Lamp: {label: x}", "tool Lamp: 'Lamp' is no id: small letters, "),
    ("scale: {hardly: 1.5}", "1:17: scale hardly: '1.5' does not fit. Expected a number above 0 and "),
    (RULE + FAULT + "reads: {slow: 2}}}", "2 is no chance; a chance lies from 0 to 1; for 2 % write 0.02."),
    (
        RULE + "faults: {kinds: 3}, reads: {slow: 1}}}",
        "rule r faults kinds: '3' does not fit. Expected a list",
    ),
    (RULE + "faults: 5, reads: {slow: 1}}}", "rule r faults: '5' does not fit. Expected a list of ids, or "),
    (
        RULE + FAULT + "reads: {slow: 1}, where: acros}}",
        "rule r where: 'acros' is not known. Did you mean across?",
    ),
    (
        RULE + FAULT + "reads: {slow: 1}, masks: 1.5}}",
        "rule r masks: '1.5' does not fit. Expected a whole number",
    ),
    (
        RULE + FAULT + "reads: {slow: 1}, given: {system_voltage: {bellow: 1}}}}",
        "rule r given system_voltage bellow: 'bellow' is no comparison. Did you mean below?",
    ),
    (
        RULE + FAULT + "reads: {slow: 1}, given: {any: [{system_voltage: 12}, {system_voltage: null}]}}}",
        "rule r given any 2 system_voltage: nothing is written to compare with",
    ),
    ("points: {p: {label: a, short: a very long text}}", "point p short: 'a very long text' does not fit. "),
    (
        "segments: {s: {label: s, ends: [positive_clamp], circuit: main, kind: joint}}",
        "1:32: segment s ends: this list does not fit. Expected a list of 2.",
    ),
    (
        "repairs: {r: {label: r, minutes: -1}}",
        "repair r minutes: '-1' does not fit. Expected a number of 0 or more",
    ),
]


@pytest.mark.parametrize(("text", "sentence"), SLIPS)
def test_a_slip_is_one_sentence_with_its_place_and_the_schema_refuses_it_too(
    text: str, sentence: str, tmp_path: Path
) -> None:
    found = told(tmp_path, text)
    assert len(found) == 1, found
    assert sentence in found[0]
    assert not VALIDATOR.is_valid(yaml.safe_load(text))


def test_a_misspelt_field_is_told_once(tmp_path: Path) -> None:
    assert told(tmp_path, RULE + "faults: {kind: [a]}, reads: {slow: 1}}}") == [
        "1:67: rule r faults has no field 'kind'. Did you mean kinds?",
    ]


def test_all_slips_are_told_in_the_order_of_the_file(tmp_path: Path) -> None:
    found = told(tmp_path, "tools:\n  a: {}\n  b: {label: 1, x: 2}\npoints:\n  c: {}\n")
    assert [line.split(": ")[0] for line in found] == ["2:3", "3:14", "3:17", "5:3"]


def test_a_violation_of_one_alternative_is_told_for_the_one_that_was_meant() -> None:
    document = read_yaml("entries: [{reading: a, value: 1, note: 5}]", "f.yaml")
    (sentence,) = map(str, structure_problems(document))
    assert sentence == "f.yaml:1:40: entries 1 note: '5' does not fit. Expected a text."


def test_the_schema_offers_the_ids_of_the_base_in_force(tmp_path: Path) -> None:
    (tmp_path / "f.yaml").write_text("tools: {lamp: {label: lamp}}\n", "utf-8")
    offered: Any = knowledge_schema(tmp_path)["$defs"]["one_of_tools"]["anyOf"][0]["enum"]
    assert {"lamp", "multimeter"} <= set(offered)
    like: Any = knowledge_schema(tmp_path)["$defs"]["id_of_tools"]["anyOf"][0]["enum"]
    assert {"lamp", "multimeter"} <= set(like)
    unknown = {"cautions": {"new_one": {"text": "a", "short": "b", "source": ["not_there_yet"]}}}
    assert VALIDATOR.is_valid(unknown)


def test_every_field_of_the_schema_says_what_it_is() -> None:
    schema = read_schema("knowledge")
    records = [
        part for part in schema["$defs"].values() if "properties" in part and "additionalProperties" in part
    ]
    silent = [key for part in records if part["additionalProperties"] is False
              for key, field in part["properties"].items() if "description" not in field]  # fmt: skip
    assert set(silent) <= {"formula", "kinds", "above", "below", "at_least", "at_most"}


def test_the_schema_files_are_written_the_way_they_are_read() -> None:
    for name in ("knowledge", "case"):
        text = (shipped_folder() / "schema" / f"{name}.schema.json").read_text("utf-8")
        assert text == json.dumps(json.loads(text), indent=1, ensure_ascii=False) + "\n"
