"""What a cow gets of copper, selenium, iodine and magnesium in a day from all sources, against the lowest ceiling."""

from __future__ import annotations

import numpy as np
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from herdscore.domain.assess import Assessment
from herdscore.domain.minerals import REFUSED, WARNED, ElementSum, source_of_feed, sums_of_day, whole_sources
from herdscore.parts.cards import column
from herdscore.parts.labels import label, restyle

_NONE = (
    "No feed of the herd has a dose and its minerals yet. Entered in the workbook's sheet Feeds, they are summed here "
    "and held against the ceilings."
)
_SAID = {REFUSED: "over the ceiling: take one away", WARNED: "close to the ceiling"}


class SourcesOfDay(QWidget):
    """Sources to tick, and what the ticked ones come to."""

    def __init__(self) -> None:
        super().__init__()
        self.boxes: dict[int, QCheckBox] = {}
        self._a: Assessment | None = None
        self.grass = QCheckBox("at grass, magnesium as cover")
        self.grass.setProperty("pt", "12")
        self.hint = label("", 11, 400, "second", wrap=True)
        self.sums = [label("", 12, 500, wrap=True) for _ in range(4)]
        self.also = label("", 12, 600, "thin", wrap=True)
        self._list = QVBoxLayout()
        self._list.setSpacing(0)
        self.setLayout(
            column(
                label("All she gets in a day", 14, 700),
                self.hint,
                self._list,
                self.grass,
                *self.sums,
                self.also,
                spacing=4,
            )
        )
        self.grass.toggled.connect(self._show_sums)

    def show_feeds(self, a: Assessment) -> None:
        """Offer the sources of a herd."""
        self._a = a
        feeds = a.snapshot.feeds
        told = np.isfinite(feeds.cu) | np.isfinite(feeds.se) | np.isfinite(feeds.i) | np.isfinite(feeds.mg)
        rows = np.flatnonzero(told & np.isfinite(feeds.dose) & np.isfinite(feeds.dm)).tolist()
        names = [f"{feeds.feed[row]}, {feeds.dose[row]:g} g" for row in rows]
        if [box.text() for box in self.boxes.values()] != names:
            for box in self.boxes.values():
                self._list.removeWidget(box)
                box.hide()
                box.deleteLater()
            self.boxes = {row: QCheckBox(name) for row, name in zip(rows, names, strict=True)}
            for box in self.boxes.values():
                box.setProperty("pt", "12")
                box.toggled.connect(self._show_sums)
                self._list.addWidget(box)
        self._show_sums()

    def _show_sums(self) -> None:
        a = self._a
        assert a is not None
        self.hint.setText("Tick what the cows get together; the sum counts." if self.boxes else _NONE)
        self.grass.setVisible(bool(self.boxes))
        chosen = [source_of_feed(a.snapshot, row) for row, box in self.boxes.items() if box.isChecked()]
        made = sums_of_day(chosen, a.rulebook.minerals, at_grass=self.grass.isChecked()) if chosen else ()
        for place, line in enumerate(self.sums):
            line.setVisible(place < len(made))
            if place < len(made):
                line.setText(_line(made[place]))
                restyle(line, "tone", {REFUSED: "thin", WARNED: "hold"}.get(made[place].standing, ""))
        both = whole_sources(chosen)
        self.also.setText(f"Never two complete minerals together: {' and '.join(both)}." if both else "")
        self.also.setVisible(bool(both))


def _line(one: ElementSum) -> str:
    """One element in words."""
    said = _SAID.get(one.standing, "below the ceiling")
    missing = f"; not counted, no figure: {', '.join(one.not_counted)}" if one.not_counted else ""
    unit, by = ("g", 1000.0) if one.ceiling >= 10_000 else ("mg", 1.0)
    amount = f"{one.mg / by:.3g} of {one.ceiling / by:.3g} {unit}"
    return f"{one.element.capitalize()}: {amount}, {one.share * 100:.0f} %, {said}{missing}."
