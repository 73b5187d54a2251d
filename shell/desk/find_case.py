"""The case of a store that a person means."""

from __future__ import annotations

from typing import TYPE_CHECKING

from crankpath.engine.errors import CaseError
from crankpath.shell.store import CaseSummary
from crankpath.shell.text.clean import one_line

if TYPE_CHECKING:
    from crankpath.shell.store import Store


def find_case(store: Store, meant: str) -> CaseSummary:
    """The case that is meant by its number in the list of open ones, or by words; closed ones by words too.

    Raises:
        CaseError: none, or more than one.
    """
    if meant.isdecimal():
        listed = store.cases(limit=int(meant))
        if 0 < int(meant) <= len(listed):
            return listed[int(meant) - 1]
        raise CaseError(f"There is no case {one_line(meant, 60)}. In a session the word cases lists them.")
    found = store.cases(search=meant, limit=5) or store.cases(search=meant, limit=5, open_only=False)
    if len(found) == 1:
        return found[0]
    names = "; ".join(one_line(case.name, 60) for case in found)
    fits = f"more than one case: {names}" if found else "no case"
    raise CaseError(f"'{one_line(meant, 60)}' fits {fits}. Give more of its name.")
