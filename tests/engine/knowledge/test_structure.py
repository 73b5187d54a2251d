"""The structure of a case file: refused where an independent reader of JSON Schema refuses it."""

from __future__ import annotations

import random
from copy import deepcopy
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from crankpath.engine.knowledge.documents import Document, Place
from crankpath.engine.knowledge.folders import read_schema
from crankpath.engine.knowledge.structure import structure_problems

WHOLE: dict[str, Any] = {
    "about": "a loader", "source": ["common_practice"], "lacks": ["clamp_meter"], "complaint": "just clicks",
    "equipment": {"system_voltage": 12, "cables": {"positive": {"gauge": "2/0", "length": "4 m"}}},
    "readings": {"crank_behaviour": "single_click", "battery_rest_voltage": 12.6},
    "entries": [
        {"reading": "a", "value": "820 mV", "symptom": False, "cable": 2, "at": "2026-01-05T10:00:00Z",
         "by": "operator"},
        {"cannot": "b", "note": "no clamp"}, {"tries": {"failures": 2, "of": 10}},
        {"repaired": "c", "cured": None}, {"note": "rained"},
    ],
    "expect": {"first": None, "repair": "c", "verdict": {"action": "repair"}, "never": ["d"], "says": "e",
               "chance": {"f": {"least": 0.8}}},
}  # fmt: skip
PARTS = (None, True, 0, -1, 1.5, "", "x", "Not an id", [], [1], ["x"], {}, {"x": 1}, {"note": "x"}, "tries")


def changed(chance: random.Random, value: Any) -> Any:
    """The same with one part replaced, left out or added, somewhere inside."""
    if isinstance(value, dict | list) and value and chance.random() < 0.85:
        key = chance.choice(list(value) if isinstance(value, dict) else range(len(value)))
        match chance.randrange(6):
            case 0:
                del value[key]
            case 1 if isinstance(value, dict):
                value[chance.choice(("x", "Odd", "value", "cured"))] = chance.choice(PARTS)
            case _:
                value[key] = changed(chance, value[key])
        return value
    return chance.choice(PARTS)


@pytest.mark.parametrize("tries", [400, pytest.param(3000, marks=pytest.mark.slow)])
def test_it_is_refused_where_an_independent_reader_refuses_it(tries: int) -> None:
    independent = Draft202012Validator(read_schema("case"))
    chance, refused = random.Random(4), 0
    for _ in range(tries):
        data = deepcopy(WHOLE)
        for _ in range(chance.randint(1, 3)):
            data = changed(chance, data)
        problems = structure_problems(Document("c.yaml", data, Place(1, 1, None), ()))
        assert bool(problems) is not independent.is_valid(data), data
        refused += bool(problems)
    assert tries / 3 < refused < 0.97 * tries
