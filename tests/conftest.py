"""Property tests try the same examples every time; ``--hypothesis-profile=search`` tries new ones."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("same", deadline=None, derandomize=True, max_examples=40)
settings.register_profile("search", deadline=None, max_examples=1000)
settings.load_profile("same")
