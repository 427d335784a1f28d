"""Who goes where: every cow of a split by name, the names of the pens, and the button that moves them."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.domain.assess import Assessment
from herdscore.domain.diets import group_key
from herdscore.domain.group_split import Split, renamed, wanted_change
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.verdict import Verdict
from herdscore.pages.column_widths import fit_columns
from herdscore.pages.cow_words import say_cows
from herdscore.pages.group_split_card import names_clash, pen_words
from herdscore.parts.buttons import button
from herdscore.parts.cards import column, holder, row
from herdscore.parts.fields import field
from herdscore.parts.labels import label, restyle
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.list_view import ListView
from herdscore.parts.theme import Look

COLUMNS = (
    Column("tag", "Tag", width=66, weight=700),
    Column("from", "Now in", width=98),
    Column("to", "Goes to", width=118, weight=600),
    Column("wanted", "A week\nwanted", kind="number", right=True, width=66),
    Column("calves", "Calves", kind="date", width=66),
    Column("verdict", "Verdict", width=104, shown="verdict"),
)
STAYS = "stays"


class MovesPanel(QWidget):
    """`move_wished(Split)`: move them; `left()`: not now; `opened(cow id)`: look at her."""

    move_wished = Signal(object)
    left = Signal()
    opened = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._split: Split | None = None
        self._assessment: Assessment | None = None
        self._tags: list[str] = []
        self._why_not = ""
        self._title = label("", 14, 700, wrap=True)
        self._said = label("", 11, tone="second", wrap=True)
        self._names = QVBoxLayout()
        self.fields: list[QLineEdit] = []
        self.list = ListView(look, COLUMNS, "Who goes where")
        self.move_button = button("Move them", "main")
        self.back_button = button("Not now")
        foot = row(self.move_button, self.back_button, (self._said, 1), spacing=10)
        self._names.setSpacing(4)
        self.setLayout(column(self._title, self._names, (self.list, 1), foot, spacing=8, margins=(14, 10, 12, 10)))
        look.changed.connect(self._fit)
        self._fit()
        self.move_button.clicked.connect(self._on_move)
        self.back_button.clicked.connect(self.left)
        self.list.opened.connect(lambda key: self.opened.emit(str(key)))

    def show_split(self, assessment: Assessment, made: Split, tags: list[str], what: str, why_not: str) -> None:
        """Show a split of `what`; `why_not` says why nothing can be written, if so."""
        self._assessment, self._tags, self._why_not = assessment, tags, why_not
        self._title.setText(f"Who goes where: {what} into {len(made.pens)} pens")
        while (item := self._names.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.hide()
                old.deleteLater()
        self.fields = []
        for pen in made.pens:
            line = field(
                f"Name of the pen for {say_cows(len(pen.cows))}", width=round(186 * self._look.theme.text_scale)
            )
            line.setText(pen.name)
            line.setCursorPosition(0)
            line.textEdited.connect(self._on_named)
            self.fields.append(line)
            said = label(pen_words(assessment, made, pen), 11, tone="second", wrap=True)
            self._names.addWidget(holder(row(line, (said, 1), spacing=10)))
        self._split = made
        self._fill(made)

    def _fit(self) -> None:
        """Fit the list to its words and the size of the text."""
        fit_columns(self.list, self._look.theme)

    def focus_first(self) -> None:
        """Give the keyboard to the list."""
        self.list.setFocus()
        if self.list.current_key() is None and self.list.rows.rowCount():
            self.list.setCurrentIndex(self.list.rows.index(0, 0))

    def named(self) -> Split | None:
        """The split under the names typed, None while something is wrong with them."""
        names = [" ".join(line.text().split()) for line in self.fields]
        return None if self._split is None or names_clash(names) else renamed(self._split, names)

    def _fill(self, made: Split) -> None:
        a = self._assessment
        if a is None:
            return
        wanted = wanted_change(a)
        places = [(cow, group, pen) for cow, group, pen in made.of_cow]
        goes = [one for one in places if _moves(one[1], one[2])]
        stays = [one for one in places if not _moves(one[1], one[2])]
        rows = [self._row(a, cow, group, pen, float(wanted[cow])) for cow, group, pen in goes]
        rows += [self._row(a, cow, group, STAYS, float(wanted[cow])) for cow, group, _ in stays]
        for held in made.held:
            for cow in held.cows:
                rows.append(self._row(a, cow, a.groups.names[int(a.groups.now[cow])], STAYS, float("nan")))
        self.list.show_rows(rows)
        self._fit()
        self.move_button.setText(f"Move {say_cows(len(goes))}")
        self.move_button.setEnabled(bool(goes) and not self._why_not)
        self._said.setText(self._why_not or "Moved today, as one step that can be taken back.")

    def _row(self, a: Assessment, cow: int, group: str | None, to: str, wanted: float) -> ListRow:
        word = a.rulebook.words[Verdict(a.verdict[cow]).key]
        day = a.day(a.dates.day[cow])
        return ListRow(
            key=a.snapshot.cows.id[cow],
            texts=(
                self._tags[cow],
                group or "",
                to,
                say_number(wanted, 2, sign=True) if wanted == wanted else "",
                "" if day is None else say_day(day, a.today),
                word.word,
            ),
            values=(f"{cow:07d}", group, to, wanted, day, word.word),
            extras=(None, None, None, None, None, word.mark),
            done=to == STAYS,
        )

    def _on_named(self) -> None:
        names = [" ".join(line.text().split()) for line in self.fields]
        wrong = names_clash(names)
        keys = [group_key(name) for name in names]
        for line, key in zip(self.fields, keys, strict=True):
            restyle(line, "wrong", "true" if not key or keys.count(key) > 1 else "false")
        if wrong:
            self._said.setText(wrong)
            self.move_button.setEnabled(False)
        elif (made := self.named()) is not None:
            self._fill(made)

    def _on_move(self) -> None:
        made = self.named()
        if made is not None:
            self.move_wished.emit(made)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)


def _moves(group: str | None, pen: str) -> bool:
    return group is None or group_key(group) != group_key(pen)
