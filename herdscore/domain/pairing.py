"""Putting an electronic tag that nobody knows to a cow; the journal keeps what she had before."""

from __future__ import annotations

from dataclasses import dataclass, replace

from herdscore.domain.changes import Change, editing
from herdscore.domain.eid import Kind, Reading, read
from herdscore.domain.herd import Snapshot
from herdscore.domain.lookup import CowBook, folded
from herdscore.domain.records import GONE, Cow

_UK = "826"


@dataclass(frozen=True, slots=True)
class Pairing:
    """What stands in the way: the number is no electronic tag, another cow bears it, or she has another one already.

    Only the last can be done all the same, on purpose: she was tagged anew.
    """

    number: str | None
    borne_by: int | None = None
    has: str | None = None

    @property
    def is_possible(self) -> bool:
        """Whether it can be done at all."""
        return self.number is not None and self.borne_by is None


def pairing(snapshot: Snapshot, book: CowBook, code: str, cow_id: str) -> Pairing:
    """Look before putting a number to a cow."""
    found = read(code)
    if not isinstance(found, Reading) or found.kind is not Kind.EID:
        return Pairing(None)
    place, bearer = snapshot.cow_place[cow_id], book.of_eid(found.number)
    has = snapshot.cows.eid[place]
    other = bearer if bearer is not None and bearer != place else None
    return Pairing(found.number, other, None if bearer == place else has)


def pair(snapshot: Snapshot, book: CowBook, code: str, cow_id: str) -> Change:
    """Put a number to a cow; a ValueError where `pairing` says it cannot be."""
    looked = pairing(snapshot, book, code, cow_id)
    if not looked.is_possible:
        raise ValueError(f"{code!r} cannot be put to a cow")
    before = snapshot.record("cows", snapshot.cow_place[cow_id])
    assert isinstance(before, Cow)
    return editing("pair tag", [(before, replace(before, eid=looked.number))])


def likely_cow(snapshot: Snapshot, code: str) -> int | None:
    """The living cow without an EID whose UK tag has the figures of the number: to be offered, never taken for sure.

    Numbers above 274,877,906,943 cannot be carried figure for figure, and nobody has to number tags that way.
    """
    if not code.startswith(_UK):
        return None
    wanted = folded(f"UK{code[len(_UK) :]}")
    fits = [
        cow
        for cow, (tag, has, status) in enumerate(
            zip(snapshot.cows.tag, snapshot.cows.eid, snapshot.cows.status, strict=True)
        )
        if not has and status not in GONE and folded(tag) == wanted
    ]
    return fits[0] if len(fits) == 1 else None
