"""Colours by role, fonts and the style sheet: what every part asks before it draws.

A `Theme` is plain values; a `Look` holds the one in use and is handed to every part that draws.
"""

from __future__ import annotations

import threading
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache, wraps
from string import Template
from typing import ParamSpec, TypeVar

from PySide6.QtCore import QDir, QObject, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontDatabase, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QWidget

from herdscore import shipped
from herdscore.errors import Problem

NAMES = ("light", "dark", "daylight")
COMPUTER = "computer"
FAMILY = "Inter Tab"
TEXT_SCALES = (1.0, 1.5)
_SIZES = (11, 12, 13, 14, 15, 16, 17, 18, 20, 24, 36, 44)

P = ParamSpec("P")
T = TypeVar("T")


@dataclass(frozen=True)
class Theme:
    """One set of colours by role, the width of card lines in px and the text scale; read as `theme["ink"]`."""

    name: str
    roles: Mapping[str, QColor]
    border: int
    text_scale: float = 1.0

    def __getitem__(self, role: str) -> QColor:
        return self.roles[role]

    def faded(self, role: str, strength: float) -> QColor:
        """The colour of a role at a strength from 0 (nothing) to 1."""
        colour = QColor(self.roles[role])
        colour.setAlphaF(strength)
        return colour

    def font(self, points: float, weight: int = 400) -> QFont:
        """The program's type at a size in points before the text scale."""
        return QFont(_font(points * self.text_scale, weight))


def each_thread(make: Callable[P, T]) -> Callable[P, T]:
    """Remember what `make` answers, in each thread by itself: two threads must not draw with the same font at once."""
    held = threading.local()

    @wraps(make)
    def remembered(*args: P.args, **kwargs: P.kwargs) -> T:
        known: dict[object, T] = held.__dict__.setdefault("known", {})
        key = (args, tuple(kwargs.items()))
        if key not in known:
            known[key] = make(*args, **kwargs)
        return known[key]

    return remembered


@each_thread
def _font(points: float, weight: int) -> QFont:
    font = QFont(FAMILY)
    font.setPointSizeF(points)
    font.setWeight(QFont.Weight(weight))
    return font


def read_themes() -> dict[str, Theme]:
    """The themes of `resources/style/colours.toml`, by name."""
    file = shipped.resources() / "style" / "colours.toml"
    with file.open("rb") as stream:
        table = tomllib.load(stream)
    themes = {}
    for name in NAMES:
        roles = {role: QColor(colours[name]) for role, colours in table["roles"].items()}
        wrong = [role for role, colour in roles.items() if not colour.isValid()]
        if wrong:
            raise Problem(f"{file.name}: {', '.join(wrong)} of {name} is not a colour.", what_to_do="Write #RRGGBB.")
        themes[name] = Theme(name, roles, int(table["border"][name]))
    return themes


def contrast(one: QColor, other: QColor) -> float:
    """Contrast of two colours by WCAG 2.x, 1 to 21."""
    lighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: QColor) -> float:
    def linear(part: float) -> float:
        return part / 12.92 if part <= 0.03928 else float(((part + 0.055) / 1.055) ** 2.4)

    return 0.2126 * linear(colour.redF()) + 0.7152 * linear(colour.greenF()) + 0.0722 * linear(colour.blueF())


@lru_cache(maxsize=1)
def load_fonts() -> tuple[str, ...]:
    """Make the shipped fonts known to Qt, once; the families found."""
    families: list[str] = []
    for file in sorted((shipped.resources() / "fonts").glob("InterTab-*.ttf")):
        families += QFontDatabase.applicationFontFamilies(QFontDatabase.addApplicationFont(str(file)))
    return tuple(dict.fromkeys(families))


@lru_cache(maxsize=1)
def _template() -> Template:
    return Template((shipped.resources() / "style" / "herdscore.qss").read_text(encoding="utf-8"))


def style_sheet(theme: Theme) -> str:
    """The style sheet in the colours and text sizes of a theme."""
    words = {role: colour.name() for role, colour in theme.roles.items()}
    words |= {f"pt{size}": f"{size * theme.text_scale:g}pt" for size in _SIZES}
    return _template().substitute(words, border=f"{theme.border}px", icons=f"icons:{theme.name}")


def palette(theme: Theme) -> QPalette:
    """The same colours for what no style sheet reaches, such as file dialogs."""
    made = QPalette()
    pairs = {
        QPalette.ColorRole.Window: "page",
        QPalette.ColorRole.WindowText: "ink",
        QPalette.ColorRole.Base: "surface",
        QPalette.ColorRole.AlternateBase: "sunk",
        QPalette.ColorRole.Text: "ink",
        QPalette.ColorRole.Button: "surface",
        QPalette.ColorRole.ButtonText: "ink",
        QPalette.ColorRole.Highlight: "primary",
        QPalette.ColorRole.HighlightedText: "on_primary",
        QPalette.ColorRole.PlaceholderText: "ink_second",
        QPalette.ColorRole.ToolTipBase: "surface",
        QPalette.ColorRole.ToolTipText: "ink",
        QPalette.ColorRole.Link: "primary",
    }
    for place, role in pairs.items():
        made.setColor(place, theme[role])
    return made


class Look(QObject):
    """The theme in use. `changed` tells parts that keep pictures of their own; the rest are repainted by Qt."""

    changed = Signal()

    def __init__(self, choice: str = "light", text_scale: float = 1.0, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._themes = read_themes()
        self._choice = choice
        self._text_scale = text_scale
        self._prepared: list[QApplication] = []
        self._dressed: list[QApplication | QWidget] = []
        self._theme = self._resolved()
        QDir.setSearchPaths("icons", [str(shipped.resources() / "icons")])
        load_fonts()
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._on_computer_changed)

    @property
    def theme(self) -> Theme:
        """The theme to draw with now."""
        return self._theme

    @property
    def choice(self) -> str:
        """What was chosen: light, dark, daylight or computer."""
        return self._choice

    def choose(self, choice: str) -> None:
        """Change to light, dark, daylight, or computer (follow it); everything on screen is repainted."""
        if choice not in (*NAMES, COMPUTER):
            raise ValueError(choice)
        self._choice = choice
        self._renew()

    def choose_next(self) -> str:
        """Step to the next theme, from the one that is seen; its name."""
        self.choose(NAMES[(NAMES.index(self._theme.name) + 1) % len(NAMES)])
        return self._choice

    def choose_text_scale(self, scale: float) -> None:
        """Enlarge all text, 1.0 to 1.5."""
        self._text_scale = min(max(scale, TEXT_SCALES[0]), TEXT_SCALES[1])
        self._renew()

    def prepare(self, app: QApplication) -> None:
        """Give an application style, colours and font, now and whenever they change; its windows are to be dressed.

        A sheet of the application would be matched again with every widget at every step in which a page is put
        together; that of a window is matched once, when the page is added to it.
        """
        app.setStyle("Fusion")
        self._prepared.append(app)
        self._put_on(app, sheet=False)

    def dress(self, target: QApplication | QWidget) -> None:
        """Give an application or a window all of this look, now and whenever it changes."""
        if isinstance(target, QApplication):
            target.setStyle("Fusion")
        else:
            target.destroyed.connect(lambda: self._dressed.remove(target))
        self._dressed.append(target)
        self._put_on(target)

    def _put_on(self, target: QApplication | QWidget, *, sheet: bool = True) -> None:
        if isinstance(target, QApplication):
            target.setPalette(palette(self._theme))
        target.setFont(self._theme.font(11))
        if sheet:
            target.setStyleSheet(style_sheet(self._theme))

    def _resolved(self) -> Theme:
        name = self._choice
        if name == COMPUTER:
            dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
            name = "dark" if dark else "light"
        return replace(self._themes[name], text_scale=self._text_scale)

    def _renew(self) -> None:
        before, self._theme = self._theme, self._resolved()
        if before == self._theme:
            return
        for app in self._prepared:
            self._put_on(app, sheet=False)
        for target in self._dressed:
            self._put_on(target)
        self.changed.emit()

    def _on_computer_changed(self) -> None:
        if self._choice == COMPUTER:
            self._renew()
