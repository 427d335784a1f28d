"""What happens when the program itself is at fault: the log is written, and one dialog shown per distinct fault."""

from __future__ import annotations

import sys
import traceback
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType

from PySide6.QtWidgets import QApplication, QMessageBox

_LONGEST = 1_000_000  # bytes of log before it is begun anew


class FaultLog:
    """Takes the place of `sys.excepthook`."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self._met: set[str] = set()
        self._dialogs: list[QMessageBox] = []

    def install(self) -> None:
        """Have every unexpected fault told here."""
        sys.excepthook = self.tell

    def tell(self, kind: type[BaseException], fault: BaseException, trace: TracebackType | None) -> None:
        """Write a fault to the log, and show it unless one from the same lines was shown before."""
        if issubclass(kind, KeyboardInterrupt):
            QApplication.quit()
            return
        text = "".join(traceback.format_exception(kind, fault, trace))
        sys.stderr.write(text)
        self._write(text)
        place = f"{kind.__name__} {[(line.filename, line.lineno) for line in traceback.extract_tb(trace)]}"
        if place not in self._met and QApplication.instance() is not None:
            self._met.add(place)
            self._show(text)

    def _write(self, text: str) -> None:
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True)
            longer = self.file.exists() and self.file.stat().st_size > _LONGEST
            with self.file.open("w" if longer else "a", encoding="utf-8") as log:
                log.write(f"{datetime.now(UTC).isoformat(timespec='seconds')}\n{text}\n")
        except OSError as failed:
            sys.stderr.write(f"The log could not be written: {failed}\n")

    def _show(self, text: str) -> None:
        box = QMessageBox(QApplication.activeWindow())
        box.setIcon(QMessageBox.Icon.Warning)
        box.setWindowTitle("herdscore")
        box.setText("The program made a mistake.")
        box.setInformativeText(
            f"What was saved is safe on the disk. You can go on; if it happens again, close and open the program.\n\n"
            f"The log file {self.file} says what happened."
        )
        box.setDetailedText(text)
        box.finished.connect(lambda: self._dialogs.remove(box))
        self._dialogs.append(box)
        box.open()
