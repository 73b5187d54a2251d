"""The shipped cases, as a shop runs its own: two lines."""

from crankpath.shell.kb_pytest import cases_of

test_case = cases_of()
