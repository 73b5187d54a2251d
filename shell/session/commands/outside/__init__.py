"""Session commands that write files, messages and hand-overs."""
