"""Choices of this laptop: colours, size of the text, sound and reader at the crush. They are no part of the herd."""

from __future__ import annotations

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QComboBox, QWidget
from typing_extensions import override

from herdscore.desk import serial_reader
from herdscore.desk.settings import READER, READER_PORT, SOUND, TEXT_SCALE, THEME, Choice, Settings
from herdscore.parts.asked import asked_choice
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import column, row
from herdscore.parts.labels import label, restyle
from herdscore.parts.theme import COMPUTER, Look

_THEMES = (("light", "Light"), ("dark", "Dark"), ("daylight", "Daylight"), (COMPUTER, "As the computer"))
_ON_OFF = (("off", "Off"), ("on", "On"))
_NO_PORT = ("", "none")
_PORT_ABOUT = "Counts when a herd is next opened."
_PORT_NEEDS = "Not installed. It needs: pip install 'herdscore[serial]'"
_SIZES = (("1.0", "100 %"), ("1.15", "115 %"), ("1.3", "130 %"), ("1.5", "150 %"))


class LaptopCard(QWidget):
    """Colours, text size and sound, taken at once; the readers when a herd is next opened."""

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
        self.port = asked_choice("Reader on a serial port", (_NO_PORT,), letters=10)
        assert isinstance(self.port.holds, QComboBox)
        self._ports = self.port.holds
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
                self.port,
                None,
                spacing=6,
                margins=(14, 10, 12, 10),
            )
        )
        self.sizes.chosen.connect(self._on_size)
        self._ports.activated.connect(lambda _: self._settings.set(READER_PORT, self.port.text))
        look.changed.connect(self._show)
        self._show()

    @override
    def showEvent(self, event: QShowEvent) -> None:
        """Look again which ports there are: a reader may have been plugged in since."""
        self._offer_ports()
        super().showEvent(event)

    def _offer_ports(self) -> None:
        kept, found = self._settings.get(READER_PORT), serial_reader.ports()
        choices = [_NO_PORT, *((name, name) for name in found)]
        if kept and kept not in found:
            choices.append((kept, f"{kept}, not found now"))
        self._ports.clear()
        for key, words in choices:
            self._ports.addItem(words, key)
        self.port.put(kept)
        is_there = serial_reader.is_installed()
        self._ports.setEnabled(is_there)
        self.port.say(_PORT_ABOUT if is_there else _PORT_NEEDS)

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
