"""What is written on a page and where, read from the page drawn as SVG: there text stays text."""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree import ElementTree

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QRect, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QImage, QPainter, QTransform
from PySide6.QtSvg import QSvgGenerator

from herdscore.parts.report_pages import Page, Report, a4, lay_out, paint_page, paper_size
from herdscore.parts.theme import FAMILY

_SVG = "{http://www.w3.org/2000/svg}"
_ROOM = 200


@dataclass(frozen=True)
class Written:
    """One line of text and the box it fills, px of the page."""

    text: str
    box: QRectF


def pages_of(report: Report) -> list[Page]:
    """The pages of a report on A4."""
    return lay_out(report, paper_size(a4(landscape=report.landscape)))


def written_on(page: Page) -> list[Written]:
    """Every line of text of a page."""
    held = QByteArray()
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    made = QSvgGenerator()
    made.setOutputDevice(buffer)
    made.setResolution(96)
    size = QSize(round(page.size.width()) + 2 * _ROOM, round(page.size.height()) + 2 * _ROOM)
    made.setSize(size)
    made.setViewBox(QRect(0, 0, size.width(), size.height()))
    painter = QPainter(made)
    painter.translate(_ROOM, _ROOM)
    paint_page(painter, page)
    painter.end()
    found: list[Written] = []
    _walk(ElementTree.fromstring(bytes(held.data())), QTransform(), found)
    return found


def _walk(node: ElementTree.Element, outer: QTransform, found: list[Written]) -> None:
    numbers = [float(one) for one in re.findall(r"[-+.\deE]+", node.get("transform", "").removeprefix("matrix"))]
    here = QTransform(*numbers) * outer if len(numbers) == 6 else outer
    if node.tag == f"{_SVG}text" and (node.text or "").strip():
        font = QFont(FAMILY)
        font.setPixelSize(round(float(node.get("font-size", "12"))))
        font.setWeight(QFont.Weight(int(node.get("font-weight", "400"))))
        metrics = QFontMetricsF(font)
        text, x, y = (node.text or "").strip(), float(node.get("x", "0")), float(node.get("y", "0"))
        box = QRectF(x, y - metrics.ascent(), metrics.horizontalAdvance(text), metrics.ascent() + metrics.descent())
        found.append(Written(text, here.mapRect(box).translated(-_ROOM, -_ROOM)))
    for child in node:
        _walk(child, here, found)


def outside(page: Page) -> list[str]:
    """What was written past the rim of the page."""
    inside = QRectF(-1, -1, page.size.width() + 2, page.size.height() + 2)
    return [one.text for one in written_on(page) if not inside.contains(one.box)]


def overlapping(page: Page) -> list[tuple[str, str]]:
    """Lines of text that lie over one another by more than their leading."""
    lines = [(one.text, one.box.adjusted(1, 3, -1, -3)) for one in written_on(page)]
    return [
        (one, other) for at, (one, box) in enumerate(lines) for other, over in lines[at + 1 :] if box.intersects(over)
    ]


def ink_outside(page: Page) -> int:
    """Dots of ink around a page, more than 3 px from it (letters reach out a little)."""
    image = QImage(_around(page.size), QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.translate(60, 60)
    paint_page(painter, page)
    painter.fillRect(QRectF(-3, -3, page.size.width() + 6, page.size.height() + 6), Qt.GlobalColor.white)
    painter.end()
    dots = memoryview(image.constBits()).cast("I")
    return sum(1 for dot in dots if dot & 0xFFFFFF != 0xFFFFFF)


def _around(size: QSizeF) -> QSize:
    return QSize(round(size.width()) + 120, round(size.height()) + 120)
