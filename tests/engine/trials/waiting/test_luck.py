"""What luck alone may do."""

from __future__ import annotations

from random import Random

import pytest
from shipped_base import shipped_knowledge

from crankpath.engine.trials.waiting.luck import part_named_though_sound, passes_though_not_fixed

KB = shipped_knowledge()


@pytest.mark.parametrize("machines", [2, pytest.param(12, marks=pytest.mark.slow)])
def test_no_part_of_a_sound_machine_is_named(machines: int) -> None:
    assert not [n for n in range(machines) if part_named_though_sound(KB, Random(f"sound {n}"), "first")]


def test_a_wrong_repair_stands_its_proof_no_oftener_than_stated() -> None:
    tries = 4000
    passed = sum(passes_though_not_fixed(KB, Random(f"proof {n}")) for n in range(tries))
    level = KB.settings["proof_level"]
    assert passed / tries <= level + 2.0 * (level * (1.0 - level) / tries) ** 0.5
