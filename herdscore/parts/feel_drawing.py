"""What the hand meets at one site and score: bone ends under their cover, computed, not a picture file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from herdscore.parts.theme import Look

_FULL_PX = 170.0  # height the measures below are drawn for
_GROUND_PX = 34.0


@dataclass(frozen=True)
class _Bones:
    """Where the bone ends stand (parts of the width) and how they look, px at full height."""

    across: tuple[float, ...]
    width: float
    height: float
    dip: float  # depth of the hollow between two bone ends at score 1
    fills: float  # what a whole score takes off that depth


SITES: Mapping[str, _Bones] = {
    "loin": _Bones((0.10, 0.30, 0.50, 0.70, 0.90), 22, 46, 40, 14),
    "ribs": _Bones((0.07, 0.21, 0.36, 0.50, 0.64, 0.79, 0.93), 15, 40, 34, 12),
    "tailhead": _Bones((0.12, 0.50, 0.88), 34, 60, 62, 19),
}


class FeelDrawing(QWidget):
    """Bone ends under a cover line, thicker and flatter with the score."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._site = "loin"
        self._score: float | None = None
        self.setMinimumSize(140, 56)

    def show_feel(self, site: str, score: float | None) -> None:
        """Draw a site (loin, ribs, tailhead) at a score; None draws the bones without a cover."""
        self._site, self._score = site, score
        at = "" if score is None else f" at {score:g}"
        self.setAccessibleName(f"What the hand feels: {site}{at}")
        self.update()

    @override
    def sizeHint(self) -> QSize:
        return QSize(230, 110)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        width = float(self.width())
        height = min(float(self.height()), width * 0.62)
        scale = height / _FULL_PX
        top = (self.height() - height) / 2
        ground = top + height - _GROUND_PX * scale
        bones = SITES[self._site]
        score = 1.0 if self._score is None else self._score
        x, skin = skin_line(bones, score, width, ground, scale, covered=self._score is not None)
        self._paint_body(painter, bones, x, skin, ground, scale)
        painter.end()

    def _paint_body(
        self,
        painter: QPainter,
        bones: _Bones,
        x: NDArray[np.float64],
        skin: NDArray[np.float64],
        ground: float,
        scale: float,
    ) -> None:
        theme = self._look.theme
        line = [QPointF(across, down) for across, down in zip(x.tolist(), skin.tolist(), strict=True)]
        foot = ground + 26 * scale
        body = QPainterPath()
        body.addPolygon(QPolygonF([*line, QPointF(float(x[-1]), foot), QPointF(float(x[0]), foot)]))
        body.closeSubpath()
        painter.fillPath(body, theme["sunk"])
        painter.setClipPath(body)
        painter.setPen(QPen(theme["edge"], 2))
        painter.setBrush(theme["surface"])
        wide, tall = bones.width * scale, bones.height * scale
        for part in bones.across:
            left = float(x[0]) + part * float(x[-1] - x[0]) - wide / 2
            painter.drawRoundedRect(QRectF(left, ground - tall, wide, tall + wide + 60), wide / 2, wide / 2)
        painter.setClipping(False)
        if self._score is None:
            return
        pen = QPen(theme["ink"], 3.5)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(line)


def skin_line(
    bones: _Bones, score: float, width: float, ground: float, scale: float, *, covered: bool = True
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The line of the skin: px across and down, 240 points."""
    x = np.linspace(4.0, width - 4.0, 240)
    at = 4.0 + np.array(bones.across) * (width - 8.0)
    cover = (6.0 + 11.0 * (score - 1.0)) * scale if covered else 0.0
    dip = max(0.0, bones.dip - bones.fills * (score - 1.0)) * scale
    gap = float(np.diff(at).min()) / 2
    flat = 0.6 * bones.width * scale / 2 / gap
    away = np.clip(np.abs(x[:, None] - at[None, :]).min(axis=1) / gap, 0.0, 1.0)
    between = np.clip((away - flat) / (1.0 - flat), 0.0, 1.0)
    return x, ground - bones.height * scale - cover + dip * (1.0 - np.cos(np.pi * between)) / 2
