"""What a user has set once: the shop's folder over the shipped knowledge, how long a message may be."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from crankpath.engine.errors import CrankpathError
from crankpath.shell.files import is_there, named_path

VARIABLE: Final = "CRANKPATH_SETTINGS"
KB: Final = "kb"
ALONE: Final = "alone"
_LIMIT: Final = "message_limit"
_COLUMNS: Final = "recording_columns"
_USUAL_LIMIT: Final = 160  # characters of one short message


class SettingsError(CrankpathError):
    """The settings cannot be read or written; the message says where they are."""


def settings_path() -> Path:
    """The settings file: the environment's ``CRANKPATH_SETTINGS``, or the user's config folder."""
    given = os.environ.get(VARIABLE, "").strip()
    if given:
        return named_path(given)
    import platformdirs  # not needed where a place is given

    return Path(platformdirs.user_config_dir("crankpath", appauthor=False)) / "settings.json"


def chosen_folder(name: str = KB, must_exist: bool = False) -> str | None:
    """The shop's folder that was set, or (`ALONE`) the whole base in place of the shipped one; or None.

    Raises:
        SettingsError: the settings file is damaged, or the folder must exist and does not.
    """
    folder = _read().get(name)
    if not isinstance(folder, str):
        return None
    if must_exist and not is_there(Path(folder)):
        raise SettingsError(
            f"{folder[:200]}: the folder that was set is not there. Set another with "
            "'crankpath kb use DIR', or none with 'crankpath kb use --none'."
        )
    return folder


def choose_folders(folder: str | None, base: str | None) -> None:
    """Set the shop's folder and the whole base below it for every later run; None unsets one.

    Raises:
        SettingsError: the settings file cannot be written.
    """
    _set(KB, folder)
    _set(ALONE, base)


def message_limit() -> int:
    """How many characters one message may hold, as it was set; 160 if it never was.

    Raises:
        SettingsError: the settings file is damaged.
    """
    limit = _read().get(_LIMIT)
    return limit if isinstance(limit, int) and not isinstance(limit, bool) else _USUAL_LIMIT


def choose_message_limit(limit: int) -> None:
    """Set how many characters one message may hold, for every later run.

    Raises:
        SettingsError: the settings file cannot be read or written.
    """
    _set(_LIMIT, limit)


def recording_columns(header: str) -> tuple[str, ...]:
    """What was said of the columns of the last recording with this header; empty if there was none.

    Raises:
        SettingsError: the settings file is damaged.
    """
    kept = _read().get(_COLUMNS)
    told = kept.get(header) if isinstance(kept, dict) else None
    return tuple(map(str, told)) if isinstance(told, list) else ()


def keep_recording_columns(header: str, told: Sequence[str]) -> None:
    """Keep what was said of the columns of recordings with this header.

    Raises:
        SettingsError: the settings file cannot be read or written.
    """
    kept = _read().get(_COLUMNS)
    _set(_COLUMNS, (kept if isinstance(kept, dict) else {}) | {header: list(told)})


def _read() -> dict[str, Any]:
    path = settings_path()
    try:
        data = json.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        return {}
    except (OSError, ValueError) as slip:
        message = f"{path}: the settings cannot be read ({slip}). Correct or delete the file."
        raise SettingsError(message) from None
    return data if isinstance(data, dict) else {}


def _set(name: str, value: object) -> None:
    data = _read() | {name: value}
    path = settings_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")
    except OSError as slip:
        raise SettingsError(f"{path}: the settings cannot be written ({slip.strerror}).") from None
