"""The session in the terminal: a case from the complaint to the proven repair."""

from __future__ import annotations

from crankpath.shell.kb_folders import Folders


def run(folders: Folders | None = None) -> int:
    """Hold a session on the user's store; return the exit code.

    Args:
        folders: the knowledge; the shipped one if None.
    """
    from crankpath.shell.session.start import hold

    return hold(folders or Folders())
