"""The layers of the runway from the ground to the marks, as items of a plot; pyqtgraph is brought along when drawn."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsPolygonItem

from herdscore.parts.marks import BACK_TO_FRONT, MARKS, mark_brush, mark_pen
from herdscore.parts.runway_picture import Flags, RunwayPicture
from herdscore.parts.theme import Theme

RIGHT = 3.0
"""Days seen after the calving date."""
FADED = 0.2
Corners = Sequence[tuple[float, float]]


def draw_ground(plot: Any, theme: Theme, picture: RunwayPicture) -> None:
    """Sunken tone, room for a gentle change, the last days before the edge, target band."""
    left, top, foot, band = picture.left, picture.top, picture.foot, picture.band
    far, lead = -float(picture.furthest_days), -float(picture.lead_days)
    _area(plot, [(left, foot), (RIGHT, foot), (RIGHT, top), (left, top)], theme["sunk"], -9)
    if len(picture.edge_days):
        across = -picture.edge_days
        low = list(zip(across, np.clip(picture.edge_thin, foot, -band), strict=True))
        high = list(zip(across, np.clip(picture.edge_fat, band, top), strict=True))
        _area(plot, [*low, *reversed(high)], theme["surface"], -8)
        for edge, role, rim in ((low, "thin_tint", -band), (high, "fat_tint", band)):
            _area(plot, _strip(edge, picture.soon_days, far, lead, rim), theme[role], -7)
    else:
        _area(plot, [(far, foot), (lead, foot), (lead, top), (far, top)], theme["surface"], -8)
    _area(plot, [(far, -band), (RIGHT, -band), (RIGHT, band), (far, band)], theme.faded("band", 0.13), -6)


def _strip(edge: Corners, days: int, far: float, lead: float, rim: float) -> list[tuple[float, float]]:
    """What a cow crosses in the last days before the edge: the edge, and the same moved back by those days."""
    moved = [(x - days, y) for x, y in edge if x - days >= far]
    return [*edge, (lead, rim), (lead - days, rim), *reversed(moved)]


def draw_lines(plot: Any, theme: Theme, picture: RunwayPicture) -> None:
    """Target line, edge, the days from which she is fed to need only, calving, and where the margin ends."""
    far, lead, freeze = (-float(day) for day in (picture.furthest_days, picture.lead_days, picture.freeze_days))
    whole = [picture.foot, picture.top]
    _line(plot, [far, RIGHT], [0, 0], QPen(theme.faded("band", 0.8), 1), -4)
    _line(plot, [far, far], whole, QPen(theme["edge"], 1), -4)
    _line(plot, [freeze, freeze], whole, QPen(theme["edge"], 1.5, Qt.PenStyle.DashLine), -4)
    _line(plot, [0, 0], whole, QPen(theme["ink"], 3), -3)
    for edge, rim in ((picture.edge_thin, -picture.band), (picture.edge_fat, picture.band)):
        if len(edge):
            # Outside the picture the edge is not drawn along the rim, but leaves it where it crosses.
            y = np.where((edge < picture.foot) | (edge > picture.top), np.nan, edge)
            across = np.append(-picture.edge_days, lead)
            _line(plot, across, np.append(y, rim), QPen(theme["ink"], 3), -3)


def draw_cows(plot: Any, theme: Theme, picture: RunwayPicture) -> dict[str, Any]:
    """Tails and marks, worst on top, one item a verdict, by the name of the mark; faded ones end in "faded"."""
    for keep, strength in ((~picture.kept, FADED), (picture.kept, 1.0)):
        _tails(plot, theme, picture, keep & np.isfinite(picture.tail), strength)
    made = {}
    for height, name in enumerate(BACK_TO_FRONT):
        mine = picture.mark == height
        for keep, strength in ((~picture.kept & mine, FADED), (picture.kept & mine, 1.0)):
            if keep.any() and name != "none":
                item = _marks(theme, picture, name, keep)
                item.setOpacity(strength)
                item.setZValue(5 + height / 10 + (2 if strength == 1.0 else 0))
                plot.addItem(item)
                made[name if strength == 1.0 else f"{name} faded"] = item
    return made


def _marks(theme: Theme, picture: RunwayPicture, name: str, keep: Flags) -> Any:
    import pyqtgraph

    # hoverable would look at every cow with each move of the mouse.
    return pyqtgraph.ScatterPlotItem(
        picture.across[keep],
        picture.up[keep],
        symbol=MARKS[name].shape,
        size=MARKS[name].px,
        pen=_cosmetic(mark_pen(theme, name)),
        brush=mark_brush(theme, name),
        hoverable=False,
    )


def _tails(plot: Any, theme: Theme, picture: RunwayPicture, keep: Flags, strength: float) -> None:
    import pyqtgraph

    if not keep.any():
        return
    across = np.repeat(picture.across[keep], 2)
    up = np.column_stack([np.clip(picture.tail[keep], picture.foot, picture.top), picture.up[keep]]).ravel()
    item = pyqtgraph.PlotCurveItem(across, up, pen=_cosmetic(QPen(theme["hold"], 2)), connect="pairs")
    item.setOpacity(strength)
    item.setZValue(3)
    plot.addItem(item)


def axis_ticks(first: float, last: float, px_a_day: float, label_px: float) -> list[int]:
    """Days to calving with a tick, each as wide apart as its words need: every 14th, or every 7th, 2nd or day."""
    step = next((n for n in (1, 2, 7, 14, 28, 56) if n * px_a_day >= label_px), 56)
    lowest, highest = max(0, int(np.ceil(-last))), int(np.floor(-first))
    return [day for day in range(0, highest + 1, step) if day >= lowest]


def gap_ticks(picture: RunwayPicture, px_a_score: float, label_px: float) -> list[tuple[float, str]]:
    """Gaps with a tick and their words, a quarter apart where there is room."""
    step = next((s for s in (0.25, 0.5, 1.0) if s * px_a_score >= label_px), 1.0)
    steps = int(max(picture.top, -picture.foot) / step)
    gaps = [step * k for k in range(-steps, steps + 1) if picture.foot + 0.05 < step * k < picture.top - 0.05]
    return [(gap, "target" if gap == 0 else f"{'+' if gap > 0 else chr(0x2212)}{abs(gap):g}") for gap in gaps]


def _area(plot: Any, corners: Iterable[tuple[float, float]], colour: QColor, height: float) -> None:
    item = QGraphicsPolygonItem(QPolygonF([QPointF(x, y) for x, y in corners]))
    item.setBrush(colour)
    item.setPen(QPen(Qt.PenStyle.NoPen))
    item.setZValue(height)
    plot.addItem(item, ignoreBounds=True)


def _line(plot: Any, x: Any, y: Any, pen: QPen, height: float) -> None:
    import pyqtgraph

    item = pyqtgraph.PlotCurveItem(
        np.asarray(x, dtype=float), np.asarray(y, dtype=float), pen=_cosmetic(pen), connect="finite"
    )
    item.setZValue(height)
    plot.addItem(item, ignoreBounds=True)


def _cosmetic(pen: QPen) -> QPen:
    """A pen whose width is px, whatever the plot is scaled to."""
    pen.setCosmetic(True)
    return pen
