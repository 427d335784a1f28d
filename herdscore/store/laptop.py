"""The lasting random identity of this laptop, by which journals of one herd can be told apart and joined."""

from __future__ import annotations

import os
import re
import uuid
from pathlib import Path

from platformdirs import user_data_path


def this_laptop(folder: Path | None = None) -> str:
    """Identity kept in the person's data folder (or the one given), made on first use."""
    folder = folder or user_data_path("herdscore", appauthor=False)
    kept = folder / "laptop"
    try:
        identity = kept.read_text(encoding="ascii").strip()
        if re.fullmatch("[0-9a-f]{32}", identity):
            return identity
    except (OSError, UnicodeDecodeError):
        pass
    identity = uuid.uuid4().hex
    try:
        folder.mkdir(parents=True, exist_ok=True)
        fresh = folder / f"laptop.{identity}"
        fresh.write_text(identity, encoding="ascii")
        os.replace(fresh, kept)
    except OSError:
        # A home that cannot be written must not keep anyone from scoring: each start is then a laptop of its own.
        return identity
    return kept.read_text(encoding="ascii").strip()
