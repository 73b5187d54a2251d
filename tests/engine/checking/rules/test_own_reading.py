"""Rules that ask for the reading they predict."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]

RULE = (
    "rules:\n  r: {faults: [joint], measurements: %s, given: {%s}, reads: {between: [1, 3]}, "
    "because: so}\n"
)


def test_a_rule_that_asks_for_its_own_reading_is_told(finds: Finds) -> None:
    own = "rules/r: rule r: its 'given' asks for joint_drop, the reading that it predicts"
    assert finds("own_reading", RULE % ("[joint_drop]", "joint_drop: high")) == [own]
    assert finds("own_reading", RULE % ("{kinds: [loaded_drop]}", "joint_drop: high")) == [own]
    assert finds("own_reading", RULE % ("[joint_drop]", "behaviour: slow")) == []
