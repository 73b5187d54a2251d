"""The session in the terminal: a case from the complaint to the proven repair."""

from __future__ import annotations


def run(folder: str | None = None) -> int:
    """Hold a session on the user's store; return the exit code.

    Args:
        folder: a shop's own knowledge, laid over the shipped one.
    """
    from crankpath.shell.session.start import hold

    return hold(folder)
