"""Surfaces a page is laid out on: the page itself, cards, tinted panels, and boxes of widgets in a line."""

from __future__ import annotations

from typing import TypeAlias

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QBoxLayout, QFrame, QHBoxLayout, QLayout, QScrollArea, QVBoxLayout, QWidget

from herdscore.parts.labels import restyle

Piece: TypeAlias = QWidget | QLayout | int | None
Margins: TypeAlias = tuple[int, int, int, int]
PAGE_MARGINS: Margins = (24, 4, 24, 12)


def row(
    *pieces: Piece | tuple[QWidget | QLayout, int], spacing: int = 8, margins: Margins = (0, 0, 0, 0)
) -> QBoxLayout:
    """Pieces from left to right: a widget or layout, (it, stretch), an int for a gap in px, None for a stretch."""
    return _filled(QHBoxLayout(), pieces, spacing, margins)


def column(
    *pieces: Piece | tuple[QWidget | QLayout, int], spacing: int = 4, margins: Margins = (0, 0, 0, 0)
) -> QBoxLayout:
    """Pieces from top to bottom, given as for `row`."""
    return _filled(QVBoxLayout(), pieces, spacing, margins)


def _filled(
    box: QBoxLayout, pieces: tuple[Piece | tuple[QWidget | QLayout, int], ...], spacing: int, margins: Margins
) -> QBoxLayout:
    box.setContentsMargins(*margins)
    box.setSpacing(spacing)
    for piece in pieces:
        one, stretch = piece if isinstance(piece, tuple) else (piece, 0)
        if one is None:
            box.addStretch()
        elif isinstance(one, int):
            box.addSpacing(one)
        elif isinstance(one, QLayout):
            box.addLayout(one, stretch)
        else:
            box.addWidget(one, stretch)
    return box


def card(inside: QLayout) -> QFrame:
    """A card: surface with a line and round corners."""
    made = QFrame()
    made.setProperty("kind", "card")
    made.setLayout(inside)
    return made


def holder(inside: QLayout) -> QWidget:
    """A plain widget about a layout, to give it a size or to hide it."""
    made = QWidget()
    made.setLayout(inside)
    return made


def scrolled(inside: QWidget) -> QScrollArea:
    """A widget that scrolls up and down when the window is low."""
    inside.setProperty("kind", "scrolled")
    made = QScrollArea()
    made.setWidgetResizable(True)
    made.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    made.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    made.setWidget(inside)
    return made


def rule() -> QFrame:
    """A thin line across."""
    made = QFrame()
    made.setProperty("kind", "rule")
    made.setFixedHeight(1)
    return made


class Panel(QFrame):
    """A tinted panel; `hue` is sunk, selected or a verdict hue, `edged` draws a line about it."""

    def __init__(self, inside: QLayout, hue: str = "sunk", *, edged: bool = False) -> None:
        super().__init__()
        self.setProperty("kind", "panel")
        self.setProperty("hue", hue)
        self.setProperty("edged", "true" if edged else "false")
        self.setLayout(inside)

    def show_hue(self, hue: str, *, edged: bool | None = None) -> None:
        """Change the tint, and the edge if said."""
        restyle(self, "hue", hue)
        if edged is not None:
            restyle(self, "edged", "true" if edged else "false")
