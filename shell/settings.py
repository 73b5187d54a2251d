"""What a user has set once: which folder of the shop is laid over the shipped knowledge."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Final

from crankpath.engine.errors import CrankpathError

VARIABLE: Final = "CRANKPATH_SETTINGS"
_KB: Final = "kb"


class SettingsError(CrankpathError):
    """The settings cannot be read or written; the message says where they are."""


def settings_path() -> Path:
    """The settings file: the environment's ``CRANKPATH_SETTINGS``, or the user's config folder."""
    given = os.environ.get(VARIABLE, "").strip()
    if given:
        return Path(given).expanduser()
    import platformdirs  # not needed where a place is given

    return Path(platformdirs.user_config_dir("crankpath", appauthor=False)) / "settings.json"


def chosen_folder(must_exist: bool = False) -> str | None:
    """The shop's folder that was set, or None.

    Raises:
        SettingsError: the settings file is damaged, or the folder must exist and does not.
    """
    path = settings_path()
    try:
        data = json.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as slip:
        message = f"{path}: the settings cannot be read ({slip}). Mend or delete the file."
        raise SettingsError(message) from None
    folder = data.get(_KB) if isinstance(data, dict) else None
    if not isinstance(folder, str):
        return None
    if must_exist and not _is_there(folder):
        raise SettingsError(
            f"{folder[:200]}: the shop's folder that was set is not there. Set another with "
            "'crankpath kb use DIR', or none with 'crankpath kb use --none'."
        )
    return folder


def _is_there(folder: str) -> bool:
    try:
        return Path(folder).exists()
    except OSError:
        return False  # no name a folder can have


def choose_folder(folder: str | None) -> None:
    """Set the shop's folder for every later run, or with None unset it.

    Raises:
        SettingsError: the settings file cannot be written.
    """
    path = settings_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps({_KB: folder}, indent=1) + "\n", encoding="utf-8")
    except OSError as slip:
        raise SettingsError(f"{path}: the settings cannot be written ({slip.strerror}).") from None
