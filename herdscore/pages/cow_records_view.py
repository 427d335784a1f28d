"""Everything recorded of a cow in one list, with who wrote, changed or struck it out and when."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from typing_extensions import override

from herdscore.desk.edits import strike_record, strike_score
from herdscore.desk.open_herd import OpenHerd
from herdscore.domain.assess import Assessment
from herdscore.domain.changes import Change
from herdscore.domain.cow_records import CowEntry, RecordLine, record_lines
from herdscore.domain.moves import strike_move
from herdscore.domain.reasons import say_day
from herdscore.domain.records import Cow, Listed, Move, Record, Score
from herdscore.parts.edit_list import EditList
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.theme import Look

COLUMNS = (
    Column("day", "Day", kind="date", width=112, weight=600),
    Column("words", "Recorded", width=290),
    Column("by", "Scorer", width=66),
    Column("written", "Written", kind="number", width=190),
)


class CowRecordsView(EditList):
    """`mend_wished(Score)`: Enter on a score; `said(words)`: why something cannot be struck out; `left()`: Esc."""

    mend_wished = Signal(object)
    said = Signal(str)
    left = Signal()

    def __init__(self, look: Look, herd: OpenHerd) -> None:
        super().__init__(look, COLUMNS, "Everything recorded of her")
        self._herd = herd
        self._cow_id = ""
        self._assessment: Assessment | None = None
        self._entries: tuple[CowEntry, ...] = ()
        self.lines: dict[str, RecordLine] = {}
        self.opened.connect(self._on_opened)
        self.struck.connect(lambda keys: self.strike(str(keys[0])))

    def show_cow(self, assessment: Assessment, cow: int) -> None:
        """Show her records at once, and who wrote them as soon as the journal has been looked up."""
        cow_id = str(assessment.snapshot.cows.id[cow])
        if cow_id != self._cow_id:
            self._entries = ()
        self._cow_id, self._assessment = cow_id, assessment
        self._fill()
        job = self._herd.journal_of(cow_id)
        job.finished.connect(lambda entries: self._on_entries(cow_id, entries))

    def strike(self, key: str) -> None:
        """Take a record out; the journal keeps it."""
        line = self.lines.get(key)
        if line is None or not line.stands:
            return
        change, why_not = strike_of(self._herd, line.record)
        if not self._herd.can_write:
            self.said.emit(self._herd.why_not)
        elif change is None:
            self.said.emit(why_not)
        elif self._herd.push(change, f"{line.words} struck out"):
            self.said.emit(f"Struck out: {say_day(line.day, self._herd.today)}, {line.words}. The journal keeps it.")

    def _on_entries(self, cow_id: str, entries: list[CowEntry]) -> None:
        if cow_id == self._cow_id:
            self._entries = tuple(entries)
            self._fill()

    def _fill(self) -> None:
        a = self._assessment
        cow = None if a is None else a.snapshot.cow_place.get(self._cow_id)
        if a is None or cow is None:
            return
        lines = record_lines(a, cow, self._entries)
        self.lines = {line.key: line for line in lines}
        self.show_rows([_row(line, a) for line in lines])
        if self.current_key() is None and lines:
            self.setCurrentIndex(self.rows.index(0, 0))

    def _on_opened(self, key: object) -> None:
        line = self.lines.get(str(key))
        if line is not None and line.stands and isinstance(line.record, Score):
            self.mend_wished.emit(line.record)
        elif line is not None and line.stands:
            self.said.emit("Enter mends a score; Delete strikes out any record. Services are mended on the herd page.")

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)


def strike_of(herd: OpenHerd, record: Record) -> tuple[Change | None, str]:
    """The change that takes a record out, or why it cannot be taken out here."""
    if isinstance(record, Score):
        return strike_score(record), ""
    if isinstance(record, Move):
        return strike_move(herd.snapshot, record, herd.herd_day), ""
    if isinstance(record, Cow):
        return None, "A change in the register is not struck out: change it again there, or take it back with Ctrl+Z."
    if isinstance(record, Listed):
        return None, "The list of a round is changed on the scoring page."
    return strike_record(record), ""


def _row(line: RecordLine, a: Assessment) -> ListRow:
    when = "" if line.written is None else _moment(line, a)
    written = f"{line.done} {when}{f', {line.writer}' if line.writer else ''}".strip() if line.done else ""
    number = None if line.written is None else line.written.timestamp()
    texts = (say_day(line.day, a.today), line.words, line.by, written)
    return ListRow(line.key, texts, (line.day, line.words, line.by, number), (), not line.stands)


def _moment(line: RecordLine, a: Assessment) -> str:
    assert line.written is not None
    here = line.written.astimezone()
    return f"{say_day(here.date(), a.today)} {here:%H:%M}"
