"""Words on the screen: a label in one of the type sizes of the style sheet."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget


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


def restyle(widget: QWidget, name: str, value: str) -> None:
    """Set a property the style sheet looks at, and have the widget drawn by it."""
    if widget.property(name) == value:
        return
    widget.setProperty(name, value)
    style = widget.style()
    style.unpolish(widget)
    style.polish(widget)
    widget.update()
