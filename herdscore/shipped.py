"""Finds resources/ and sample_herds/ in a checkout, an editable install or a wheel."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

_PACKAGE = Path(__file__).resolve().parent
_ROOT = _PACKAGE / "_shipped" if (_PACKAGE / "_shipped").is_dir() else _PACKAGE.parent


def resources() -> Path:
    """Folder with rules, style, icons, fonts and guide."""
    return _ROOT / "resources"


def rule_tables() -> dict[str, dict[str, Any]]:
    """The rule tables by file name without ending, parsed and not yet checked."""
    return {
        path.stem: tomllib.loads(path.read_text("utf-8")) for path in sorted((resources() / "rules").glob("*.toml"))
    }


def sample_herds() -> Path:
    """Folder with one folder a sample herd."""
    return _ROOT / "sample_herds"
