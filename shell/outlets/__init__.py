"""Everything that leaves the program: reports, messages, pages, drawings; pure functions."""
