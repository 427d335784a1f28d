"""Words put on a chart beside what they name: each takes the first place where it covers nothing, or stays away."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter

_PAD = 2.0
_LATER = 15.0  # px


@dataclass(frozen=True)
class Spot:
    """A place to try: a point, and which part of the box lies on it (0 left or top, 1 right or bottom)."""

    at: QPointF
    across: float = 0.0
    down: float = 0.5


@dataclass(frozen=True)
class PlacedLabel:
    """Words that found a place, and their box in px."""

    words: str
    box: QRectF


class ChartLabels:
    """Keeps what is taken on a chart and draws words where there is room."""

    def __init__(self, painter: QPainter, bounds: QRectF, ground: QColor) -> None:
        self._painter = painter
        self._bounds = bounds
        self._ground = ground
        self._taken: list[QRectF] = []
        self.placed: list[PlacedLabel] = []

    def keep_clear(self, boxes: Iterable[QRectF]) -> None:
        """Let no words cover these boxes."""
        self._taken.extend(boxes)

    def keep_clear_line(self, points: Sequence[QPointF], half_px: float = 3.0) -> None:
        """Let no words cover a line, given by its points."""
        for start, end in pairwise(points):
            steps = max(1, int(max(abs(end.x() - start.x()), abs(end.y() - start.y())) / 6))
            for step in range(steps + 1):
                at = start + (end - start) * (step / steps)
                self._taken.append(QRectF(at.x() - half_px, at.y() - half_px, 2 * half_px, 2 * half_px))

    def put(self, words: str, font: QFont, colour: QColor, spots: Sequence[Spot], *, must: bool = False) -> bool:
        """Write words at the first free spot. With `must` lines may be covered, on a ground, but never other words."""
        size = self._size(words, font)
        boxes = [
            QRectF(spot.at.x() - spot.across * size.width(), spot.at.y() - spot.down * size.height(), *_sides(size))
            for spot in spots
        ]
        inside = [box for box in boxes if self._bounds.contains(box)]
        for box in inside:
            if not any(box.intersects(taken) for taken in self._taken):
                self._write(words, font, colour, box, grounded=False)
                return True
        free = [box for box in inside if not any(box.intersects(label.box) for label in self.placed)] if must else []
        if not free:
            return False
        # The earlier spots are the better ones: a later one is taken only where it covers much less.
        cost = [self._covered(box) + _LATER * place for place, box in enumerate(free)]
        self._write(words, font, colour, free[cost.index(min(cost))], grounded=True)
        return True

    def _covered(self, box: QRectF) -> float:
        """Px of what is drawn already that words in a box would lie over."""
        parts = [box.intersected(taken) for taken in self._taken if box.intersects(taken)]
        return sum(part.width() * part.height() for part in parts)

    def _size(self, words: str, font: QFont) -> QRectF:
        metrics = QFontMetricsF(font)
        lines = words.split("\n")
        width = max(metrics.horizontalAdvance(line) for line in lines)
        return QRectF(0, 0, width + 2 * _PAD, metrics.lineSpacing() * len(lines))

    def _write(self, words: str, font: QFont, colour: QColor, box: QRectF, *, grounded: bool) -> None:
        painter = self._painter
        if grounded:
            ground = QColor(self._ground)
            ground.setAlphaF(0.85)
            painter.fillRect(box, ground)
        painter.setFont(font)
        painter.setPen(colour)
        painter.drawText(box.adjusted(_PAD, 0, 0, 0), Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, words)
        self._taken.append(box)
        self.placed.append(PlacedLabel(words, box))


def _sides(box: QRectF) -> tuple[float, float]:
    return box.width(), box.height()
