"""Tab Ready: pens by the rule and by the herd's own dates, minerals to order, the kit ticked off, a good pen."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QCheckBox, QGridLayout, QVBoxLayout, QWidget
from typing_extensions import override

from herdscore.domain.assess import Assessment
from herdscore.domain.kit import KitLine, kit_list
from herdscore.domain.minerals import Order, dry_mineral_order, magnesium_order, rich_ration_kg
from herdscore.domain.pens import pens_needed, standards
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.season_ticks import finished
from herdscore.pages.calving_pictures import block_code
from herdscore.pages.calving_shed import shed_sheet_of
from herdscore.pages.calving_sources import SourcesOfDay
from herdscore.pages.calving_work import CalvingWork
from herdscore.pages.cow_words import say_cows
from herdscore.pages.file_asking import PDF
from herdscore.pages.fresh_tab import FreshTab
from herdscore.pages.wishes import FileWish, PrintWish
from herdscore.parts.buttons import button
from herdscore.parts.cards import Panel, card, column, row, scrolled
from herdscore.parts.fields import number_box
from herdscore.parts.labels import label
from herdscore.parts.report_pages import draw, write_pdf

_CARD = (16, 10, 16, 12)
_SHARES = 36, 34, 30
_AROUND_PX, _KIT_PX = 48 + 24 + 3 * 14, 320


class Ready(FreshTab):
    """`save_wished`, `print_wished`: the sheet for the shed door."""

    save_wished = Signal(object)
    print_wished = Signal(object)

    def __init__(self, work: CalvingWork) -> None:
        super().__init__()
        self.work = work
        self._kit: tuple[KitLine, ...] = ()
        self._page_px = 0
        self.boxes: list[QCheckBox] = []
        self._lines: list[_KitRow] = []
        rules = work.herd.rulebook.pens
        self.stay = number_box("Stay in a pen", 0.5, 7.0, step=0.5, decimals=1, unit="days")
        self.stay.setValue(rules.stay_days)
        self.stay_long = number_box("Stay of first-calvers and twins", 0.5, 10.0, step=0.5, decimals=1, unit="days")
        self.stay_long.setValue(rules.stay_long_days)
        for box in (self.stay, self.stay_long):
            box.setMinimumWidth(118)
            box.valueChanged.connect(self.show_pens)
        self.rule_figure, self.rule_words = label("", 36, 700), label("", 11, 400, "second", wrap=True)
        self.queue_figure, self.queue_words = label("", 36, 700), label("", 11, 400, "second", wrap=True)
        self.pens_line = label("", 12, 600, wrap=True)
        self.kit_claim = label("", 14, 700)
        self._kit_box = QVBoxLayout()
        self._kit_box.setSpacing(0)
        self.dry, self.magnesium = _OrderTable("Dry-cow mineral"), _OrderTable("Magnesium at turnout")
        self.sources = SourcesOfDay()
        self.print_button, self.save_button = button("Print shed sheet"), button("Save as PDF", "main", weight=600)
        self._build()
        self.print_button.clicked.connect(self.print_sheet)
        self.save_button.clicked.connect(self.save_sheet)
        herd = work.herd
        for moved in (herd.assessed, herd.changed, herd.block_chosen):
            moved.connect(self.herd_moved)

    def _build(self) -> None:
        herd = self.work.herd
        stays = row(label("stay"), self.stay, 4, label("first\ncalvers"), self.stay_long, None, spacing=6)
        by_rule = column(label("by the rule", 12, 600), self.rule_words, None, spacing=0)
        by_dates = column(label("by your dates", 12, 600), self.queue_words, None, spacing=0)
        figures = row(self.rule_figure, (by_rule, 1), 12, self.queue_figure, (by_dates, 1), spacing=10)
        pens = card(column(label("Calving pens", 14, 700), figures, self.pens_line, stays, spacing=6, margins=_CARD))
        good = [
            column(label(word, 12, 600), label(say, 11, 400, "second", wrap=True), spacing=0)
            for word, say in standards(herd.rulebook)
        ]
        standard = card(column(label("A good pen", 14, 700), *good, spacing=6, margins=_CARD))
        caution = herd.rulebook.calving_words.caution
        said = [
            column(label(caution[key].word, 12, 700), label(caution[key].say, 12, wrap=True), spacing=0)
            for key in ("overdose", "magnesium")
        ]
        warned = Panel(column(*said, spacing=6, margins=(14, 8, 14, 8)), "thin")
        orders = card(column(self.dry, 4, self.magnesium, 4, warned, 4, self.sources, None, spacing=6, margins=_CARD))
        inside = QWidget()
        inside.setLayout(self._kit_box)
        kit = card(column(self.kit_claim, (scrolled(inside), 1), spacing=6, margins=_CARD))
        left, middle = QWidget(), QWidget()
        left.setLayout(column(pens, standard, None, spacing=10))
        middle.setLayout(column(orders, None))
        what = "For the shed door: cows due, pens, first hours, kit, room for the vet's number"
        about = label(what, 11, 400, "second", wrap=True)
        buttons = row((about, 1), self.print_button, self.save_button)
        self._left, self._middle, self._kit_card = left, middle, kit
        self._three = row(*zip((scrolled(left), scrolled(middle), kit), _SHARES, strict=True), spacing=12)
        self.setLayout(column(buttons, (self._three, 1), spacing=8))

    def widen(self, page_px: int) -> None:
        """The kit stands beside pens and orders; in large text below the pens."""
        self._page_px = page_px
        below = self._left.layout()
        assert below is not None
        room = page_px - _AROUND_PX
        # A column that scrolls takes less than what is in it: each has to fit into its share.
        shares = zip((self._left, self._middle, self._kit_card), _SHARES, strict=True)
        beside = all(one.minimumSizeHint().width() <= room * share / sum(_SHARES) for one, share in shares)
        if beside and self._three.indexOf(self._kit_card) < 0:
            self._three.addWidget(self._kit_card, _SHARES[2])
        elif not beside and below.indexOf(self._kit_card) < 0:
            below.addWidget(self._kit_card)
        self._kit_card.setMinimumHeight(0 if beside else _KIT_PX)

    def focus_first(self) -> None:
        """Give the keyboard to the first line of the kit that is not ticked."""
        still = next((box for box in self.boxes if not box.isChecked()), None)
        (still or self.print_button).setFocus()

    def renew(self) -> None:
        """Work everything out anew."""
        self.show_pens()
        herd = self.work.herd
        a, block = herd.assessment, block_code(herd.block)
        dry, magnesium = dry_mineral_order(a, block), magnesium_order(a, block)
        rules = a.rulebook.minerals
        self.dry.show_order(dry, a, f"{dry.grams:g} g a head a day over each cow's last {rules.dry_mineral_days} days")
        low, high = rich_ration_kg(magnesium, rules)
        instead = f", or {low:,.0f} to {high:,.0f} kg of a high-magnesium ration instead" if magnesium.lines else ""
        self.magnesium.show_order(
            magnesium, a, f"{magnesium.grams:g} g calcined magnesite a head a day about turnout{instead}"
        )
        self.sources.show_feeds(a)
        self._kit = kit_list(a, block)
        self.show_kit()
        self.widen(self._page_px)

    def show_pens(self) -> None:
        """Show both figures for the stay chosen."""
        herd = self.work.herd
        a = herd.assessment
        plan = pens_needed(a, block_code(herd.block), self.stay.value(), self.stay_long.value())
        rules = a.rulebook.pens
        self.rule_figure.setText(str(plan.rule))
        self.rule_words.setText(f"1 pen to {rules.cows_a_pen:g} of {say_cows(plan.cows)}")
        self.queue_figure.setText(str(plan.queue))
        if not plan.cows:
            self.queue_words.setText("no cow to calve")
            self.pens_line.setText("No cow with a date ahead in this block.")
            return
        a_day = plan.peak_share * plan.cows
        day = a.day(plan.peak_day)
        self.queue_words.setText(
            f"busiest about {say_day(day, a.today)}: {say_number(a_day, 1)} a day, "
            f"{say_number(plan.load, 1)} pens in use on average"
        )
        enough = f"{rules.enough_chance * 20:.0f} days in 20"
        short = plan.short_of_rule
        more = f" {short} more than the rule: your calvings come close together." if short else ""
        self.pens_line.setText(
            f"{plan.queue} are enough on {enough}.{more} {plan.hospital} pen apart for sick stock comes on top."
        )

    def show_kit(self) -> None:
        """Show the kit and what of it is ticked."""
        ticked = finished(self.work.herd.snapshot)
        if len(self.boxes) != len(self._kit):
            for old in self._lines:
                self._kit_box.removeWidget(old)
                old.hide()
                old.deleteLater()
            self._lines = [_KitRow() for _ in self._kit]
            self.boxes = [one.box for one in self._lines]
            for place, one in enumerate(self._lines):
                one.box.clicked.connect(lambda on, place=place: self._on_kit(place, on=on))
                self._kit_box.addWidget(one)
        for one, line in zip(self._lines, self._kit, strict=True):
            words, box = f"{line.item}, {line.said}" if line.said else line.item, one.box
            one.words.setText(words)
            box.setAccessibleName(words)
            box.setChecked(line.tick in ticked)
            box.setEnabled(self.work.herd.can_write)
        here = sum(line.tick in ticked for line in self._kit)
        self.kit_claim.setText(f"Kit, {here} of {len(self._kit)} ready")

    def save_sheet(self) -> None:
        """Ask for a place and save the sheet for the shed door."""
        herd = self.work.herd
        report = shed_sheet_of(self.work, self.stay.value(), self.stay_long.value())
        name = f"{herd.path.stem} shed sheet {herd.today.isoformat()}.pdf"
        self.save_wished.emit(FileWish("The shed sheet", name, PDF, lambda path, _told: write_pdf(report, path)))

    def print_sheet(self) -> None:
        """Print the sheet for the shed door."""
        report = shed_sheet_of(self.work, self.stay.value(), self.stay_long.value())
        self.print_wished.emit(PrintWish("The shed sheet", False, lambda device: draw(report, device)))

    def _on_kit(self, place: int, *, on: bool) -> None:
        line = self._kit[place]
        if not self.work.tick((line.tick,), line.item, on=on):
            self.show_kit()


class _KitRow(QWidget):
    """A box and its words, which may take two lines; pressing the words ticks it too."""

    def __init__(self) -> None:
        super().__init__()
        self.box, self.words = QCheckBox(), label("", 12, wrap=True)
        self.setLayout(row(self.box, (self.words, 1), spacing=4))

    @override
    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self.box.click()


class _OrderTable(QWidget):
    """What to order: a line a group, and all of it in kg and bags."""

    def __init__(self, title: str) -> None:
        super().__init__()
        self.claim, self.dose = label(title, 14, 700, wrap=True), label("", 11, 400, "second", wrap=True)
        self._title = title
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(14)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(0, 1)
        self.setLayout(column(self.claim, self.dose, self._grid, spacing=4))

    def show_order(self, order: Order, a: Assessment, dose: str) -> None:
        """Show another order."""
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self.dose.setText(dose)
        if not order.lines:
            self.claim.setText(f"{self._title}: none to order")
            return
        bags = f"{order.bags} bag{'' if order.bags == 1 else 's'} of {order.bag_kg:g} kg"
        self.claim.setText(f"{self._title}: {order.kg:,.0f} kg, {bags}")
        for at, words in enumerate(("Group", "Cows", "From", "kg")):
            self._grid.addWidget(label(words, 11, 600, "second", right=at > 0), 0, at)
        for at, line in enumerate(order.lines, 1):
            start = "now" if line.start <= 0 else say_day(a.day(line.start), a.today)
            cells = (line.group or "no group", str(len(line.cows)), start, f"{line.kg:,.0f}")
            for place, words in enumerate(cells):
                self._grid.addWidget(label(words, 12, 400, right=place > 0), at, place)
