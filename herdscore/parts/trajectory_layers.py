"""The layers of the chart of one cow, from the ribbon at its foot to the mark at calving."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from itertools import pairwise

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF

from herdscore.parts.chart_frame import HIGHEST, LOWEST, Frame, Measures
from herdscore.parts.cow_picture import CowPicture
from herdscore.parts.marks import mark_hue
from herdscore.parts.theme import Theme

Points = list[QPointF]
SITE_PX = 11.0


def projection_hue(picture: CowPicture) -> str:
    """Colour role of the way ahead: that of the verdict, ink where there is none."""
    return "ink" if picture.mark == "none" else mark_hue(picture.mark)


def line_points(frame: Frame, days: Sequence[date], scores: Sequence[float]) -> Points:
    """Points of a line of scores, kept on the scale; missing scores are left out."""
    pairs = zip(days, scores, strict=True)
    return [frame.point(day, min(max(score, LOWEST), HIGHEST)) for day, score in pairs if math.isfinite(score)]


def height_on(points: Points, x: float) -> float | None:
    """Px down of a line at a px across, if the line reaches there."""
    for start, end in pairwise(points):
        if start.x() <= x <= end.x():
            part = 0.0 if end.x() == start.x() else (x - start.x()) / (end.x() - start.x())
            return start.y() + part * (end.y() - start.y())
    return None


def paint_ribbon(painter: QPainter, theme: Theme, frame: Frame, picture: CowPicture, sizes: Measures) -> list[QRectF]:
    """The phases of time: a change may begin, see it through, need only; boxes of the words."""
    begin, need = picture.begin_until, picture.need_only_from
    if picture.calving is None or begin is None or need is None:
        return []
    ends = [frame.plot.left(), frame.x(begin), frame.x(need), frame.plot.right()]
    phases = (
        ("ok_tint", ("a change may begin", "may begin", "begin")),
        ("sunk", ("see it through", "through")),
        ("hold_tint", ("need only", "need")),
    )
    font = theme.font(sizes.label_points, 500)
    metrics = QFontMetricsF(font)
    painter.setFont(font)
    boxes = []
    for (role, words), start, end in zip(phases, ends, ends[1:], strict=False):
        left, right = max(start, frame.plot.left()), min(end, frame.plot.right())
        if right - left < 1:
            continue
        part = QRectF(left, frame.ribbon.top(), right - left, frame.ribbon.height())
        painter.fillRect(part.adjusted(0, 0, -1, 0), theme[role])
        said = next((one for one in words if metrics.horizontalAdvance(one) + 10 <= part.width()), "")
        if said and metrics.height() <= part.height() + 2:
            painter.setPen(theme["ink"])
            painter.drawText(part, Qt.AlignmentFlag.AlignCenter, said)
            boxes.append(part)
    return boxes


def paint_diets(painter: QPainter, theme: Theme, frame: Frame, picture: CowPicture, sizes: Measures) -> None:
    """What she was, is and is assumed to be fed: told ones filled, assumed ones hatched, what nobody told left open."""
    if not frame.diets.height():
        return
    font = theme.font(sizes.label_points, 500)
    metrics = QFontMetricsF(font)
    painter.setFont(font)
    for stretch in picture.diets:
        left, right = max(frame.x(stretch.first), frame.plot.left()), min(frame.x(stretch.last), frame.plot.right())
        box = QRectF(left, frame.diets.top() + 1, right - left - 1, frame.diets.height() - 2)
        if box.width() < 2:
            continue
        if stretch.told and not stretch.assumed:
            painter.fillRect(box, theme[f"{stretch.hue}_tint" if stretch.hue else "sunk"])
        else:
            if stretch.assumed:
                painter.fillRect(box, QBrush(theme["line"], Qt.BrushStyle.BDiagPattern))
            painter.setPen(_dashed(theme["edge"], 1.0, (4, 3)))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
        ways = [stretch.words, stretch.words.split(",")[0]]
        said = next((one for one in ways if metrics.horizontalAdvance(one) + 8 <= box.width()), "")
        if said:
            if stretch.assumed:
                wide = metrics.horizontalAdvance(said) + 8
                ground = QRectF(box.center().x() - wide / 2, box.top() + 1, wide, box.height() - 2)
                painter.fillRect(ground, theme["surface"])
            painter.setPen(theme["ink" if stretch.told else "ink_second"])
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, said)


def paint_last_season(painter: QPainter, theme: Theme, frame: Frame, picture: CowPicture) -> list[QRectF]:
    """Her scores before her last calving, laid beneath as open dots on a thin line; their boxes."""
    points = line_points(frame, [one.day for one in picture.last_season], [one.value for one in picture.last_season])
    if len(points) > 1:
        painter.setPen(QPen(theme["ink_second"], 1.2))
        painter.drawPolyline(points)
    painter.setPen(QPen(theme["ink_second"], 1.6))
    painter.setBrush(theme["surface"])
    for at in points:
        painter.drawEllipse(at, 4.5, 4.5)
    return [QRectF(at.x() - 6, at.y() - 6, 12, 12) for at in points]


def paint_sites(painter: QPainter, theme: Theme, frame: Frame, picture: CowPicture) -> None:
    """The sites of each score, from left to right loin, ribs and tailhead, as open dots about it."""
    painter.setPen(QPen(theme["ink"], 1.4))
    painter.setBrush(theme["surface"])
    for score in picture.scores:
        if score.day.toordinal() >= frame.first:
            for place, felt in enumerate(score.sites):
                if felt is not None:
                    painter.drawEllipse(frame.point(score.day, felt) + QPointF((place - 1) * SITE_PX, 0), 3.5, 3.5)


def gate_box(frame: Frame, picture: CowPicture) -> QRectF | None:
    """The gate at calving: target band by calving date and its spread."""
    if picture.calving is None or picture.band_low is None or picture.band_high is None:
        return None
    half = max(picture.spread_days * frame.px_a_day, 4.0)
    middle = frame.x(picture.calving)
    top, bottom = frame.y(picture.band_high), frame.y(picture.band_low)
    left, right = round(middle - half), round(middle + half)
    return QRectF(left, round(top), right - left, round(bottom) - round(top))


def paint_band(painter: QPainter, theme: Theme, frame: Frame, picture: CowPicture) -> None:
    """The edges of the target band up to the gate; the band alone, all across, without a calving date."""
    if picture.band_low is None or picture.band_high is None:
        return
    gate = gate_box(frame, picture)
    right = frame.plot.right() if gate is None else gate.left()
    if gate is None:
        top = frame.y(picture.band_high)
        tint = QRectF(frame.plot.left(), top, frame.plot.width(), frame.y(picture.band_low) - top)
        painter.fillRect(tint, theme.faded("band", 0.13))
    painter.setPen(_dashed(theme.faded("band", 0.7), 1.0, (4, 3)))
    for edge in (picture.band_low, picture.band_high):
        y = round(frame.y(edge)) + 0.5
        painter.drawLine(QLineF(frame.plot.left(), y, right, y))


def paint_gate(painter: QPainter, theme: Theme, frame: Frame, picture: CowPicture) -> QRectF | None:
    """The gate itself, over fan and interval."""
    gate = gate_box(frame, picture)
    if gate is not None:
        painter.setPen(QPen(theme["band"], 2))
        painter.setBrush(theme.faded("band", 0.28))
        painter.drawRect(gate)
    return gate


def fan_edges(frame: Frame, picture: CowPicture) -> tuple[Points, Points, Points, Points]:
    """Upper and lower edge while feed can move her, then upper and lower while she is fed to need only."""
    fan = picture.fan
    if fan is None or picture.now is None or picture.calving is None:
        return [], [], [], []
    today, level = float(picture.today.toordinal()), float(fan.level_from.toordinal())
    end = picture.calving.toordinal() + picture.spread_days
    held = end if picture.need_only_from is None else float(picture.need_only_from.toordinal())
    level, held = max(level, today), max(held, today)
    made = []
    for edge in (fan.high, fan.low):
        made.append([frame.point(today, picture.now), frame.point(level, edge), frame.point(held, edge)])
    for edge in (fan.high, fan.low):
        made.append([frame.point(held, edge), frame.point(max(end, held), edge)])
    return made[0], made[1], made[2], made[3]


def paint_fan(painter: QPainter, theme: Theme, frame: Frame, picture: CowPicture) -> None:
    """What gentle feeding still reaches: filled while a ration can move her, held (dotted) while fed to need only."""
    high, low, high_held, low_held = fan_edges(frame, picture)
    if not high:
        return
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme.faded("reach", 0.10))
    painter.drawPolygon(QPolygonF([*high, *reversed(low)]))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(theme.faded("reach", 0.85), 1.5))
    painter.drawPolyline(high)
    painter.drawPolyline(low)
    painter.setPen(_dashed(theme.faded("reach", 0.85), 1.5, (1, 2.5)))
    painter.drawPolyline(high_held)
    painter.drawPolyline(low_held)


def paint_interval(painter: QPainter, theme: Theme, frame: Frame, picture: CowPicture) -> None:
    """Where nine in ten cows like her would be."""
    upper = line_points(frame, picture.ahead_days, picture.ahead_high) if picture.ahead_high else []
    lower = line_points(frame, picture.ahead_days, picture.ahead_low) if picture.ahead_low else []
    if len(upper) > 1 and len(lower) > 1:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.faded(projection_hue(picture), 0.16))
        painter.drawPolygon(QPolygonF([*upper, *reversed(lower)]))


def paint_bell(painter: QPainter, theme: Theme, frame: Frame, picture: CowPicture, sizes: Measures) -> QRectF | None:
    """How sure the calving date is: a bell standing on the ribbon."""
    if picture.calving is None or picture.spread_days <= 0:
        return None
    middle, base = frame.x(picture.calving), frame.ribbon.top()
    wide = picture.spread_days * frame.px_a_day
    points = [
        QPointF(middle + z / 10 * wide, base - sizes.bell * math.exp(-0.5 * (z / 10) ** 2)) for z in range(-30, 31)
    ]
    points = [point for point in points if frame.plot.left() <= point.x() <= frame.plot.right()]
    if len(points) < 2:
        return None
    hill = QPainterPath(QPointF(points[0].x(), base))
    for point in points:
        hill.lineTo(point)
    hill.lineTo(points[-1].x(), base)
    painter.fillPath(hill, theme.faded("ink_second", 0.25))
    painter.setPen(QPen(theme["ink_second"], 1))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(points)
    return QRectF(points[0].x(), base - sizes.bell, points[-1].x() - points[0].x(), sizes.bell)


def paint_upright(painter: QPainter, theme: Theme, frame: Frame, day: date, role: str, px: float) -> QRectF | None:
    """A line across all scores on one day, dotted when it is thin; its box."""
    x = frame.x(day)
    if not frame.plot.left() <= x <= frame.plot.right():
        return None
    x = round(x) + 0.5
    painter.setPen(_dashed(theme[role], 1.0, (1, 2)) if px <= 1 else QPen(theme[role], px))
    painter.drawLine(QLineF(x, frame.plot.top(), x, frame.plot.bottom()))
    return QRectF(x - px / 2 - 1, frame.plot.top(), px + 2, frame.plot.height())


def paint_bend(painter: QPainter, theme: Theme, frame: Frame, at: QPointF, hue: str, *, assumed: bool) -> None:
    """Where the diet turns the line: a dotted drop to the ribbon, an open diamond when only assumed."""
    painter.setPen(_dashed(theme["ink_second"], 1.0, (1, 2)))
    painter.drawLine(QLineF(at.x(), at.y(), at.x(), frame.plot.bottom()))
    if assumed:
        painter.setPen(QPen(theme[hue], 2))
        painter.setBrush(theme["surface"])
        half = 5.0
        painter.drawPolygon(
            [at + QPointF(0, -half), at + QPointF(half, 0), at + QPointF(0, half), at - QPointF(half, 0)]
        )


def paint_line(painter: QPainter, colour: QColor, points: Points, px: float, *, dashed: bool = False) -> None:
    """A line of scores: solid where it is measured, broken where it is expected."""
    if len(points) < 2:
        return
    pen = _dashed(colour, px, (3.2, 1.8)) if dashed else QPen(colour, px)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(points)


def paint_scores(painter: QPainter, theme: Theme, frame: Frame, picture: CowPicture, dot_px: float) -> list[QRectF]:
    """Scores as dots with bars; their boxes."""
    boxes = []
    for score in picture.scores:
        if score.day.toordinal() < frame.first:
            continue
        at = frame.point(score.day, score.value)
        top = frame.y(min(score.value + score.half_width, HIGHEST))
        bottom = frame.y(max(score.value - score.half_width, LOWEST))
        painter.setPen(QPen(theme["ink"], 2))
        painter.drawLine(QLineF(at.x(), top, at.x(), bottom))
        for end in (top, bottom):
            painter.drawLine(QLineF(at.x() - dot_px * 0.7, end, at.x() + dot_px * 0.7, end))
        painter.setPen(QPen(theme["surface"], 2))
        painter.setBrush(theme["ink"])
        painter.drawEllipse(at, dot_px, dot_px)
        boxes.append(QRectF(at.x() - 7, top - 2, 14, bottom - top + 4))
    return boxes


def _dashed(colour: QColor, px: float, pattern: tuple[float, float]) -> QPen:
    pen = QPen(colour, px)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setDashPattern(list(pattern))
    return pen
