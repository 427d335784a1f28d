"""Run by the crash test in a process of its own: saves round after round, and prints each once it is saved."""

from __future__ import annotations

import sys
from pathlib import Path

from herdscore.domain.changes import adding
from herdscore.domain.records import new_id
from herdscore.store.herd_file import HerdFile
from tests.store.small_herd import LAPTOP, score

SCORES_A_ROUND = 25


def keep_scoring(path: Path) -> None:
    """Save rounds until killed."""
    with HerdFile.open(path, laptop=LAPTOP) as herd:
        if herd.read_only:
            sys.exit(herd.why_read_only)
        while True:
            name = new_id()
            herd.apply(adding("round", [score(f"{name} {n}") for n in range(SCORES_A_ROUND)]), "Ann")
            sys.stdout.write(f"saved {name}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    keep_scoring(Path(sys.argv[1]))
