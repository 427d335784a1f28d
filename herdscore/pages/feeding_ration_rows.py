"""The lines of a ration typed by hand: feed, kg fresh, what it was, and what it brings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np
from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QWidget
from typing_extensions import override

from herdscore.domain.feeds import Feeds
from herdscore.domain.ration_form import ReadRation
from herdscore.domain.reasons import say_number
from herdscore.parts.buttons import choice_box
from herdscore.parts.fields import field
from herdscore.parts.labels import label, restyle

HEADINGS = ("Feed", "kg fresh", "was", "kg DM", "MJ", "CP g")
_KG_PX = 84
_TAKE_OUT = (Qt.Key.Key_Delete, Qt.Key.Key_Backspace)


class _Line:
    """The widgets of one line."""

    def __init__(self, place: int) -> None:
        self.feed: QComboBox = choice_box(f"Feed {place + 1}", height=40)
        self.kg: QLineEdit = field(f"Kg fresh of feed {place + 1}", points=13, weight=700, width=_KG_PX, right=True)
        self.kg.setMinimumHeight(40)
        self.was, self.dm, self.mj, self.cp = (label("", 11, 500, right=True) for _ in range(4))
        restyle(self.was, "tone", "second")
        self.wrong: QLabel = label("", 11, 600, "thin", wrap=True)
        self.wrong.hide()

    @property
    def widgets(self) -> tuple[QWidget, ...]:
        return self.feed, self.kg, self.was, self.dm, self.mj, self.cp


class RationRows(QWidget):
    """`edited()`: something was typed or chosen; Enter goes to the next line, Delete in an empty field takes it out."""

    edited = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._feeds: Feeds | None = None
        self._lines: list[_Line] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(5)
        self._grid.setColumnStretch(0, 1)
        for at, words in enumerate(HEADINGS):
            self._grid.addWidget(label(words, 11, 600, "second", right=at > 1), 0, at)
        self._totals = [label("", 12, 700, right=True) for _ in range(3)]
        self._total_name = label("Total", 12, 700)

    @property
    def typed(self) -> list[tuple[str, str]]:
        """Feed and kg of every line, as they stand there."""
        return [(line.feed.currentText(), line.kg.text()) for line in self._lines]

    def show_ration(self, feeds: Feeds, kg: Mapping[str, float], was: Mapping[str, float]) -> None:
        """Fill the lines with a ration, one a feed that is or was fed."""
        self._feeds = feeds
        while self._lines:
            self._take_out(self._lines[-1])
        order = [str(name) for name in feeds.name if kg.get(str(name)) or was.get(str(name))]
        for name in order:
            self._add(name, kg.get(name, 0.0))
        if not self._lines:
            forage = [str(name) for name in feeds.name[feeds.is_forage]]
            self._add(forage[0] if forage else "", 0.0)
        self._place()

    def put_typed(self, lines: Sequence[tuple[str, str]]) -> None:
        """Bring back lines as they stood: feed, and kg as typed."""
        while self._lines:
            self._take_out(self._lines[-1])
        for feed, kg in lines:
            self._add(feed, 0.0)
            self._lines[-1].kg.setText(kg)
        self._place()

    def add_line(self) -> None:
        """Another line, for a feed that is not in it yet."""
        if self._feeds is None:
            return
        used = {feed for feed, _ in self.typed}
        free = [str(name) for name in self._feeds.name if str(name) not in used]
        if free:
            self._add(free[0], 0.0)
            self._place()
            self._lines[-1].feed.setFocus()

    def focus_first(self) -> None:
        """Give the keyboard to the first amount."""
        if self._lines:
            self._lines[0].kg.setFocus()
            self._lines[0].kg.selectAll()

    def show_read(self, read: ReadRation, was: Mapping[str, float]) -> None:
        """Say what each line brings, and what is wrong with it."""
        feeds = self._feeds
        if feeds is None:
            return
        dm = mj = cp = 0.0
        for place, line in enumerate(self._lines):
            name = line.feed.currentText()
            wrong = read.problems.get(place, "")
            line.wrong.setText(wrong)
            line.wrong.setVisible(bool(wrong))
            restyle(line.kg, "wrong", "true" if wrong else "false")
            line.was.setText(say_number(was[name], 1) if was.get(name) else "0" if was else "")
            known = np.flatnonzero(feeds.name == name)
            kg = 0.0 if wrong or not len(known) else read.kg.get(name, 0.0)
            at = int(known[0]) if len(known) else 0
            dry = kg * float(feeds.dm[at]) if kg else 0.0
            fed = kg > 0 and not feeds.is_dosed[at]
            energy = dry * float(feeds.me[at]) if fed else 0.0
            protein = 1000 * dry * float(np.nan_to_num(feeds.cp[at])) if fed else 0.0
            line.dm.setText(say_number(dry, 1) if kg else "")
            line.mj.setText(say_number(energy, 0) if fed else "")
            line.cp.setText(say_number(protein, 0) if fed and not np.isnan(feeds.cp[at]) else "")
            dm, mj, cp = dm + (dry if fed else 0.0), mj + energy, cp + protein
        for words, total in zip((say_number(dm, 1), say_number(mj, 0), say_number(cp, 0)), self._totals, strict=True):
            total.setText(words)

    def _add(self, name: str, kg: float) -> None:
        assert self._feeds is not None
        line = _Line(len(self._lines))
        line.feed.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        line.feed.setMinimumContentsLength(12)
        line.feed.addItems([str(one) for one in self._feeds.name])
        line.feed.setCurrentIndex(line.feed.findText(name))
        line.kg.setText(f"{kg:g}" if kg else "")
        line.feed.activated.connect(self.edited)
        line.kg.textEdited.connect(self.edited)
        line.kg.installEventFilter(self)
        line.kg.returnPressed.connect(lambda line=line: self._next(line))
        self._lines.append(line)

    def _next(self, line: _Line) -> None:
        at = self._lines.index(line) + 1
        if at < len(self._lines):
            self._lines[at].kg.setFocus()
            self._lines[at].kg.selectAll()
        else:
            self.focusNextChild()

    def _take_out(self, line: _Line) -> None:
        self._lines.remove(line)
        for one in (*line.widgets, line.wrong):
            self._grid.removeWidget(one)
            one.hide()
            one.deleteLater()

    def _place(self) -> None:
        """Lay the lines out, each with its sentence below, and the totals."""
        for one in (self._total_name, *self._totals):
            self._grid.removeWidget(one)
        for place, line in enumerate(self._lines):
            for at, widget in enumerate(line.widgets):
                self._grid.addWidget(widget, 2 * place + 1, at)
            self._grid.addWidget(line.wrong, 2 * place + 2, 0, 1, len(HEADINGS))
        foot = 2 * len(self._lines) + 1
        self._grid.addWidget(self._total_name, foot, 0)
        for at, one in enumerate(self._totals):
            self._grid.addWidget(one, foot, 3 + at)
        fields = [widget for line in self._lines for widget in (line.feed, line.kg)]
        for before, after in pairwise(fields):
            QWidget.setTabOrder(before, after)

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Delete in an empty field takes its line out."""
        key = event.key() if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress else None
        if key in _TAKE_OUT and len(self._lines) > 1:
            line = next((one for one in self._lines if one.kg is watched and not one.kg.text()), None)
            if line is not None:
                at = self._lines.index(line)
                self._take_out(line)
                self._place()
                self._lines[min(at, len(self._lines) - 1)].kg.setFocus()
                self.edited.emit()
                return True
        return super().eventFilter(watched, event)
