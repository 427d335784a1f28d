"""The question when a sheet is opened whose herd file is there already: go on with that, or read the sheet anew?"""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from herdscore.desk.sources import Source, unused
from herdscore.parts.buttons import button
from herdscore.parts.cards import card, column, holder, row, scrolled
from herdscore.parts.labels import label
from herdscore.parts.theme import Look

CARD_PX = 640


class WhichHerdPage(QWidget):
    """`file_wished`: the herd file; `sheet_wished`: the sheet as a new herd; `cancelled`."""

    file_wished = Signal()
    sheet_wished = Signal()
    cancelled = Signal()
    title = "Which herd?"

    def __init__(self, look: Look, source: Source) -> None:
        super().__init__()
        self.setProperty("kind", "page")
        self._file = button("Open the herd file", "main", 15, 600, height=56)
        self._file.clicked.connect(self.file_wished)
        sheet = button("Read the sheet again as a new herd", "", 15, 600, height=56)
        sheet.clicked.connect(self.sheet_wished)
        cancel = button("Cancel", weight=600)
        cancel.clicked.connect(self.cancelled)
        new = unused(source.target).name
        inside = column(
            label(f"{source.sheet.name} was read before", 24, 700, wrap=True),
            label(f"Its herd file {source.target.name} is there, with what was scored since.", 13, wrap=True),
            16,
            row(self._file, None),
            label("Keeps every score and change made since the sheet was read.", 12, 400, "second", wrap=True),
            12,
            row(sheet, None),
            label(
                f"Makes a second herd file, {new}, from the sheet as it is now. The first stays untouched.",
                12,
                400,
                "second",
                wrap=True,
            ),
            20,
            row(cancel, None),
            spacing=6,
            margins=(40, 32, 40, 32),
        )
        box = card(inside)
        box.setFixedWidth(CARD_PX)
        lying = holder(column(None, row(None, box, None), None, margins=(24, 8, 24, 8)))
        around = QVBoxLayout(self)
        around.setContentsMargins(0, 0, 0, 0)
        around.addWidget(scrolled(lying))

    def focus_first(self) -> None:
        """Give the keyboard to the herd file."""
        self._file.setFocus()
