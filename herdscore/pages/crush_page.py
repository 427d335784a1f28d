"""The scoring page with what belongs to a round: its panels, and the round on the first line."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QStackedWidget, QWidget
from typing_extensions import override

from herdscore.desk.open_herd import OpenHerd
from herdscore.desk.settings import Settings
from herdscore.domain.crush_words import read_crush_words
from herdscore.domain.felt_words import read_felt_words
from herdscore.domain.round_summary import summary
from herdscore.pages.check import CheckPage
from herdscore.pages.file_asking import PDF
from herdscore.pages.learning import CautionPanel, LearningPage
from herdscore.pages.round_panel import RoundPanel
from herdscore.pages.round_paper import crush_list_report, summary_report
from herdscore.pages.round_summary_page import RoundSummaryPage
from herdscore.pages.round_words import pace_words
from herdscore.pages.round_work import RoundWork
from herdscore.pages.scoring import ScoringPage
from herdscore.pages.scoring_strip import CHECK, LEARN, NEW_ROUND, NO_ROUND, ROUND
from herdscore.pages.wishes import FileWish, PrintWish
from herdscore.parts.buttons import JoinedButtons, button
from herdscore.parts.cards import column, holder, row
from herdscore.parts.fields import take_no_files
from herdscore.parts.report_pages import Report, draw, write_pdf
from herdscore.parts.theme import Look

SUMMARY, CAUTION = "summary", "caution"
_TABS = ((ROUND, "Round"), (SUMMARY, "Summary"), (CHECK, "Check two people"), (LEARN, "Learn to score"))
_KEYS = {"Alt+R": ROUND, "Alt+S": SUMMARY, "Alt+K": CHECK, "Alt+L": LEARN}


class CrushPanels(QWidget):
    """Takes the place of the work under the first line; `closed`: back to the cows."""

    closed = Signal()

    def __init__(self, look: Look, herd: OpenHerd, work: RoundWork) -> None:
        super().__init__()
        tables = herd.rulebook.tables
        said = read_crush_words(tables["crush_words"])
        self.tabs = JoinedButtons(_TABS, "Panels of the round", 14, width=110)
        self.back = button("Back to the cows", points=14, weight=600)
        self.back.setToolTip("Esc")
        self.round = RoundPanel(look, work)
        self.summary = RoundSummaryPage(look, work)
        self.check = CheckPage(look, herd)
        self.learn = LearningPage(look, read_felt_words(tables["felt_words"]), said)
        self.caution = CautionPanel(said.caution, answered=True)
        self._pages: dict[str, QWidget] = {
            ROUND: self.round,
            SUMMARY: self.summary,
            CHECK: self.check,
            LEARN: self.learn,
            CAUTION: holder(column(None, row(None, (self.caution, 4), None), None)),
        }
        self._stack = QStackedWidget()
        for one in self._pages.values():
            self._stack.addWidget(one)
        self._head = holder(row(self.tabs, None, self.back, spacing=8))
        self.setLayout(column(self._head, (self._stack, 1), spacing=8))
        self.tabs.chosen.connect(self.show_panel)
        self.back.clicked.connect(self.closed)
        self.caution.taken.connect(self.closed)

    @property
    def shown(self) -> str:
        """Key of the panel in front."""
        return next(key for key, one in self._pages.items() if one is self._stack.currentWidget())

    def show_panel(self, key: str) -> None:
        """Bring a panel to the front and give it the keyboard."""
        self._stack.setCurrentWidget(self._pages[key])
        if key == CAUTION:
            self.tabs.clear_choice()
        else:
            self.tabs.choose(key)
        self.focus_first()

    def focus_first(self) -> None:
        """Give the keyboard to the panel in front."""
        if self.shown == CAUTION:
            self.caution.go.setFocus()
            return
        pages = {ROUND: self.round, SUMMARY: self.summary, CHECK: self.check, LEARN: self.learn}
        page: RoundPanel | RoundSummaryPage | CheckPage | LearningPage = pages[self.shown]  # type: ignore[assignment]
        page.focus_first()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Keys end here, so that none of them scores a cow; Esc goes back."""
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        event.accept()


class CrushPage(ScoringPage):
    """The scoring page, and Alt+R, Alt+S, Alt+K, Alt+L for its panels."""

    def __init__(self, look: Look, herd: OpenHerd, settings: Settings) -> None:
        self._panels: CrushPanels | None = None  # made when one is first wanted: most days none is
        super().__init__(look, herd, settings)
        self.rounds = RoundWork(herd)
        self._under: list[QWidget] = []
        self.strip.round_chosen.connect(self._on_round_chosen)
        self.strip.panel_wished.connect(self.show_panel)
        self.rounds.moved.connect(self._renew_rounds)
        self.rounds.herd.block_chosen.connect(self._renew_rounds)
        for keys, key in _KEYS.items():
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(lambda key=key: self.show_panel(key))
        self._renew_rounds()

    def _direct(self) -> list[QWidget]:
        return [one for one in self.children() if isinstance(one, QWidget) and not one.isWindow()]

    def _made_panels(self) -> CrushPanels:
        made = CrushPanels(self._look, self.rounds.herd, self.rounds)
        made.hide()
        layout = self.layout()
        assert layout is not None
        layout.addWidget(made)
        take_no_files(made)
        made.closed.connect(self.close_panel)
        made.round.begun.connect(lambda: self.show_panel(CAUTION))
        made.round.summary_pressed.connect(lambda: self.show_panel(SUMMARY))
        made.round.print_pressed.connect(lambda: self._print(self.crush_list()))
        made.round.save_pressed.connect(lambda: self._save(self.crush_list(), "crush list.pdf"))
        made.summary.print_pressed.connect(self._print_summary)
        made.summary.save_pressed.connect(self._save_summary)
        made.summary.open_cow.connect(self.open_cow)
        return made

    # What is in front

    @property
    def panels(self) -> CrushPanels:
        """What takes the place of the work."""
        if self._panels is None:
            with self.resting():
                self._panels = self._made_panels()
        return self._panels

    @property
    def panel(self) -> str:
        """Key of the panel in front, "" over the cows."""
        return "" if self._panels is None or self._panels.isHidden() else self._panels.shown

    def show_panel(self, key: str) -> None:
        """Put a panel in the place of the work."""
        made = self.panels
        if made.isHidden():
            self._under = [one for one in self._direct() if one not in (self.strip, made) and not one.isHidden()]
        for one in self._under:
            one.hide()
        made.show()
        made.show_panel(key)

    def close_panel(self) -> None:
        """Go back to the cows."""
        made = self.panels
        made.hide()
        for one in self._under:
            one.show()
        self.rounds.look_at(NO_ROUND)
        self.focus_first()

    @override
    def focus_first(self) -> None:
        """Give the keyboard to the panel in front, else to the cows."""
        if self.panel:
            self.panels.focus_first()
        else:
            super().focus_first()

    @override
    def find(self, text: str = "") -> None:  # type: ignore[override]
        """Look for a tag, over the cows."""
        if self.panel:
            self.close_panel()
        super().find(text)

    # Paper

    def crush_list(self) -> Report:
        """Cows still to score of the round looked at; without one, the living cows of the block."""
        herd, rounds = self.rounds.herd, self.rounds
        a = herd.assessment
        among = herd.in_block & ~a.facts.gone
        if rounds.round is not None and rounds.progress is not None:
            left = {str(one) for one in herd.snapshot.cows.id[rounds.progress.still_to_score]}
            among = a.facts.gone & False
            for cow_id in left:
                if (place := a.snapshot.cow_place.get(cow_id)) is not None:
                    among[place] = True
        return crush_list_report(a, herd.name, rounds.round, among)

    @property
    @override
    def printed_words(self) -> str:
        return "Page shown"

    @override
    def print_page(self) -> None:
        """Print what is in front: the summary, else the crush list."""
        if self.panel == SUMMARY:
            self._print_summary()
        else:
            self._print(self.crush_list())

    def _summary(self) -> Report | None:
        round_, herd = self.rounds.round, self.rounds.herd
        return None if round_ is None else summary_report(herd.assessment, herd.name, summary(herd.assessment, round_))

    def _print_summary(self) -> None:
        made = self._summary()
        if made is not None:
            self._print(made)

    def _save_summary(self) -> None:
        made, round_ = self._summary(), self.rounds.round
        if made is not None and round_ is not None:
            self._save(made, f"{round_.name}.pdf")

    def _print(self, report: Report) -> None:
        def on(device: object) -> None:
            draw(report, device)  # type: ignore[arg-type]

        self.print_wished.emit(PrintWish(report.name, report.landscape, on))

    def _save(self, report: Report, name: str) -> None:
        self.save_wished.emit(FileWish(report.name, name, PDF, lambda path, _told: write_pdf(report, path)))

    # The first line

    def _renew_rounds(self) -> None:
        rounds = self.rounds
        looked_at, open_now = rounds.round, rounds.open
        names = [(one.id, one.name if one.closed is None else f"{one.name}, closed") for one in rounds.all]
        self.strip.show_rounds(names, looked_at.id if looked_at is not None else NO_ROUND)
        far = rounds.progress
        if looked_at is None or far is None:
            self.strip.show_round(None)
            return
        pace = rounds.pace if open_now is not None and open_now.id == looked_at.id else None
        counted = (int(far.scored.sum()), int(far.unsafe.sum()), far.total)
        self.strip.show_round(counted, pace_words(pace, far.left), pace_words(pace, far.left, short=True))

    def _on_round_chosen(self, round_id: str) -> None:
        if round_id == NEW_ROUND:
            self.rounds.look_at(NO_ROUND)
            self.show_panel(ROUND)
            self.panels.round.new.take_keyboard()
        elif round_id:
            self.rounds.look_at(round_id)
            self.show_panel(ROUND)
