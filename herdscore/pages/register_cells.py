"""Fields of the register changed in the list itself: what is offered, what is refused, what is written."""

from __future__ import annotations

from PySide6.QtCore import QObject

from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.cow_form import cow_change, group_hint, read_field, typed_of
from herdscore.domain.diets import groups_of
from herdscore.domain.records import BLOCKS, Cow
from herdscore.pages.register_list import RegisterList

SEASONS = (("", "by her date"), *((name, name) for name in BLOCKS))
_WORDS = {"management_no": "number", "calvings": "calvings", "season": "season", "group": "group"}


class RegisterCells(QObject):
    """Answers a list of cows whose cells somebody changes."""

    def __init__(self, cows: RegisterList, herd: OpenHerd) -> None:
        super().__init__(cows)
        self._cows, self._herd = cows, herd
        cows.list.edit_wished.connect(self._on_wished)
        cows.list.typed.connect(self._on_typed)
        cows.list.edit_left.connect(lambda: cows.say(""))

    def _cow(self, cow_id: object) -> Cow | None:
        place = self._herd.snapshot.cow_place.get(str(cow_id))
        found = None if place is None else self._herd.snapshot.record("cows", place)
        return found if isinstance(found, Cow) else None

    def _on_wished(self, cow_id: object, column: str) -> None:
        cow = self._cow(cow_id)
        if cow is None:
            return
        if not self._herd.can_write:
            self._cows.say(self._herd.why_not, wrong=True)
            return
        groups = groups_of(self._herd.snapshot, self._herd.herd_day)
        now = groups.names[int(groups.now[self._herd.snapshot.cow_place[cow.id]])]
        text = typed_of(cow, now)[column]
        names = [name for name in groups.names if name is not None] if column == "group" else []
        name = f"{_WORDS[column]} of {cow.tag}"
        self._cows.list.begin_edit(text, SEASONS if column == "season" else (), names, name)
        more = ", or type a new one" if column == "group" and names else ""
        self._cows.say(f"{name[0].upper()}{name[1:]}{more}. Enter keeps it, Esc leaves it as it was.")

    def _on_typed(self, cow_id: object, column: str, text: str) -> None:
        cow, cells = self._cow(cow_id), self._cows.list
        if cow is None or not self._herd.can_write:
            cells.end_edit()
            self._cows.say(self._herd.why_not, wrong=True)
            return
        read = read_field(column, text, self._herd.snapshot, self._herd.herd_day, cow)
        if isinstance(read, str):
            cells.show_wrong()
            self._cows.say(read, wrong=True)
            return
        moved = group_hint(self._herd.snapshot, cow, text, self._herd.herd_day) if column == "group" else ""
        change = cow_change(self._herd.snapshot, cow, read, self._herd.herd_day)
        if change.rows and not self._herd.push(change, f"{_WORDS[column]} of {cow.tag}"):
            return
        cells.end_edit()
        cells.setFocus()
        if change.rows:
            self._cows.say(f"{cow.tag}: {_WORDS[column]} kept. {moved}".strip())
