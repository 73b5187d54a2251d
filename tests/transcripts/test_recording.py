"""The recorded sessions say what the program prints now."""

from __future__ import annotations

from pathlib import Path

import pytest
from recording import HERE, README, USERS, excerpt, recorded, with_excerpt
from sampled import one_in
from shipped_base import shipped_knowledge

_AGAIN = "record them again: python tests/transcripts/recording.py"


@pytest.mark.parametrize("user", one_in(len(USERS), USERS))
def test_a_recorded_session_is_what_the_program_prints(user: str) -> None:
    assert recorded(shipped_knowledge(), user) == (HERE / f"{user}.md").read_text("utf-8"), _AGAIN


def test_the_readme_shows_an_excerpt_of_the_technicians_session() -> None:
    readme = README.read_text("utf-8")
    page = Path(HERE / "technician.md").read_text("utf-8")
    assert with_excerpt(readme, excerpt(page)) == readme, _AGAIN
