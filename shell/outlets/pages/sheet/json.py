"""The sheet as JSON, every number unrounded."""

from __future__ import annotations

import json
from dataclasses import asdict

from crankpath.shell.outlets.pages.sheet.data import Sheet


def sheet_json(sheet: Sheet) -> str:
    """The records of `sheet_data` as they are; in ASCII, so that no terminal can be moved by it."""
    return json.dumps(asdict(sheet), indent=2, ensure_ascii=True)
