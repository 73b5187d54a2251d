"""The structure of files against the JSON Schemas, each violation with its place."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from crankpath.engine.knowledge.folders import SECTIONS, knowledge_files, read_schema, shipped_folder
from crankpath.engine.knowledge.structure import structure_problems
from crankpath.engine.knowledge.yaml_source import read_yaml

TINY = Path(__file__).parents[1] / "data" / "tiny" / "base.yaml"


def told(text: str, schema: str = "knowledge") -> list[str]:
    return [str(problem) for problem in structure_problems(read_yaml(text, "f.yaml"), schema)]


@pytest.mark.parametrize("name", ["knowledge", "case"])
def test_the_schemas_are_schemas_themselves(name: str) -> None:
    Draft202012Validator.check_schema(read_schema(name))


def test_the_schema_and_the_loader_know_the_same_sections() -> None:
    assert set(read_schema("knowledge")["properties"]) == {*SECTIONS, "retire"}


def test_the_tiny_base_fits_and_an_empty_file_too() -> None:
    assert told(TINY.read_text("utf-8")) == []
    assert told("") == []
    assert told("faults:\n") == []


@pytest.mark.parametrize("file", knowledge_files(shipped_folder()))
def test_every_shipped_file_fits(file: str) -> None:
    assert told((shipped_folder() / file).read_text("utf-8")) == []


RULE = "rules: {r: {measurements: [m], because: b, "
CASES = [
    ("fault: {}", "1:1: there is no section 'fault'. Did you mean faults?"),
    ("[a]", "1:1: the file: this list does not fit. Expected a mapping of sections."),
    ("tools:\n  lamp: {lable: x, label: y}", "2:10: tools lamp has no field 'lable'. Did you mean label?"),
    ("tools:\n  lamp: {}", "2:3: tools lamp has no 'label'. Add 'label:'."),
    ("tools:\n  lamp: {label: 5}", "2:17: tools lamp label: '5' does not fit. Expected a text."),
    ("tools:\n  Lamp: {label: x}", "2:3: 'Lamp' is not an id: small letters, digits and underscores, "),
    ("scale: {often: 1.5}", "1:16: scale often: '1.5' does not fit. Expected a number above 0 and below 1."),
    (
        RULE + "faults: [a], reads: {low: 2}}}",
        "1:70: rules r reads low: '2' does not fit. Expected a word of the ",
    ),
    (
        RULE + "faults: {kinds: 3}, reads: {low: 1}}}",
        "1:60: rules r faults kinds: '3' does not fit. Expected an id",
    ),
    (
        RULE + "faults: 5, reads: {low: 1}}}",
        "1:52: rules r faults: '5' does not fit. Expected a list of ids, or ",
    ),
    (
        RULE + "faults: [a], reads: {low: 1}, where: acros}}",
        "1:81: rules r where: 'acros' is not known. Did you ",
    ),
    (RULE + "faults: [a], reads: {low: 1}, given: {x: {bellow: 1}}}}", "1:86: rules r given x has no field "),
    (
        RULE + "faults: [a], reads: {low: 1}, given: {any: [{x: 1}, {y: null}]}}}",
        "given any 2 y: nothing does ",
    ),
    (
        "points: {p: {label: a, short: a very long text}}",
        "1:31: points p short: 'a very long text' does not fit. ",
    ),
]


@pytest.mark.parametrize(("text", "sentence"), CASES)
def test_each_violation_is_one_sentence_with_its_place(text: str, sentence: str) -> None:
    found = told(text)
    assert len(found) == 1, found
    assert sentence in found[0]


def test_a_misspelt_field_is_told_as_missing_and_as_unknown() -> None:
    assert told(RULE + "faults: {kind: [a]}, reads: {low: 1}}}") == [
        "f.yaml:1:44: rules r faults has no 'kinds'. Add 'kinds:'.",
        "f.yaml:1:53: rules r faults has no field 'kind'. Did you mean kinds?",
    ]


def test_all_violations_are_told_in_the_order_of_the_file() -> None:
    found = told("tools:\n  a: {}\n  b: {label: 1, x: 2}\npoints:\n  c: {}\n")
    assert [line.split(": ")[0] for line in found] == [
        "f.yaml:2:3",
        "f.yaml:3:14",
        "f.yaml:3:17",
        "f.yaml:5:3",
    ]


def test_a_violation_of_one_alternative_is_told_for_the_one_that_was_meant() -> None:
    (sentence,) = told("entries: [{reading: a, value: 1, note: 5}]", "case")
    assert sentence == "f.yaml:1:40: entries 1 note: '5' does not fit. Expected a text."


def described(schema: Any) -> list[str]:
    """Ways to the leaves of a schema that have no words for what is expected."""
    missing = []

    def walk(part: Any, way: str) -> None:
        if not isinstance(part, dict):
            return
        if "$ref" not in part and part.get("type") not in (None, "object") and "description" not in part:
            missing.append(way)
        for key in ("properties", "$defs"):
            for name, inner in part.get(key, {}).items():
                walk(inner, f"{way}/{name}")
        for key in ("items", "additionalProperties", "propertyNames"):
            walk(part.get(key), f"{way}/{key}")

    walk(schema, "")
    return missing


@pytest.mark.parametrize("name", ["knowledge", "case"])
def test_every_leaf_of_a_schema_says_in_words_what_is_expected(name: str) -> None:
    assert described(read_schema(name)) == []


def test_the_schema_files_are_written_the_way_they_are_read() -> None:
    for name in ("knowledge", "case"):
        text = (shipped_folder() / "schema" / f"{name}.schema.json").read_text("utf-8")
        assert text == json.dumps(json.loads(text), indent=1, ensure_ascii=False) + "\n"
