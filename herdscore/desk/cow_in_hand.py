"""The cow under the hand, kept in a small file after each key, so that a crash or a flat battery does not lose her.

She is offered back on the next start, unless her score got into the herd file after all.
"""

from __future__ import annotations

import contextlib
import json
import os
from dataclasses import dataclass, fields, replace
from datetime import date
from pathlib import Path
from typing import Any

from herdscore.domain.asides import aside_of, asides_of
from herdscore.domain.herd import Snapshot
from herdscore.domain.lookup import folded
from herdscore.domain.scored import score_on, scorer_key
from herdscore.domain.scoring_entry import Entry, Sites

_NOT_KEPT = ("before", "asks", "answered", "notice")
"""What belongs to the moment, and what the herd file says itself."""


@dataclass(frozen=True, slots=True)
class InHand:
    """An entry that was not saved, its `before` as the herd has it now; `tag` of a cow not in the herd, else empty."""

    entry: Entry
    day: date
    scorer: str
    tag: str = ""


class CowInHand:
    """The one file of a herd on this laptop; nothing here raises, as nothing here may stop the work."""

    def __init__(self, folder: Path, herd_id: str) -> None:
        """`folder`: where the person's data of this program lies; `herd_id`: that of the herd file."""
        self.path = folder / f"in_hand_{herd_id}.json"
        self._kept: str | None = None

    def keep(self, entry: Entry | None, day: date, scorer: str, tag: str = "") -> bool:
        """Keep what is entered so far; nothing entered is forgotten. False when the disk did not take it."""
        if entry is None or not entry.is_changed:
            self.forget()
            return True
        text = json.dumps(
            {"day": day.isoformat(), "scorer": scorer, "tag": tag, "entry": _plain(entry)}, ensure_ascii=False
        )
        if text == self._kept:
            return True
        # Not forced to the disk: a key may not wait for it, and a file is replaced whole or not at all.
        part = self.path.with_suffix(".part")
        try:
            part.parent.mkdir(parents=True, exist_ok=True)
            part.write_text(text, encoding="utf-8")
            os.replace(part, self.path)
        except OSError:
            return False
        self._kept = text
        return True

    def forget(self) -> None:
        """She is saved, or left on purpose."""
        self._kept = None
        with contextlib.suppress(OSError):
            self.path.unlink(missing_ok=True)

    def offered(self, snapshot: Snapshot) -> InHand | None:
        """The cow of the last start that was not saved, None when there is none; the file stays until she is."""
        try:
            kept = _read(json.loads(self.path.read_text(encoding="utf-8")))
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            return None
        found = _of_cow(snapshot, kept) if kept.entry.cow_id else _of_nobody(snapshot, kept)
        if found is None or not found.entry.is_changed:
            self.forget()
            return None
        return found


def _of_cow(snapshot: Snapshot, kept: InHand) -> InHand | None:
    place = snapshot.cow_place.get(kept.entry.cow_id)
    if place is None:
        return None
    before = score_on(snapshot, place, kept.day, kept.scorer)
    return replace(kept, entry=replace(kept.entry, before=before))


def _of_nobody(snapshot: Snapshot, kept: InHand) -> InHand | None:
    """Of a tag no cow bears: not offered when it is among those kept to one side already."""
    made = aside_of(kept.entry, kept.tag, kept.day, kept.scorer)
    for one in asides_of(snapshot):
        same = (folded(one.tag), one.day, scorer_key(one.scorer)) == (
            folded(made.tag),
            made.day,
            scorer_key(made.scorer),
        )
        if same and (one.loin, one.ribs, one.tailhead, one.note) == (made.loin, made.ribs, made.tailhead, made.note):
            return None
    return kept


def _plain(entry: Entry) -> dict[str, Any]:
    """The fields a file can hold: texts, numbers, flags, and rows of them."""
    made = {}
    for field in fields(entry):
        value = getattr(entry, field.name)
        several = list(value) if isinstance(value, tuple | frozenset) else [value]
        if field.name not in _NOT_KEPT and all(one is None or isinstance(one, str | int | float) for one in several):
            made[field.name] = sorted(several) if isinstance(value, frozenset) else value
    return made


def _read(kept: dict[str, Any]) -> InHand:
    plain = kept["entry"]
    known = {field.name for field in fields(Entry)} - set(_NOT_KEPT)
    empty = Entry(str(plain["cow_id"]))
    values: dict[str, Any] = {}
    for name in known & set(plain):
        usual, value = getattr(empty, name), plain[name]
        values[name] = frozenset(value) if isinstance(usual, frozenset) else value
    values["sites"] = _sites(values["sites"])
    return InHand(Entry(**values), date.fromisoformat(kept["day"]), str(kept["scorer"]), str(kept["tag"]))


def _sites(value: Any) -> Sites:
    loin, ribs, tailhead = (None if site is None else int(site) for site in value)
    return loin, ribs, tailhead
