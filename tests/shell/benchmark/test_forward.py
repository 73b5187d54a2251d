"""The comparison with CLIPS: the same facts from the same rules."""

from __future__ import annotations

import pytest

from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.trials.benchmark.bench_cases import generated_case, shipped_case
from crankpath.engine.trials.benchmark.generated import Size
from crankpath.shell.benchmark import forward

pytestmark = pytest.mark.skipif(not forward.installed(), reason="the binding of CLIPS is missing")


def test_the_shipped_rules_derive_the_same_facts_there_and_here() -> None:
    found = forward.chained(shipped_case(load_knowledge()).read(), runs=1)
    assert found.agree
    assert found.facts > 8


def test_the_rules_of_a_generated_base_do_too() -> None:
    found = forward.chained(generated_case(load_knowledge(), Size(20, 80)).read(), runs=1)
    assert found.agree
    assert found.rules > 10
