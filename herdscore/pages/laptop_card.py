"""Choices of this laptop: colours, size of the text, sound and reader at the crush. They are no part of the herd."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from herdscore.desk.settings import READER, SOUND, TEXT_SCALE, THEME, Choice, Settings
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import column, row
from herdscore.parts.labels import label, restyle
from herdscore.parts.theme import COMPUTER, Look

_THEMES = (("light", "Light"), ("dark", "Dark"), ("daylight", "Daylight"), (COMPUTER, "As the computer"))
_ON_OFF = (("off", "Off"), ("on", "On"))
_SIZES = (("1.0", "100 %"), ("1.15", "115 %"), ("1.3", "130 %"), ("1.5", "150 %"))


class LaptopCard(QWidget):
    """Colours, text size and sound, taken at once; the reader when a herd is next opened."""

    def __init__(self, look: Look, settings: Settings) -> None:
        super().__init__()
        self._look, self._settings = look, settings
        self.themes = {key: button(words, "row", 12, 600) for key, words in _THEMES}
        self.sizes = JoinedButtons(_SIZES, "Size of the text", 11, height=46)
        self.sound = self._on_off(SOUND, "Sound at the crush")
        self.reader = self._on_off(READER, "Stick reader that types")
        self.reader.setToolTip(
            "Off: what a reader types goes where the keyboard is. Counts when a herd is next opened."
        )
        for key, one in self.themes.items():
            one.setCheckable(True)
            one.setAutoExclusive(True)
            one.clicked.connect(lambda _, key=key: self._on_theme(key))
        about = "Kept on this computer, for every herd. F9 steps through the colours; daylight is for out in the sun."
        self.setLayout(
            column(
                label("This laptop", 14, 700),
                label(about, 11, tone="second", wrap=True),
                4,
                label("Colours", 12, 600),
                *self.themes.values(),
                6,
                label("Size of the text", 12, 600),
                row(self.sizes, None),
                row((label("Sound at the crush", 12, 600, wrap=True), 1), self.sound),
                row((label("Stick reader that types", 12, 600, wrap=True), 1), self.reader),
                None,
                spacing=6,
                margins=(14, 10, 12, 10),
            )
        )
        self.sizes.chosen.connect(self._on_size)
        look.changed.connect(self._show)
        self._show()

    def _on_off(self, choice: Choice[str], name: str) -> JoinedButtons:
        made = JoinedButtons(_ON_OFF, name, 11, height=46)
        made.choose(self._settings.get(choice))
        made.chosen.connect(lambda key: self._settings.set(choice, key))
        return made

    def _show(self) -> None:
        for key, one in self.themes.items():
            chosen = key == self._look.choice
            one.setChecked(chosen)
            restyle(one, "chosen", "true" if chosen else "false")
        scale = self._look.theme.text_scale
        self.sizes.choose(min((key for key, _ in _SIZES), key=lambda key: abs(float(key) - scale)))

    def _on_theme(self, key: str) -> None:
        self._settings.set(THEME, key)
        self._look.choose(key)

    def _on_size(self, key: str) -> None:
        self._settings.set(TEXT_SCALE, float(key))
        self._look.choose_text_scale(float(key))
