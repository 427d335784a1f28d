"""Choices of this laptop: one typed table, kept in an .ini file in the person's configuration folder.

What changes advice belongs to the herd file, not here.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, TypeVar

from PySide6.QtCore import QByteArray, QSettings

T = TypeVar("T")
MOST_RECENT = 6


@dataclass(frozen=True)
class Choice(Generic[T]):
    """One choice: its name in the file, what it is until somebody chooses, and how it is read and written as text."""

    name: str
    default: T
    read: Callable[[str], T]
    write: Callable[[T], str] = str


def _one_of(name: str, default: str, *words: str) -> Choice[str]:
    def read(text: str) -> str:
        if text not in words:
            raise ValueError(text)
        return text

    return Choice(name, default, read)


def _number(name: str, default: float, lowest: float, highest: float) -> Choice[float]:
    return Choice(name, default, lambda text: min(max(float(text), lowest), highest))


def _texts(text: str) -> tuple[str, ...]:
    read = json.loads(text)
    if not isinstance(read, list):
        raise ValueError(text)
    return tuple(str(one) for one in read)


def _several(name: str, default: tuple[str, ...] = ()) -> Choice[tuple[str, ...]]:
    return Choice(name, default, _texts, lambda several: json.dumps(list(several), ensure_ascii=False))


THEME = _one_of("theme", "light", "light", "dark", "daylight", "computer")
TEXT_SCALE = _number("text scale", 1.0, 1.0, 1.5)
SCORER = Choice("scorer", "", str)
SOUND = _one_of("sound at the crush", "off", "off", "on")
READER = _one_of("stick reader that types", "on", "on", "off")
READER_PORT = Choice("stick reader on a serial port", "", str)  # name of the port, "" for none
BLOCK = _one_of("block", "both", "autumn", "spring", "both")
RECENT = _several("recent herds")
LAST_FOLDER = Choice("last folder", "", str)
WINDOW = Choice(
    "window",
    QByteArray(),
    lambda text: QByteArray.fromBase64(QByteArray(text.encode("ascii"))),
    lambda place: bytes(place.toBase64().data()).decode("ascii"),
)


def sort_order(of_list: str) -> Choice[str]:
    """The column a list is sorted by, "-" before its key for descending; "" as it comes."""
    return Choice(f"sort order/{of_list}", "", str)


def shown_columns(of_list: str, default: tuple[str, ...] = ()) -> Choice[tuple[str, ...]]:
    """Keys of the columns a list shows."""
    return _several(f"columns/{of_list}", default)


class Settings:
    """The choices kept in one folder."""

    def __init__(self, folder: Path) -> None:
        self._file = QSettings(str(folder / "herdscore.ini"), QSettings.Format.IniFormat)

    @property
    def folder(self) -> Path:
        """The folder they are kept in."""
        return Path(self._file.fileName()).parent

    def get(self, choice: Choice[T]) -> T:
        """What was chosen; the default when nothing was, or when the file holds nonsense."""
        kept: Any = self._file.value(choice.name)
        if not isinstance(kept, str):
            return choice.default
        try:
            return choice.read(kept)
        except ValueError:
            return choice.default

    def set(self, choice: Choice[T], value: T) -> None:
        """Keep a choice."""
        self._file.setValue(choice.name, choice.write(value))

    def add_recent(self, herd: Path) -> None:
        """Put a herd first among those opened of late."""
        path = str(herd)
        others = [one for one in self.get(RECENT) if one != path]
        self.set(RECENT, (path, *others[: MOST_RECENT - 1]))

    def save(self) -> None:
        """Write the file now."""
        self._file.sync()
