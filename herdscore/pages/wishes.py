"""What a page asks the window to save or print: the window asks where to, the page's own function draws it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtGui import QPagedPaintDevice

PICTURES = "Picture of dots (*.png);;Picture of shapes (*.svg)"


@dataclass(frozen=True)
class SaveWish:
    """A picture to save: what it is ("The runway"), its name without folder, the kinds offered, and what draws it.

    It is drawn on the window's own thread, so it has to be soon done.
    """

    what: str
    name: str
    kinds: str
    write: Callable[[Path], Path]


@dataclass(frozen=True)
class PrintWish:
    """Pages to print: what they are, whether A4 lies on its long side, and what draws them at 96 dots an inch.

    They are drawn in a job, but those `of_widgets` on the window's own thread.
    """

    what: str
    landscape: bool
    draw: Callable[[QPagedPaintDevice], object]
    of_widgets: bool = False


@dataclass(frozen=True)
class FileWish:
    """A spreadsheet or PDF to save: as `SaveWish`, but written in a job, which tells `report(done, total, text)`."""

    what: str
    name: str
    kinds: str
    write: Callable[[Path, Callable[[int, int, str], None]], Path]
