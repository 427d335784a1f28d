"""Words on the screen: a label in one of the type sizes of the style sheet."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget
from typing_extensions import override


def label(
    text: str = "",
    points: int = 11,
    weight: int = 400,
    tone: str = "",
    *,
    wrap: bool = False,
    right: bool = False,
    parent: QWidget | None = None,
) -> QLabel:
    """A label; `tone` is second (quieter ink), a verdict hue or primary; sizes 11-18, 20, 24, 36, 44 points."""
    made = QLabel(text, parent)
    made.setTextFormat(Qt.TextFormat.PlainText)
    made.setProperty("pt", str(points))
    made.setProperty("weight", str(weight))
    made.setProperty("tone", tone)
    made.setWordWrap(wrap)
    if wrap:
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        made.setSizePolicy(policy)
    if right:
        made.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    return made


class ShortenedLabel(QLabel):
    """One line that ends in an ellipsis where there is no room for all of it; the whole is its tool tip."""

    def __init__(self, points: int = 11, weight: int = 400, tone: str = "", *, least_px: int = 40) -> None:
        super().__init__()
        self._least_px = least_px
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setProperty("pt", str(points))
        self.setProperty("weight", str(weight))
        self.setProperty("tone", tone)
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)

    def show_words(self, words: str) -> None:
        """Show other words."""
        self.setText(words)
        self.setToolTip(words)

    @override
    def minimumSizeHint(self) -> QSize:
        return QSize(min(self._least_px, self.sizeHint().width()), super().minimumSizeHint().height())

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        words = self.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideRight, self.width())
        ink = QPalette.ColorRole.WindowText
        how = int(Qt.AlignmentFlag.AlignVCenter.value)
        self.style().drawItemText(painter, self.rect(), how, self.palette(), self.isEnabled(), words, ink)
        painter.end()


def restyle(widget: QWidget, name: str, value: str) -> None:
    """Set a property the style sheet looks at, and have the widget drawn by it."""
    if widget.property(name) == value:
        return
    widget.setProperty(name, value)
    style = widget.style()
    style.unpolish(widget)
    style.polish(widget)
    widget.update()
