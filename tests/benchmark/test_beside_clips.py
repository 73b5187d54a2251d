"""The comparison with CLIPS: the same facts from the same rules."""

from __future__ import annotations

import beside_clips
import pytest
from bench_cases import generated_case, shipped_case
from generated_bases import Size
from shipped_base import shipped_knowledge

pytestmark = pytest.mark.skipif(not beside_clips.installed(), reason="the binding of CLIPS is missing")


def test_the_shipped_rules_derive_the_same_facts_there_and_here() -> None:
    found = beside_clips.chained(shipped_case(shipped_knowledge()).read(), runs=1)
    assert found.agree
    assert found.facts > 8


def test_the_rules_of_a_generated_base_do_too() -> None:
    found = beside_clips.chained(generated_case(shipped_knowledge(), Size(20, 80)).read(), runs=1)
    assert found.agree
    assert found.rules > 10
