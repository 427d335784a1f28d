"""Cows that fit what is typed, as large rows: press one, or let Enter take the marked one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import QAbstractItemView, QListView, QStyledItemDelegate, QStyleOptionViewItem, QWidget
from typing_extensions import override

from herdscore.parts.marks import paint_mark
from herdscore.parts.theme import Look

ROW_PX, LOW_ROW_PX = 70, 62
_GAP_PX = 8
Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, slots=True)
class MatchRow:
    """One row: her tag, who she is, her score, the mark and word of her verdict; `to_score` still to score."""

    tag: str
    who: str
    score: str
    mark: str
    word: str
    to_score: bool = True


class MatchModel(QAbstractListModel):
    """The rows, each made when it is first looked at; `takes` is the place of the one Enter takes."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.cows: tuple[int, ...] = ()
        self.takes: int | None = None
        self._made: dict[int, MatchRow] = {}
        self._make: Callable[[int], MatchRow] | None = None

    def show_cows(self, cows: Sequence[int], make: Callable[[int], MatchRow], takes: int | None) -> None:
        """Put other cows in, by their places in the herd; `make` gives the row of one."""
        self.beginResetModel()
        self.cows, self._make, self.takes = tuple(cows), make, takes
        self._made.clear()
        self.endResetModel()

    def row(self, place: int) -> MatchRow:
        """The row at a place."""
        if place not in self._made:
            assert self._make is not None
            self._made[place] = self._make(self.cows[place])
        return self._made[place]

    @override
    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.cows)

    @override
    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> str | None:
        if not index.isValid() or role not in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return None
        row = self.row(index.row())
        return ", ".join(part for part in (row.tag, row.who, row.score, row.word) if part)


class MatchList(QListView):
    """`taken(cow)`: a row was pressed. It never holds the keyboard: the tag box does."""

    taken = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._rows = MatchModel(self)
        self._painter = _RowPainter(look, self)
        self.setModel(self._rows)
        self.setItemDelegate(self._painter)
        self.setAccessibleName("Cows that fit")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setUniformItemSizes(True)
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setProperty("kind", "matches")
        self.viewport().setAutoFillBackground(False)
        self.clicked.connect(self._on_clicked)

    @property
    def rows(self) -> list[MatchRow]:
        """The rows shown."""
        return [self._rows.row(place) for place in range(self._rows.rowCount())]

    def show_cows(self, cows: Sequence[int], make: Callable[[int], MatchRow], takes: int | None) -> None:
        """Show cows, the one Enter takes (her place among them) marked and in sight."""
        self._rows.show_cows(cows, make, takes)
        if takes is None:
            self.scrollToTop()
        else:
            self.scrollTo(self._rows.index(takes))

    def set_low(self, low: bool) -> None:
        """Lower rows in a low window."""
        self._painter.height = LOW_ROW_PX if low else ROW_PX
        self.doItemsLayout()

    def _on_clicked(self, index: QModelIndex) -> None:
        self.taken.emit(self._rows.cows[index.row()])


class _RowPainter(QStyledItemDelegate):
    """Paints a row it is given."""

    def __init__(self, look: Look, parent: MatchList) -> None:
        super().__init__(parent)
        self._look = look
        self.height = ROW_PX

    @override
    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(200, self.height + _GAP_PX)

    @override
    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        model = index.model()
        assert isinstance(model, MatchModel)
        row, takes = model.row(index.row()), model.takes == index.row()
        theme, box = self._look.theme, QRectF(option.rect).adjusted(2, 2, -2, -_GAP_PX)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(theme["primary" if takes else "edge"], 3 if takes else 2))
        painter.setBrush(theme["selected" if takes else "surface"])
        painter.drawRoundedRect(box, 8, 8)
        left = box.left() + 16
        left += self._write(painter, row.tag, left, box, 24, 700, "ink", box.right() - left - 16) + 16
        # From the right: the word of her verdict, its mark, her score; who she is gets what is left between.
        right = box.right() - 16
        ink = "ink" if takes or row.to_score else "ink_second"
        right -= self._write_back(painter, row.word, right, box, 600 if row.to_score else 400, "ink") + 12
        if row.mark != "none":
            paint_mark(painter, theme, row.mark, QPointF(right - 11, box.center().y()), 20)
            right -= 22
        right -= 14
        right -= self._write_back(painter, row.score, right, box, 400, ink) + 16
        if right > left:
            self._write(painter, row.who, left, box, 14, 500, "ink", right - left)
        painter.restore()

    def _write(
        self, painter: QPainter, words: str, left: float, box: QRectF, points: int, weight: int, role: str, room: float
    ) -> float:
        font = self._look.theme.font(points, weight)
        metrics = QFontMetricsF(font)
        shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, room)
        painter.setFont(font)
        painter.setPen(self._look.theme[role])
        place = QRectF(left, box.top(), room, box.height())
        painter.drawText(place, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, shown)
        return metrics.horizontalAdvance(shown)

    def _write_back(self, painter: QPainter, words: str, right: float, box: QRectF, weight: int, role: str) -> float:
        wide = QFontMetricsF(self._look.theme.font(14, weight)).horizontalAdvance(words)
        return self._write(painter, words, right - wide, box, 14, weight, role, wide + 2)
