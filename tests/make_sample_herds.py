"""Writes the herds of `sample_herds/` afresh: `python tests/make_sample_herds.py`; the same code, the same herds."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from herdscore.domain.herd import Snapshot

ROOT = Path(__file__).resolve().parents[1]


@dataclass(frozen=True)
class Sample:
    """One sample herd: its folder, its workbook in it ("" for sheets as .csv in the folder itself), what it shows."""

    folder: str
    workbook: str
    shows: str
    herd: Callable[[], Snapshot]

    @property
    def place(self) -> Path:
        """Where the herd stands below the folder of all of them."""
        return Path(self.folder, self.workbook)


def samples() -> tuple[Sample, ...]:
    """The sample herds."""
    from tests.samples import autumn, spring, two_blocks

    return (
        Sample(
            "spring",
            "skerrowby.xlsx",
            "Skerrowby on 14 January 2026: 65 spring calvers in three pens, calving dates typed from scans, services"
            " and hearsay, scored four times by two people. About eleven weeks before most calve: who to ease up"
            " or down now, who has time in hand, for whom it is too late.",
            spring.herd,
        ),
        Sample(
            "autumn",
            "",
            "Oxlinden on 17 June 2026: 40 autumn calvers at grass, one .csv a sheet and no calving date typed: dates"
            " follow from AI, repeats, the bull, scans and hand checks, and one heifer has none. Many are gaining well;"
            " some will calve too fat unless they are held.",
            autumn.herd,
        ),
        Sample(
            "two_blocks",
            "marrowick.xlsx",
            "Marrowick on 11 December 2025: 116 cows of both blocks in five groups. Autumn calvers are in milk four"
            " days before the bull goes in; spring calvers are housed, one court fed up, one barn eased down, some cows"
            " moved between. As in any real book something is missing: dates, scores, a scorer's name, a diet.",
            two_blocks.herd,
        ),
    )


def write_samples(into: Path) -> None:
    """Write every sample herd and its README line below a folder."""
    from herdscore.exchange.herd_out import write_herd

    for sample in samples():
        folder = into / sample.folder
        folder.mkdir(parents=True, exist_ok=True)
        write_herd(sample.herd(), into / sample.place)
        (folder / "README.md").write_text(f"{sample.shows} Everything in it is made up.\n", encoding="utf-8")


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    write_samples(ROOT / "sample_herds")
