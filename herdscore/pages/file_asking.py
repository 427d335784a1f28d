"""The file dialogs; the only thing tests put something else in the place of."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtGui import QPageLayout, QPageSize
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QFileDialog, QWidget

HERDS = "Herds and lists (*.herd *.xlsx *.xls *.xlsm *.ods *.csv);;All files (*)"
PDF = "PDF file (*.pdf)"
SHEETS = "Spreadsheet (*.xlsx);;Text (*.csv)"
HERD_FILES = "Herd file (*.herd)"
WORKBOOKS = "Herd workbook (*.xlsx)"


class FileAsking:
    """Asks for a file or folder; None when nobody chose one."""

    def open_file(self, parent: QWidget, folder: Path) -> Path | None:
        """A herd file or a sheet to open."""
        chosen, _ = QFileDialog.getOpenFileName(parent, "Open a herd", str(folder), HERDS)
        return Path(chosen) if chosen else None

    def open_folder(self, parent: QWidget, folder: Path) -> Path | None:
        """A folder of .csv files to open."""
        chosen = QFileDialog.getExistingDirectory(parent, "Open a folder of .csv files", str(folder))
        return Path(chosen) if chosen else None

    def save_file(self, parent: QWidget, title: str, proposed: Path, kinds: str) -> Path | None:
        """Where to save; the ending proposed is put on when none was typed."""
        chosen, _ = QFileDialog.getSaveFileName(parent, title, str(proposed), kinds)
        if not chosen:
            return None
        path = Path(chosen)
        return path if path.suffix else path.with_suffix(proposed.suffix)

    def printer(self, parent: QWidget, title: str, *, landscape: bool) -> QPrinter | None:
        """A printer set to A4, or to a PDF file when that was chosen."""
        printer = a4_printer(title, landscape=landscape)
        dialog = QPrintDialog(printer, parent)
        dialog.setWindowTitle(title)
        return printer if dialog.exec() == QPrintDialog.DialogCode.Accepted else None


def a4_printer(title: str, *, landscape: bool) -> QPrinter:
    """A printer at 96 dots an inch: charts keep their proportions, and what is drawn stays shapes."""
    printer = QPrinter()
    printer.setResolution(96)
    printer.setDocName(title)
    way = QPageLayout.Orientation.Landscape if landscape else QPageLayout.Orientation.Portrait
    printer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
    printer.setPageOrientation(way)
    return printer
