"""Tab Settings: what this herd goes by where it differs from the book, and the choices of this laptop."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from herdscore.desk.edits import set_setting
from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.assess import Assessment
from herdscore.domain.herd_settings import (
    ReadSetting,
    SettingLine,
    read_name,
    read_number,
    scorers_of,
    setting_lines,
)
from herdscore.domain.rulebook import HERD_NAME, OWN_DAY, REFERENCE_SCORER
from herdscore.domain.typed_day import say_whole_day
from herdscore.pages.flagged_list import SearchBox
from herdscore.pages.laptop_card import LaptopCard
from herdscore.pages.setting_rows import SettingRow
from herdscore.parts.cards import card, column, holder, row, scrolled
from herdscore.parts.labels import label
from herdscore.parts.list_view import WIDE_PX
from herdscore.parts.theme import Look

_SIDE_PX, _WIDE_SIDE_PX = 330, 420
_THE_HERD = "The herd"
_HINT = "Enter keeps a value, Esc shows what it was. Ctrl+Z takes a change back."
_NAME_ABOUT = "Shown at the top of the window; without one the name of the file."
_SCORER_ABOUT = (
    "Whose eye the targets go by: other scorers are brought to it, and scores without a name count as theirs. "
    "Without one, whoever scored most."
)


class SettingsTab(QWidget):
    """Settings of herd and laptop. `message(Message)` for the bar."""

    message = Signal(object)

    def __init__(self, look: Look, herd: OpenHerd, settings: Settings) -> None:
        super().__init__()
        self._look, self._herd = look, herd
        self._assessment: Assessment | None = None
        self._lines: dict[str, SettingLine] = {}
        self.rows: dict[str, SettingRow] = {}
        self._sections: dict[str, QWidget] = {}
        self.search = SearchBox("Find a setting", 220)
        self.all_breeds = QCheckBox("Breeds not in the herd too")
        self._why_not = ""
        self.foot = label(_HINT, 11, tone="second", wrap=True)
        self.own_day = label("", 11, tone="second", wrap=True)
        self._body = QVBoxLayout()
        self._body.setContentsMargins(4, 0, 12, 8)
        self._body.setSpacing(10)
        self._scroll = scrolled(holder(self._body))
        self.laptop = LaptopCard(look, settings)
        bar = row(self.search, None, self.all_breeds)
        left = card(column(bar, (self._scroll, 1), self.foot, spacing=8, margins=(14, 10, 8, 8)))
        self._side = card(column(scrolled(self.laptop)))
        self.setLayout(row((left, 1), self._side, spacing=12))
        self.search.textChanged.connect(self._narrow)
        self.search.left.connect(self._focus_first_row)
        self.search.entered.connect(self._focus_first_row)
        self.all_breeds.toggled.connect(self._narrow)
        self._build_plain()
        self.widen(0)

    def _build_plain(self) -> None:
        name, scorer = SettingRow(HERD_NAME, words=True), SettingRow(REFERENCE_SCORER, words=True)
        for one in (name, scorer):
            self._connect_row(one)
        inside = column(label(_THE_HERD, 14, 700), name, scorer, self.own_day, spacing=8)
        self._sections[_THE_HERD] = holder(inside)
        self._body.addWidget(self._sections[_THE_HERD])

    def _connect_row(self, made: SettingRow) -> None:
        self.rows[made.name] = made
        made.typed.connect(self.keep)
        made.back.connect(lambda name: self.keep(name, ""))

    def _build_numbers(self, lines: list[SettingLine]) -> None:
        """A row a number, made once; the rules say which there are."""
        for section in dict.fromkeys(line.section for line in lines):
            inside = column(label(section, 14, 700), spacing=8)
            for line in lines:
                if line.section == section:
                    made = SettingRow(line.name)
                    self._connect_row(made)
                    inside.addWidget(made)
            self._sections[section] = holder(inside)
            self._body.addWidget(self._sections[section])
        self._body.addStretch()

    # Showing

    def show_assessment(self, assessment: Assessment) -> None:
        """Show the settings as they are now."""
        self._assessment = assessment
        lines = setting_lines(assessment)
        if not self._lines:
            self._build_numbers(lines)
        self._lines = {line.name: line for line in lines}
        kept, can = self._herd.snapshot.setting, self._herd.can_write
        for line in lines:
            self.rows[line.name].show_line(line, can_write=can)
        scorers = scorers_of(assessment.snapshot)
        for name, about, choices in ((HERD_NAME, _NAME_ABOUT, []), (REFERENCE_SCORER, _SCORER_ABOUT, scorers)):
            value = kept.get(name, "")
            without = self._herd.path.stem if name == HERD_NAME else next(iter(scorers), "")
            self.rows[name].edit.setPlaceholderText(without)
            self.rows[name].show_words(value, about, choices, is_own=bool(value), can_write=can)
        day = assessment.rulebook.own_day
        self.own_day.setText(
            "" if day is None else f"{OWN_DAY}: a sample herd, always {say_whole_day(day)}. It stays as it is."
        )
        self.own_day.setVisible(day is not None)
        self._narrow()

    def show_rights(self) -> None:
        """Say whether anything can be changed."""
        if self._herd.why_not or self._why_not:
            # Else what was just kept stays said.
            self.foot.setText(self._herd.why_not or _HINT)
        self._why_not = self._herd.why_not
        if self._assessment is not None:
            self.show_assessment(self._assessment)

    def fill(self) -> None:
        """Settings are those of both blocks."""

    def widen(self, width: int) -> None:
        """Fit both sides to the width of the window and the size of the text."""
        scale = self._look.theme.text_scale
        side = _WIDE_SIDE_PX if width >= WIDE_PX else _SIDE_PX
        self._side.setFixedWidth(round(side * (1 + (scale - 1) * 0.5)))

    def focus_first(self) -> None:
        """Give the keyboard to the box that finds a setting."""
        self.search.setFocus()

    def find_cow(self) -> None:
        """Go to the box that finds a setting."""
        self.search.setFocus()
        self.search.selectAll()

    def _focus_first_row(self) -> None:
        first = next((one for one in self.rows.values() if one.isVisible()), None)
        if first is not None:
            first.edit.setFocus(Qt.FocusReason.TabFocusReason)
            self._scroll.ensureWidgetVisible(first)

    def _narrow(self) -> None:
        """Show what holds the words typed, of breeds those of the herd."""
        text = self.search.text().strip().casefold()
        seen: set[str] = set()
        for name, made in self.rows.items():
            line = self._lines.get(name)
            section = _THE_HERD if line is None else line.section
            wanted = line is None or line.of_herd or self.all_breeds.isChecked() or bool(text)
            shown = wanted and text in f"{section} {made.words}".casefold()
            made.setVisible(shown)
            if shown:
                seen.add(section)
        for section, widget in self._sections.items():
            widget.setVisible(section in seen)

    # Keeping

    def keep(self, name: str, text: str) -> None:
        """Write a setting; a wrong value is refused in a sentence and stays to be mended."""
        if not self._herd.can_write:
            self.foot.setText(self._herd.why_not)
            return
        line, row_ = self._lines.get(name), self.rows[name]
        kept = self._herd.snapshot.setting
        read: ReadSetting = read_name(text) if line is None else read_number(line, text, self._herd.rulebook, kept)
        row_.say(read.wrong)
        if read.wrong:
            return
        change = set_setting(self._herd.snapshot, name, read.text)
        if change is None:
            row_.edit.setText(kept.get(name, "") if line is None else line.value)
            return
        a = self._assessment
        after = self._herd.preview(change) if line is not None and a is not None else None
        words = f"{name} {read.text}" if read.text is not None else f"{name} as in the book"
        if not self._herd.push(change, words):
            return
        other = int((after.verdict != a.verdict).sum()) if after is not None and a is not None else 0
        effect = f" {other} cow{' then has' if other == 1 else 's then have'} another verdict." if other else ""
        self.foot.setText(f"{words} is kept.{effect}")
