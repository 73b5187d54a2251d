"""The comparison with pyAgrum: the same chances, or a sentence why there are none."""

from __future__ import annotations

import beside_pyagrum
import pytest

pytestmark = pytest.mark.skipif(not beside_pyagrum.installed(), reason="pyagrum comes with the extra 'test'")


@pytest.mark.slow
def test_a_generated_base_has_the_same_chances_there_and_here() -> None:
    found = beside_pyagrum.compared("12 x 20", 120.0, 4.0)
    assert found.trouble == ""
    assert found.worst < 1e-9
    assert found.bits < 0.05
    assert min(found.arrays, found.library, found.same, found.advice) > 0.0
    assert len(beside_pyagrum.lines(found)) == 5


def test_what_does_not_finish_in_time_is_said() -> None:
    assert beside_pyagrum.compared("12 x 20", 0.01, 4.0).trouble == "does not finish in 0 s"


@pytest.mark.slow
def test_what_needs_too_much_memory_is_said() -> None:
    assert beside_pyagrum.compared("200 x 100", 120.0, 0.5).trouble
