"""What a path means: a sheet, its herd file, a sample herd; and who opens it. Names only: the first page needs them."""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from herdscore import shipped
from herdscore.errors import Problem

HERD = ".herd"


@dataclass(frozen=True)
class Source:
    """A sheet to be read, the herd file it becomes, and whether that file is there already."""

    sheet: Path
    target: Path
    is_sample: bool = False

    @property
    def is_there(self) -> bool:
        """Whether a herd file stands where this sheet's would go."""
        return self.target.exists()


@dataclass(frozen=True)
class Opener:
    """Who opens, on which laptop and day; `on` is the day to look at when it is not the herd's."""

    laptop: str
    computer_day: date
    who: str = ""
    on: date | None = None


@dataclass(frozen=True)
class SampleHerd:
    """One sample herd: its folder and the first line on what it shows."""

    folder: Path
    name: str
    shows: str


def sample_herds() -> list[SampleHerd]:
    """The sample herds shipped with the program, by name."""
    root = shipped.sample_herds()
    if not root.is_dir():
        return []
    made = []
    for folder in sorted(one for one in root.iterdir() if one.is_dir() and not one.name.startswith((".", "_"))):
        made.append(SampleHerd(folder, _spaced(folder.name), _first_sentence(folder)))
    return made


def source_of(path: Path, data_folder: Path) -> Source:
    """What a workbook, a .csv or a folder becomes; a sample herd becomes a copy in the person's data folder."""
    path = path.resolve()
    samples = shipped.sample_herds().resolve()
    if path.is_relative_to(samples) and path != samples:
        folder = samples / path.relative_to(samples).parts[0]
        return Source(_sheet_in(path), data_folder / "sample herds" / f"{_spaced(folder.name)}{HERD}", is_sample=True)
    stem = path.name if path.is_dir() else path.stem
    beside = path.parent / f"{stem}{HERD}"
    if beside.exists() or os.access(path.parent, os.W_OK):
        return Source(path, beside)
    return Source(path, data_folder / "herds" / f"{stem}{HERD}")


def unused(path: Path) -> Path:
    """The path, or with the first number behind its name that is free."""
    free, n = path, 1
    while free.exists():
        n += 1
        free = path.with_name(f"{path.stem} {n}{path.suffix}")
    return free


def _sheet_in(path: Path) -> Path:
    """The workbook in a sample's folder, else the folder itself for its .csv files."""
    if path.is_dir():
        books = sorted(path.glob("*.xlsx"))
        return books[0] if books else path
    return path


def _spaced(name: str) -> str:
    return name.replace("_", " ").replace("-", " ").strip().capitalize()


def _first_sentence(folder: Path) -> str:
    for readme in sorted(folder.glob("README*")):
        for line in readme.read_text("utf-8").splitlines():
            plain = line.strip().lstrip("#").strip()
            if plain and not line.startswith("#"):
                return plain.split(". ")[0].rstrip(".") + "."
    return ""


def check_is_there(path: Path) -> None:
    """A Problem when there is no such file or folder."""
    if not path.exists():
        raise Problem(f"{path.name} is not there.", "It was moved, renamed or deleted.", "Look for it with Open.")
