"""Every report of a herd as a file, without a window: an application must run, a screen need not be there."""

from __future__ import annotations

from pathlib import Path

from herdscore.domain.assess import Assessment
from herdscore.pages.adviser_sheet import adviser_sheet
from herdscore.pages.herd_day_report import herd_day_report
from herdscore.parts.report_pages import write_pdf


def write_reports(assessment: Assessment, name: str, folder: Path) -> list[Path]:
    """Save the herd day report and the adviser's sheet as PDF files; where they are."""
    return [
        write_pdf(herd_day_report(assessment, name), folder / "herd-day.pdf"),
        write_pdf(adviser_sheet(assessment, name), folder / "adviser-sheet.pdf"),
    ]
