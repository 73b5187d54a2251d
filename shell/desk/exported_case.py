"""A case with all its events as the text of one file, and back; pure functions."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from crankpath.shell.store.errors import BadEvent
from crankpath.shell.store.event_data import FORMAT


def whole_text(exported: Mapping[str, Any]) -> str:
    """What `Store.export_case` gives, as JSON in ASCII, which any mail leaves as it is."""
    return json.dumps(exported, indent=1) + "\n"


def whole_case(text: bytes) -> object | None:
    """What `Store.import_case` takes, if a file begins as one that `whole_text` made; None if it is another.

    Raises:
        BadEvent: it is such a file, but damaged.
    """
    start = text[:200].lstrip()
    if not start.startswith(b"{") or FORMAT.encode() not in start:
        return None
    try:
        return json.loads(text)  # type: ignore[no-any-return]
    except (ValueError, RecursionError) as slip:
        raise BadEvent(f"This exported case is damaged ({slip}). Have it exported and sent again.") from None
