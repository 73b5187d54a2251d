"""Checks of acts: what they do, and the cautions that go with it."""
