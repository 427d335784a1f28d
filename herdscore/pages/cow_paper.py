"""A cow's page on paper, as a picture and on the clipboard: her verdict, her chart, and the facts behind it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QMimeData, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QGuiApplication, QImage, QPagedPaintDevice, QPainter

from herdscore.domain.assess import Assessment
from herdscore.domain.cow_facts import facts, headline
from herdscore.domain.cow_history import history
from herdscore.domain.reasons import say_day, words_of
from herdscore.errors import Problem
from herdscore.pages.cow_words import calves_on, who_is
from herdscore.parts.cow_picture import CowPicture
from herdscore.parts.marks import paint_mark
from herdscore.parts.save_picture import save_picture
from herdscore.parts.theme import Theme, read_themes
from herdscore.parts.trajectory_drawing import paint_trajectory

PICTURE_SIZE = QSize(900, 620)
_DPI = 96.0
_MARGIN = 18.0


def save_cow_picture(path: Path, assessment: Assessment, cow: int, picture: CowPicture) -> Path:
    """Save her chart under her verdict as .png or .svg, in the light colours."""
    return save_picture(path, PICTURE_SIZE, lambda painter: _paint_picture(painter, assessment, cow, picture))


def copy_cow(assessment: Assessment, cow: int, picture: CowPicture) -> None:
    """Put what is known of her on the clipboard: in words, and her chart as a picture."""
    image = QImage(PICTURE_SIZE, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    _paint_picture(painter, assessment, cow, picture)
    painter.end()
    held = QMimeData()
    held.setText(words_of_cow(assessment, cow))
    held.setImageData(image)
    QGuiApplication.clipboard().setMimeData(held)


def words_of_cow(assessment: Assessment, cow: int) -> str:
    """Her page in words: who she is, the verdict, the facts, the history."""
    a = assessment
    lines = [f"{a.snapshot.cows.tag[cow]}, {who_is(a, cow)}, {calves_on(a, cow)}", headline(a, cow), ""]
    lines += [f"{fact.claim}: {fact.rest}" if fact.rest else fact.claim for fact in facts(a, cow)]
    lines += ["", *(f"{say_day(one.day, a.today)}\t{one.words}\t{one.who}".rstrip() for one in history(a, cow))]
    return "\n".join(lines)


def print_cow(device: QPagedPaintDevice, assessment: Assessment, cow: int, picture: CowPicture, herd: str) -> int:
    """Draw her page on one A4: verdict, chart, facts beside the history; the number of pages."""
    painter = QPainter()
    if not painter.begin(device):
        raise Problem("Nothing could be printed.", "The printer or the file does not take it.", "Choose another.")
    try:
        scale = device.logicalDpiX() / _DPI
        painter.scale(scale, scale)
        page = QRectF(0, 0, device.width() / scale, device.height() / scale)
        theme = read_themes()["light"]
        top = _paint_head(painter, theme, assessment, cow, page)
        chart = QRectF(0, top + 4, page.width(), page.height() * 0.46)
        paint_trajectory(painter, chart, theme, picture)
        below = QRectF(0, chart.bottom() + 12, page.width(), page.height() - chart.bottom() - 34)
        half = below.width() / 2 - 10
        told = [(fact.claim, fact.rest) for fact in facts(assessment, cow)]
        _paint_lines(painter, theme, QRectF(0, below.top(), half, below.height()), "Why?", told)
        past = [(say_day(one.day, assessment.today), f"{one.words}  {one.who}") for one in history(assessment, cow)]
        _paint_lines(painter, theme, QRectF(half + 20, below.top(), half, below.height()), "History", past, side=84)
        foot = QRectF(0, page.height() - 18, page.width(), 18)
        _write(
            painter, theme, foot, f"{herd}, {say_day(assessment.today)} {assessment.today.year}", 8, 400, "ink_second"
        )
        return 1
    finally:
        painter.end()


def _paint_picture(painter: QPainter, assessment: Assessment, cow: int, picture: CowPicture) -> None:
    theme = read_themes()["light"]
    whole = QRectF(0, 0, PICTURE_SIZE.width(), PICTURE_SIZE.height())
    painter.fillRect(whole, theme["surface"])
    inside = whole.adjusted(_MARGIN, _MARGIN / 2, -_MARGIN, -_MARGIN / 2)
    painter.save()
    painter.translate(inside.topLeft())
    page = QRectF(0, 0, inside.width(), inside.height())
    top = _paint_head(painter, theme, assessment, cow, page)
    paint_trajectory(painter, page.adjusted(0, top + 4, 0, 0), theme, picture)
    painter.restore()


def _paint_head(painter: QPainter, theme: Theme, a: Assessment, cow: int, page: QRectF) -> float:
    """Mark, tag and sentence at the top of a page; px down to where they end."""
    words = words_of(a, cow)
    left = 0.0
    if words.mark != "none":
        paint_mark(painter, theme, words.mark, QPointF(14, 16), 26)
        left = 36.0
    name = f"Cow {a.snapshot.cows.tag[cow]}"
    _write(painter, theme, QRectF(left, 0, page.width(), 32), name, 16, 700)
    after = left + QFontMetricsF(_font(theme, 16, 700)).horizontalAdvance(name) + 12
    room = QRectF(after, 0, page.width() - after, 32)
    _write(painter, theme, room, f"{who_is(a, cow)}, {calves_on(a, cow)}", 10, 400, "ink_second")
    font = _font(theme, 12, 600)
    box = QFontMetricsF(font).boundingRect(QRectF(0, 0, page.width(), 400), Qt.TextFlag.TextWordWrap, headline(a, cow))
    painter.setFont(font)
    painter.setPen(theme["ink"])
    painter.drawText(QRectF(0, 36, page.width(), box.height() + 4), Qt.TextFlag.TextWordWrap, headline(a, cow))
    return 40 + box.height()


def _paint_lines(
    painter: QPainter, theme: Theme, box: QRectF, title: str, lines: Sequence[tuple[str, str]], side: float = 0.0
) -> None:
    """Pairs of words one below the other, or beside each other with `side` px for the first; cut where the box ends."""
    _write(painter, theme, QRectF(box.left(), box.top(), box.width(), 20), title, 11, 700)
    top = box.top() + 24
    for first, second in lines:
        strong, plain = _font(theme, 8.5, 600), _font(theme, 8.5, 400)
        room = QRectF(box.left() + side, 0, box.width() - side, 1000)
        wrapped = QFontMetricsF(plain).boundingRect(room, Qt.TextFlag.TextWordWrap, second).height() if second else 0.0
        own = QFontMetricsF(strong).boundingRect(
            QRectF(0, 0, side or box.width(), 1000), Qt.TextFlag.TextWordWrap, first
        )
        height = max(own.height(), wrapped) if side else own.height() + wrapped
        if top + height > box.bottom():
            return
        painter.setFont(strong)
        painter.setPen(theme["ink"])
        painter.drawText(QRectF(box.left(), top, side or box.width(), own.height()), Qt.TextFlag.TextWordWrap, first)
        painter.setFont(plain)
        painter.setPen(theme["ink_second"])
        down = top if side else top + own.height()
        painter.drawText(QRectF(room.left(), down, room.width(), wrapped), Qt.TextFlag.TextWordWrap, second)
        top += height + 4


def _write(
    painter: QPainter, theme: Theme, box: QRectF, words: str, points: float, weight: int, role: str = "ink"
) -> None:
    font = _font(theme, points, weight)
    painter.setFont(font)
    painter.setPen(theme[role])
    short = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, box.width())
    painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, short)


def _font(theme: Theme, points: float, weight: int) -> QFont:
    """A font of a size in px of 96 an inch, whatever the device counts in."""
    font = QFont(theme.font(points, weight))
    font.setPixelSize(round(points * _DPI / 72))
    return font
