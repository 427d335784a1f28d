"""Start-up: what the command line asks for, and building theme, desk and window. The one file that knows everyone."""

from __future__ import annotations

import argparse
import getpass
import locale
import os
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_config_path, user_data_path, user_log_path

from herdscore import __version__, shipped
from herdscore.errors import Problem

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

WRONG_USE = 2
THEMES = ("light", "dark", "daylight")
COMMANDS = ("flags", "pictures", "pack")
SAMPLE = "spring"
_TURN_S = 0.001  # after so long a job gives way to the window, which would wait Python's 5 ms at every step


def main(argv: Sequence[str] | None = None) -> int:
    """Do what the command line asks; 0 done, 1 the input has problems, 2 wrong use or nothing readable."""
    words = list(sys.argv[1:] if argv is None else argv)
    try:
        if words and words[0] in COMMANDS:
            return _command(words[0], words[1:])
        args = _window_parser().parse_args(words)
        if _has_screen():
            return show_window(args.herd, args.on, args.theme)
        return _without_screen(args.herd, args.on)
    except Problem as problem:
        print(problem, file=sys.stderr)
        return WRONG_USE


def show_window(herd: Path | None = None, on: date | None = None, theme: str | None = None) -> int:
    """Open the window and stay until it is closed."""
    from PySide6.QtCore import QTimer  # late: the command line does without

    from herdscore.desk.jobs import Jobs
    from herdscore.desk.opening import Opening
    from herdscore.desk.settings import SCORER, TEXT_SCALE, THEME, Settings
    from herdscore.pages.fault_dialog import FaultLog
    from herdscore.pages.file_asking import FileAsking
    from herdscore.parts.theme import Look
    from herdscore.store.laptop import this_laptop
    from herdscore.window import MainWindow

    sys.setswitchinterval(_TURN_S)
    app = application()
    faults = FaultLog(user_log_path("herdscore", appauthor=False) / "herdscore.log")
    faults.install()
    settings = Settings(user_config_path("herdscore", appauthor=False))
    look = Look(theme or settings.get(THEME), settings.get(TEXT_SCALE))
    look.prepare(app)
    jobs = Jobs()
    data_folder = user_data_path("herdscore", appauthor=False)
    opening = Opening(jobs, data_folder, laptop=this_laptop(), who=lambda: settings.get(SCORER) or _login())
    window = MainWindow(look, settings, opening, jobs, FileAsking())
    look.dress(window)
    window.show()
    if herd is not None:
        QTimer.singleShot(0, window, lambda: window.open_path(herd, on))
    code = app.exec()
    jobs.close()  # also when the session ends without the window being closed
    return code


def application() -> QApplication:
    """The one application, in English whatever the computer speaks, as all its words are."""
    from PySide6.QtCore import QLocale
    from PySide6.QtWidgets import QApplication

    app = QApplication(sys.argv[:1])
    app.setApplicationName("herdscore")
    app.setDesktopFileName("herdscore")
    QLocale.setDefault(QLocale(QLocale.Language.English, QLocale.Country.UnitedKingdom))
    locale.setlocale(locale.LC_TIME, "C")
    return app


def _command(command: str, words: list[str]) -> int:
    args = _parser_of(command).parse_args(words)
    if command == "pictures":
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
        from PySide6.QtCore import qInstallMessageHandler

        from herdscore.pictures import pictures

        # The screenless platform grumbles at every window that has a smallest size; it means nothing.
        qInstallMessageHandler(lambda _kind, _where, said: None if "propagateSizeHints" in said else _say(said))
        return pictures(application(), args.herd, args.out, on=args.on, size=args.size, theme=args.theme)
    from herdscore import headless

    if command == "flags":
        return headless.flags(args.herd, args.on, args.out, date.today())
    return headless.pack(args.herd, args.out, date.today())


def _without_screen(herd: Path | None, on: date | None) -> int:
    """What can be done all the same for this herd, else a sample: its flag list, as a workbook too, and its pages."""
    path = herd or next((shipped.sample_herds() / SAMPLE).glob("*.xlsx"))
    folder = Path(f"{path.stem}-pictures")
    book = Path(f"{path.stem}-flags.xlsx")
    whose = f"the herd {path.name}" if herd else "the sample herd"
    print(f"There is no screen here: these are the flags of {whose}; list and pages go to {book} and {folder}.")
    day = ["--on", on.isoformat()] if on else []
    flags = _command("flags", [str(path), "--out", str(book), *day])
    return max(flags, _command("pictures", [str(path), "--out", str(folder), *day]))


def _window_parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="herdscore",
        description="Condition scoring for suckler herds.",
        epilog=f"Without a window: herdscore {'|'.join(COMMANDS)} --help.",
    )
    parser.add_argument("herd", nargs="?", type=Path, metavar="HERD", help="herd file, workbook, or folder of csv")
    _add_day(parser)
    parser.add_argument("--theme", choices=THEMES)
    parser.add_argument("--version", action="version", version=f"herdscore {__version__}")
    return parser


def _parser_of(command: str) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog=f"herdscore {command}")
    parser.add_argument("herd", type=Path, metavar="HERD", help="herd file, workbook, or folder of csv")
    if command == "pack":
        parser.add_argument("out", type=Path, metavar="OUT", help="the other form: workbook or herd file")
        return parser
    _add_day(parser)
    if command == "flags":
        parser.add_argument("--out", type=Path, metavar="FILE", help="write the list to FILE.xlsx or FILE.csv")
        return parser
    parser.add_argument("--out", type=Path, metavar="FOLDER", required=True)
    parser.add_argument("--size", type=_size, default=(1366, 768), metavar="WIDTHxHEIGHT")
    parser.add_argument("--theme", choices=THEMES, default=THEMES[0])
    return parser


def _add_day(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--on", type=date.fromisoformat, metavar="DATE", help="look at the herd on that day, 2027-01-12"
    )


def _size(text: str) -> tuple[int, int]:
    width, height = (int(part) for part in text.lower().split("x"))
    return width, height


def _has_screen() -> bool:
    if os.environ.get("QT_QPA_PLATFORM", "").split(":")[0] in ("offscreen", "minimal"):
        return False
    if sys.platform in ("win32", "darwin"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY") or os.environ.get("QT_QPA_PLATFORM"))


def _say(said: str) -> None:
    print(said, file=sys.stderr)


def _login() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return ""
