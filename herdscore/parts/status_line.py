"""The foot of the window: when it was last saved, file and cow count; a bar with the reason when saving failed."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QStackedLayout, QWidget

from herdscore.errors import Problem
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, row
from herdscore.parts.labels import label

LINE_PX = 32
FAILED_PX = 62


class StatusLine(QFrame):
    """`save_elsewhere_pressed`: the button of the failure bar."""

    save_elsewhere_pressed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "status")
        self._state = label("", 11, 600)
        self._doing = label("", 11, 400, "second")
        self._file = label("", 11, 400, "second")
        self._count = label("", 11, 400, "second")
        calm = QWidget()
        calm.setLayout(row(self._state, self._doing, None, self._file, self._count, spacing=14, margins=(10, 0, 14, 0)))
        self._claim = label("", 12, 700)
        self._reason = label("", 12, 400, wrap=True)
        self._elsewhere = button("Save elsewhere", weight=600)
        self._elsewhere.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._elsewhere.clicked.connect(self.save_elsewhere_pressed)
        inside = row(
            label("!", 20, 700, "thin"),
            self._claim,
            (self._reason, 1),
            self._elsewhere,
            spacing=12,
            margins=(16, 4, 8, 4),
        )
        self._failed = Panel(inside, "thin", edged=True)
        self._stack = QStackedLayout(self)
        self._stack.setContentsMargins(0, 0, 0, 0)
        self._stack.addWidget(calm)
        self._stack.addWidget(self._failed)
        self.show_calm()

    @property
    def is_failed(self) -> bool:
        """Whether it says that saving failed."""
        return self._stack.currentWidget() is self._failed

    @property
    def state(self) -> str:
        """What stands at the left."""
        return self._state.text()

    @property
    def doing(self) -> str:
        """What is told to be under way."""
        return self._doing.text()

    def show_state(self, words: str) -> None:
        """What stands at the left, such as "Saved 14:02"."""
        self._state.setText(words)

    def show_doing(self, words: str = "") -> None:
        """What is under way beside the window, such as "Writing flags.xlsx"; nothing when it is over."""
        self._doing.setText(f"{words}\u2026" if words else "")

    def show_herd(self, file: str, count: str) -> None:
        """File and cow count at the right."""
        self._file.setText(file)
        self._count.setText(count)

    def show_failed(self, problem: Problem) -> None:
        """Say that a change was not saved, why, and offer another place."""
        self._claim.setText(problem.what)
        self._reason.setText(" ".join(part for part in (problem.why, problem.what_to_do) if part))
        self._failed.setAccessibleName(f"{problem.what} {self._reason.text()}")
        self._stack.setCurrentWidget(self._failed)
        self.setFixedHeight(FAILED_PX)

    def show_calm(self) -> None:
        """Go back to the plain line."""
        self._stack.setCurrentIndex(0)
        self.setFixedHeight(LINE_PX)
