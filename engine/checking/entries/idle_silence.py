"""A silence that silences nothing.

What: ``silence`` names a check that does not exist or cannot be silenced, or an entry in which
that check finds nothing.

Why: it would hide the next real slip there.

Bad::

    silence:
      no_source: {entries: [our_rule], because: "not yet"}     # our_rule has a source by now

Good::

    silence:
      no_caution: {entries: [jammed_pulley], because: "work without the battery connected"}
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.knowledge.problems import Problem, near
from crankpath.engine.knowledge.records import Silence


def idle(
    silences: Collection[Silence], used: Collection[tuple[Silence, str]], checks: Collection[str]
) -> Iterator[Problem]:
    """Silences that match no finding.

    Args:
        silences: all of them.
        used: those that kept a finding back, with the entry's name as they write it.
        checks: ids of the checks that can be silenced.
    """
    for silence in silences:
        if silence.id not in checks:
            message = f"'{silence.id}' is no check that can be silenced"
            yield problem("silence", silence.origin, message, near(silence.id, checks))
            continue
        for entry in silence.entries:
            if (silence, entry) not in used:
                message = f"{silence.id} finds nothing in '{entry}', so there is nothing to silence"
                yield problem("silence", silence.origin, message, "Take that entry out of the silence")
