"""Lays a report out on pages and draws them on anything that has pages: a PDF file and a printer get the same."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QRectF, QSizeF, Qt
from PySide6.QtGui import QFontMetricsF, QPagedPaintDevice, QPageLayout, QPageSize, QPainter, QPdfWriter, QPicture

from herdscore.errors import Problem
from herdscore.files import write_whole
from herdscore.parts.report_blocks import Block, Piece, paper_font, shrunk, text_height, write

DOTS = 96
MARGIN_MM = 12.0
_FOOT_GAP = 10.0


@dataclass(frozen=True)
class Report:
    """A report: its name for the foot of every page, what is said there too, and its blocks."""

    name: str
    blocks: Sequence[Block]
    foot: str = ""
    landscape: bool = False


@dataclass(frozen=True)
class Page:
    """One page: pieces and where they stand, and its foot."""

    size: QSizeF
    placed: tuple[tuple[QRectF, Piece], ...]
    foot: tuple[str, str, str]


def lay_out(report: Report, size: QSizeF) -> list[Page]:
    """The pages of a report on paper of a size in px without its margins."""
    width, room = size.width(), size.height() - _foot_height(report, size.width())
    pages: list[list[tuple[QRectF, Piece]]] = [[]]
    y = 0.0
    pieces = [_fitted(piece, room) for block in report.blocks for piece in block.pieces(width)]
    for at, piece in enumerate(pieces):
        if piece.is_gap:
            y += piece.height if pages[-1] else 0.0
            continue
        if pages[-1] and (piece.starts_page or y + _together(pieces, at) > room):
            pages.append([])
            y = 0.0
            if not piece.starts_page:
                for above in piece.again:
                    pages[-1].append((QRectF(0, y, width, above.height), above))
                    y += above.height
        if piece.height:
            pages[-1].append((QRectF(0, y, width, piece.height), piece))
        y += piece.height
    return [
        Page(size, tuple(placed), (report.foot, report.name, f"page {number} of {len(pages)}"))
        for number, placed in enumerate(pages, 1)
    ]


def _fitted(piece: Piece, room: float) -> Piece:
    """A piece no higher than a page, so that nothing is cut off."""
    if piece.height <= room:
        return piece
    made = piece.fit(room) if piece.fit is not None else shrunk(piece, room / piece.height)
    return replace(made, starts_page=piece.starts_page)


def _together(pieces: Sequence[Piece], at: int) -> float:
    """Height of a piece with those that must stand under it."""
    height = pieces[at].height
    while pieces[at].keep and at + 1 < len(pieces):
        at += 1
        height += pieces[at].height
    return height


def paint_page(painter: QPainter, page: Page) -> None:
    """Draw one page with its upper left corner at the origin."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for box, piece in page.placed:
        painter.save()
        piece.paint(painter, box)
        painter.restore()
    foot, name, number = page.foot
    small = paper_font(8)
    width, line = page.size.width(), text_height("1", small, 100)
    last = QRectF(0, page.size.height() - line, width, line)
    short = QFontMetricsF(small).elidedText(name, Qt.TextElideMode.ElideRight, width - 100)
    write(painter, QRectF(last.left(), last.top(), width - 90, line), short, small, "ink_second")
    write(painter, QRectF(width - 90, last.top(), 90, line), number, small, "ink_second", right=True)
    if foot:
        tall = text_height(foot, small, width)
        write(painter, QRectF(0, last.top() - tall - 2, width, tall), foot, small, "ink_second")


def page_picture(page: Page) -> QPicture:
    """One page as a picture that any thread may play."""
    held = QPicture()
    painter = QPainter(held)
    paint_page(painter, page)
    painter.end()
    return held


def draw(report: Report, device: QPagedPaintDevice) -> int:
    """Draw a report on a printer or a PDF file; the number of its pages."""
    device.setPageMargins(QMarginsF(MARGIN_MM, MARGIN_MM, MARGIN_MM, MARGIN_MM), QPageLayout.Unit.Millimeter)
    pages = lay_out(report, paper_size(device.pageLayout()))
    painter = QPainter()
    if not painter.begin(device):
        raise Problem(f"{report.name} could not be printed.", "The printer or file takes no pages.", "Try another.")
    # A printer that cannot be set to 96 dots an inch still gets the same pages.
    scale = device.logicalDpiX() / DOTS
    for number, page in enumerate(pages):
        if number:
            device.newPage()
        painter.save()
        painter.scale(scale, scale)
        paint_page(painter, page)
        painter.restore()
    painter.end()
    return len(pages)


def write_pdf(report: Report, path: Path) -> Path:
    """Save a report as a PDF file of A4 pages."""
    return write_pages(path, report.name, lambda device: draw(report, device), landscape=report.landscape)


def write_pages(path: Path, name: str, draw_on: Callable[[QPagedPaintDevice], object], *, landscape: bool) -> Path:
    """Save what is drawn on a paged device as a PDF file of A4 pages."""
    held = QByteArray()
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(DOTS)
    writer.setTitle(name)
    writer.setCreator("herdscore")
    writer.setPageLayout(a4(landscape=landscape))
    draw_on(writer)
    del writer
    buffer.close()
    return write_whole(path, bytes(held.data()))


def a4(*, landscape: bool = False) -> QPageLayout:
    """An A4 page with the margins of a report."""
    way = QPageLayout.Orientation.Landscape if landscape else QPageLayout.Orientation.Portrait
    margins = QMarginsF(MARGIN_MM, MARGIN_MM, MARGIN_MM, MARGIN_MM)
    return QPageLayout(QPageSize(QPageSize.PageSizeId.A4), way, margins, QPageLayout.Unit.Millimeter)


def paper_size(layout: QPageLayout) -> QSizeF:
    """Size of a page without its margins, in px."""
    inside = layout.paintRect(QPageLayout.Unit.Inch)
    return QSizeF(inside.width() * DOTS, inside.height() * DOTS)


def _foot_height(report: Report, width: float) -> float:
    small = paper_font(8)
    said = text_height(report.foot, small, width) + 2 if report.foot else 0.0
    return text_height("1", small, 100) + said + _FOOT_GAP
