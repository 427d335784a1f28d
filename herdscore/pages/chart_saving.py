"""A chart drawn with its title, as a wish to save it: as dots or as shapes, always in light colours and of one size."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QPushButton

from herdscore.desk.open_herd import OpenHerd
from herdscore.pages.wishes import PICTURES, SaveWish
from herdscore.parts.buttons import button
from herdscore.parts.drawn_chart import paint_title, title_height
from herdscore.parts.save_picture import save_picture
from herdscore.parts.theme import Theme, read_themes

_SIZE = QSize(1000, 560)
_EDGE = 14.0
Body = Callable[[QPainter, QRectF, Theme], None]


def picture_button(what: str) -> QPushButton:
    """The button beside a chart that saves it; a page with several tells whose it is to who cannot see."""
    made = button("Save picture")
    made.setAccessibleName(f"Save picture of {what}")
    return made


def chart_wish(
    herd: OpenHerd, what: str, title: str, under: str, body: Body, tall: Callable[[float, Theme], float] | None = None
) -> SaveWish:
    """What a chart is called ("the weeks ahead"), its title, the line under it, and what draws it into a box of px.

    `tall`: the height a chart needs at a width, where it is not as high as there is room.
    """
    theme = read_themes()["light"]
    size = _SIZE
    if tall is not None:
        wide = size.width() - 2 * _EDGE
        high = title_height(wide, theme, title, under) + tall(wide, theme) + 2 * _EDGE + 10
        size = QSize(size.width(), round(high))

    def paint(painter: QPainter) -> None:
        whole = QRectF(0, 0, size.width(), size.height())
        painter.fillRect(whole, theme["surface"])
        inside = whole.adjusted(_EDGE, _EDGE, -_EDGE, -_EDGE)
        top = paint_title(painter, inside, theme, title, under)
        body(painter, QRectF(inside.left(), top + 6, inside.width(), inside.bottom() - top - 6), theme)

    def write(path: Path) -> Path:
        return save_picture(path, size, paint)

    name = f"{herd.path.stem} {what} {herd.today.isoformat()}.png"
    return SaveWish(f"The chart of {what}", name, PICTURES, write)
