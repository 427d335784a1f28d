"""The guide under F1: chapters of resources/guide at the left, the chosen one to read."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QPointF, Qt, QUrl, Signal
from PySide6.QtGui import (
    QFont,
    QImage,
    QKeyEvent,
    QPainter,
    QTextCursor,
    QTextDocument,
    QTextFrameFormat,
    QTextLength,
    QTextTable,
    QTextTableFormat,
)
from PySide6.QtWidgets import QPushButton, QStackedWidget, QTextBrowser, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore import shipped
from herdscore.pages.learning import LearningPage
from herdscore.parts.buttons import button
from herdscore.parts.cards import PAGE_MARGINS, card, column, row
from herdscore.parts.labels import label, restyle
from herdscore.parts.marks import MARKS, paint_mark
from herdscore.parts.theme import Look, Theme

CHAPTERS_PX = 250
_POINTS = 13
_HEADINGS = {1: 22, 2: 16}
_MARK_PX = 26


class GuidePage(QWidget):
    """`closed`: go back to where you were."""

    closed = Signal()
    title = "Guide"

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self._look = look
        self._files = sorted((shipped.resources() / "guide").glob("*.md"))
        self._chapter = 0
        self._buttons = [self._chapter_button(place, file) for place, file in enumerate(self._files)]
        self._text = QTextBrowser()
        self._text.setOpenLinks(False)
        self._text.setAccessibleName("Guide")
        self._text.document().setDocumentMargin(0)
        self._text.setViewportMargins(24, 16, 12, 12)
        back = button("Back", weight=600)
        back.setToolTip("Esc")
        back.clicked.connect(self.closed)
        chapters = QVBoxLayout()
        chapters.setSpacing(8)
        chapters.addWidget(label("Guide", 20, 700))
        chapters.addSpacing(8)
        for one in self._buttons:
            chapters.addWidget(one)
        self.learn_key = button("Learning to score", "row", 13, 600, height=48, least=CHAPTERS_PX)
        self.learn_key.clicked.connect(self.show_learning)
        chapters.addWidget(self.learn_key)
        chapters.addStretch()
        chapters.addWidget(back)
        reading = card(column(self._text, margins=(2, 2, 2, 2)))
        self._learning: LearningPage | None = None
        self._right = QStackedWidget()
        self._right.addWidget(reading)
        self.setLayout(row(chapters, (self._right, 1), spacing=18, margins=PAGE_MARGINS))
        look.changed.connect(self._renew)
        self.show_chapter(0)

    def focus_first(self) -> None:
        """Give the keyboard to the text, so that it scrolls."""
        if self._learning is not None and self._right.currentWidget() is self._learning:
            self._learning.focus_first()
        else:
            self._text.setFocus()

    def show_chapter(self, place: int) -> None:
        """Show one chapter, counted from 0."""
        self._chapter = place
        self._right.setCurrentIndex(0)
        restyle(self.learn_key, "chosen", "false")
        for at, one in enumerate(self._buttons):
            restyle(one, "chosen", "true" if at == place else "false")
        self._renew()

    def show_learning(self) -> None:
        """Show how to score: the nine scores drawn, how to handle her, and the caution."""
        if self._learning is None:
            self._learning = LearningPage(self._look)
            self._right.addWidget(self._learning)
        for one in self._buttons:
            restyle(one, "chosen", "false")
        restyle(self.learn_key, "chosen", "true")
        self._right.setCurrentWidget(self._learning)
        self._learning.focus_first()

    @property
    def chapters(self) -> int:
        """How many chapters there are."""
        return len(self._files)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)

    def _chapter_button(self, place: int, file: Path) -> QPushButton:
        heading = file.read_text("utf-8").splitlines()[0].lstrip("# ").strip()
        made = button(heading, "row", 13, 600, height=48, least=CHAPTERS_PX)
        made.clicked.connect(lambda: self.show_chapter(place))
        return made

    def _renew(self) -> None:
        if not self._files:
            return
        document = self._text.document()
        document.clear()
        theme = self._look.theme
        document.setDefaultFont(theme.font(_POINTS))
        document.setMarkdown(self._files[self._chapter].read_text("utf-8"))
        _add_marks(document, theme, self._text.devicePixelRatioF())
        _dress(document, theme)
        self._text.moveCursor(QTextCursor.MoveOperation.Start)


def _add_marks(document: QTextDocument, theme: Theme, ratio: float) -> None:
    for name in MARKS:
        image = QImage(round(_MARK_PX * ratio), round(_MARK_PX * ratio), QImage.Format.Format_ARGB32_Premultiplied)
        image.setDevicePixelRatio(ratio)
        image.fill(Qt.GlobalColor.transparent)
        painter = QPainter(image)
        paint_mark(painter, theme, name, QPointF(_MARK_PX / 2, _MARK_PX / 2))
        painter.end()
        document.addResource(QTextDocument.ResourceType.ImageResource, QUrl(f"mark:{name}"), image)


def _dress(document: QTextDocument, theme: Theme) -> None:
    """Sizes of headings, room between paragraphs, and quiet tables: what markdown leaves open."""
    block = document.begin()
    while block.isValid():
        cursor = QTextCursor(block)
        cursor.select(QTextCursor.SelectionType.BlockUnderCursor)
        form = block.blockFormat()
        level = form.headingLevel()
        in_table = cursor.currentTable() is not None
        if level:
            font = theme.font(_HEADINGS.get(level, _POINTS), 700)
            letters = block.charFormat()
            letters.setFont(font)
            cursor.mergeCharFormat(letters)
        form.setTopMargin(0 if in_table else 14 if level else 4)
        form.setBottomMargin(0 if in_table else 4)
        form.setLineHeight(118.0, 1)
        QTextCursor(block).setBlockFormat(form)
        block = block.next()
    for frame in document.rootFrame().childFrames():
        if isinstance(frame, QTextTable):
            _dress_table(frame, theme)


def _dress_table(table: QTextTable, theme: Theme) -> None:
    form = QTextTableFormat()
    form.setBorder(0)
    form.setCellSpacing(0)
    form.setCellPadding(5)
    form.setTopMargin(12)
    form.setBottomMargin(12)
    form.setBorderStyle(QTextFrameFormat.BorderStyle.BorderStyle_None)
    form.setWidth(QTextLength(QTextLength.Type.PercentageLength, 100))
    narrow = table.columns() == 3
    shares = (9, 27, 64) if narrow else (34, 66)
    form.setColumnWidthConstraints(
        [QTextLength(QTextLength.Type.PercentageLength, share) for share in shares[: table.columns()]]
    )
    table.setFormat(form)
    for at in range(table.columns()):
        cell = table.cellAt(0, at)
        cursor = cell.firstCursorPosition()
        cursor.setPosition(cell.lastCursorPosition().position(), QTextCursor.MoveMode.KeepAnchor)
        letters = cell.format()
        letters.setFontWeight(QFont.Weight.Bold)
        letters.setForeground(theme["ink_second"])
        cursor.mergeCharFormat(letters)
