"""How far something is: a panel that covers the page while a job runs, and a count in blocks of ten cows."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QProgressBar, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.parts.buttons import button
from herdscore.parts.cards import card, column, row
from herdscore.parts.labels import label
from herdscore.parts.theme import Look

_BLOCK_GAP = 3.0
_NARROWEST_BLOCK = 8.0


class ProgressPanel(QWidget):
    """Covers the widget it is made for, so that nothing is pressed behind it. `cancelled`: Cancel, or Esc."""

    cancelled = Signal()

    def __init__(self, over: QWidget) -> None:
        super().__init__(over)
        self.setProperty("kind", "cover")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._over = over
        self._focus_before: QWidget | None = None
        self._text = label("", 16, 700, wrap=True)
        self._detail = label("", 12, 400, "second", wrap=True)
        self._bar = QProgressBar()
        self._bar.setTextVisible(False)
        self._cancel = button("Cancel", points=12, weight=600, height=48)
        self._cancel.clicked.connect(self._on_cancelled)
        inside = column(
            self._text, self._detail, 8, self._bar, 8, row(None, self._cancel), spacing=6, margins=(28, 22, 28, 22)
        )
        box = card(inside)
        box.setFixedWidth(480)
        around = QVBoxLayout(self)
        around.addStretch(2)
        around.addLayout(row(None, box, None))
        around.addStretch(3)
        over.installEventFilter(self)
        self.hide()

    def begin(self, text: str, *, can_cancel: bool = True) -> None:
        """Cover the page and say what is done; how far is not known yet."""
        self._focus_before = self.window().focusWidget()
        self._text.setText(text)
        self._detail.setText("")
        self._bar.setRange(0, 0)
        self._cancel.setVisible(can_cancel)
        self._cancel.setEnabled(True)
        self.setAccessibleName(text)
        self.setGeometry(self._over.rect())
        self.show()
        self.raise_()
        (self._cancel if can_cancel else self).setFocus()

    def show_progress(self, done: int, total: int, detail: str = "") -> None:
        """Move the bar; total 0 means nobody knows how far."""
        self._bar.setRange(0, total)
        self._bar.setValue(done)
        self._bar.setAccessibleName(f"{done} of {total}" if total else "working")
        self._detail.setText(detail)

    def end(self) -> None:
        """Uncover the page and give the keyboard back."""
        self.hide()
        before, self._focus_before = self._focus_before, None
        if before is not None:
            before.setFocus()

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and watched is self._over:
            self.setGeometry(self._over.rect())
        return False

    @override
    def focusNextPrevChild(self, forward: bool) -> bool:
        """Keep the keyboard on the panel."""
        return True

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self._cancel.isVisible() and self._cancel.isEnabled():
            self._on_cancelled()
        event.accept()

    def _on_cancelled(self) -> None:
        self._cancel.setEnabled(False)
        self._detail.setText("Stopping …")
        self.cancelled.emit()


class TensCount(QWidget):
    """Calm progress: one block for ten cows, filled as they are done; blocks of fifty or more in a large herd."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._done = 0
        self._total = 0
        self.setFixedHeight(14)
        self.setMinimumWidth(80)

    def show_count(self, done: int, total: int) -> None:
        """Show how many of how many cows are done."""
        self._done, self._total = min(done, total), total
        self.setAccessibleName(f"{self._done} of {total} done")
        self.update()

    @override
    def sizeHint(self) -> QSize:
        return QSize(330, 14)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        if self._total <= 0:
            return
        theme, painter = self._look.theme, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        a_block = next((n for n in (10, 50, 100, 500, 1000) if self._block_px(n) >= _NARROWEST_BLOCK), self._total)
        width = self._block_px(a_block)
        for start in range(0, self._total, a_block):
            left = start / a_block * (width + _BLOCK_GAP)
            size = min(a_block, self._total - start)
            filled = min(max(self._done - start, 0), size)
            painter.fillRect(QRectF(left, 0, width * size / a_block, self.height()), theme["empty"])
            painter.fillRect(QRectF(left, 0, width * filled / a_block, self.height()), theme["primary"])
        painter.end()

    def _block_px(self, cows: int) -> float:
        blocks = -(-self._total // cows)
        return (self.width() - _BLOCK_GAP * (blocks - 1)) / max(self._total / cows, 1.0)
