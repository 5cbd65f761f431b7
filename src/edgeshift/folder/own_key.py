"""The key with which this machine signs: it stays with the person's own settings, in no experiment."""

from __future__ import annotations

import os
import secrets
import sys
from contextlib import suppress
from pathlib import Path

from edgeshift.folder.durable import kind_about_disk

BYTES = 32


def settings_folder() -> Path:
    """Where this person's settings stand: XDG_CONFIG_HOME, or what the system has in its place."""
    if sys.platform == "win32":
        return Path(os.environ.get("APPDATA") or Path.home() / "AppData" / "Roaming") / "edgeshift"
    return Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config") / "edgeshift"


def own_key(folder: Path | None = None) -> bytes:
    """The secret of this machine and person, made when first asked for; nobody else may read it.

    Raises FolderRefused where the settings cannot be written.
    """
    path = (folder or settings_folder()) / "signing.key"
    with kind_about_disk(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        with suppress(FileExistsError):
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "wb") as file:
                file.write(secrets.token_bytes(BYTES))
                file.flush()
                os.fsync(file.fileno())
        return path.read_bytes()
