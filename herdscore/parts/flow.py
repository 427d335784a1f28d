"""A line of widgets that goes on to another line where the width asks for it."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget
from typing_extensions import override


class FlowLayout(QLayout):
    """Widgets at their own width from the left; as wide as all of them by choice, as the widest one at least."""

    def __init__(self, spacing: int = 8, lines_apart: int = 6) -> None:
        super().__init__()
        self._items: list[QLayoutItem] = []
        self._apart, self._lines_apart = spacing, lines_apart
        self.setContentsMargins(0, 0, 0, 0)

    @override
    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    @override
    def count(self) -> int:
        return len(self._items)

    @override
    def itemAt(self, index: int) -> QLayoutItem | None:
        return self._items[index] if 0 <= index < len(self._items) else None

    @override
    def takeAt(self, index: int) -> QLayoutItem | None:
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    @override
    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    @override
    def hasHeightForWidth(self) -> bool:
        return True

    @override
    def heightForWidth(self, width: int) -> int:
        return self._place(QRect(0, 0, width, 0), only_measure=True)

    @override
    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        self._place(rect, only_measure=False)

    @override
    def sizeHint(self) -> QSize:
        hints = [item.sizeHint() for item in self._shown()]
        wide = sum(hint.width() for hint in hints) + self._apart * max(len(hints) - 1, 0)
        return QSize(wide, max((hint.height() for hint in hints), default=0))

    @override
    def minimumSize(self) -> QSize:
        hints = [item.sizeHint() for item in self._shown()]
        return QSize(max((h.width() for h in hints), default=0), max((h.height() for h in hints), default=0))

    def _shown(self) -> list[QLayoutItem]:
        return [item for item in self._items if not item.isEmpty()]

    def _place(self, rect: QRect, *, only_measure: bool) -> int:
        x, y, high = rect.x(), rect.y(), 0
        for item in self._shown():
            hint = item.sizeHint()
            wide = min(hint.width(), rect.width())
            if x > rect.x() and x + wide > rect.right() + 1:
                x, y, high = rect.x(), y + high + self._lines_apart, 0
            if not only_measure:
                item.setGeometry(QRect(QPoint(x, y), QSize(wide, hint.height())))
            x += wide + self._apart
            high = max(high, hint.height())
        return y + high - rect.y()


def flow(*widgets: QWidget, spacing: int = 8) -> FlowLayout:
    """Widgets in a line that may become several."""
    made = FlowLayout(spacing)
    for widget in widgets:
        made.addWidget(widget)
    return made
