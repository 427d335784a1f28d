"""Finds resources/ and sample_herds/ in a checkout, an editable install or a wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_ROOT = _PACKAGE / "_shipped" if (_PACKAGE / "_shipped").is_dir() else _PACKAGE.parent


def resources() -> Path:
    """Folder with rules, style, icons, fonts and guide."""
    return _ROOT / "resources"


def sample_herds() -> Path:
    """Folder with one folder a sample herd."""
    return _ROOT / "sample_herds"
