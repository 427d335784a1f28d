"""Draws the chart of one cow into a box: layers first, then words where they cover nothing."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from herdscore.parts import trajectory_layers as layers
from herdscore.parts.chart_frame import (
    Frame,
    Measures,
    day_words,
    fit_frame,
    measures_for,
    paint_days_axis,
    paint_scores_axis,
)
from herdscore.parts.chart_labels import ChartLabels, PlacedLabel, Spot
from herdscore.parts.cow_picture import CowPicture
from herdscore.parts.marks import MARKS, paint_mark
from herdscore.parts.theme import Theme

_GAP = 5.0
_EVENT_PX = 7.0


class _Drawing:
    """One painting of one picture: what is drawn first is kept clear of words, which come last."""

    def __init__(self, painter: QPainter, rect: QRectF, theme: Theme, picture: CowPicture, *, mini: bool) -> None:
        self.painter, self.theme, self.picture, self.mini = painter, theme, picture, mini
        self.rect = rect
        self.sizes: Measures = measures_for(rect, mini)
        self.frame: Frame = fit_frame(picture, rect, theme, self.sizes)
        self.labels = ChartLabels(painter, self.frame.plot.adjusted(0, 0, 4, 0), theme["surface"])
        self.hue = layers.projection_hue(picture)
        self.past = layers.line_points(self.frame, picture.past_days, picture.past)
        self.ahead = layers.line_points(self.frame, picture.ahead_days, picture.ahead)

    def paint(self) -> None:
        painter, theme, frame, picture = self.painter, self.theme, self.frame, self.picture
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint_scores_axis(painter, theme, frame, self.sizes)
        layers.paint_ribbon(painter, theme, frame, picture, self.sizes)
        layers.paint_diets(painter, theme, frame, picture, self.sizes)
        paint_days_axis(painter, theme, frame, self.rect, self.sizes)
        painter.save()
        painter.setClipRect(frame.plot)
        layers.paint_band(painter, theme, frame, picture)
        layers.paint_fan(painter, theme, frame, picture)
        layers.paint_interval(painter, theme, frame, picture)
        gate = layers.paint_gate(painter, theme, frame, picture)
        bell = layers.paint_bell(painter, theme, frame, picture, self.sizes)
        self._paint_uprights()
        bends = self._paint_bends()
        events = self._paint_events()
        last = layers.paint_last_season(painter, theme, frame, picture)
        painter.restore()
        layers.paint_line(painter, theme[self.hue], self.ahead, 3, dashed=True)
        layers.paint_line(painter, theme["ink"], self.past, 2)
        if picture.with_sites:
            layers.paint_sites(painter, theme, frame, picture)
        dots = layers.paint_scores(painter, theme, frame, picture, self.sizes.dot)
        end = self._paint_mark()
        self._keep_clear([*dots, *([gate] if gate else []), *([bell] if bell else []), *([end] if end else [])])
        self._write_words(gate, bell, bends, dots, end)
        if not self.mini:
            self._write_past(events, last)
        painter.restore()

    def _paint_uprights(self) -> None:
        picture = self.picture
        uprights = [(picture.today, "ink_second", 1.0)]
        if picture.need_only_from is not None and picture.calving is not None:
            uprights.append((picture.need_only_from, "ink", 1.5))
        if picture.act_by is not None:
            uprights.append((picture.act_by, "ink", 2.5))
        for day, role, px in uprights:
            box = layers.paint_upright(self.painter, self.theme, self.frame, day, role, px)
            self.labels.keep_clear([box] if box else [])

    def _paint_bends(self) -> list[tuple[QPointF, str, bool]]:
        """Draw the turns of the line; where each is and what it is called."""
        found = []
        for bend in self.picture.bends:
            x = self.frame.x(bend.day)
            if not self.frame.plot.left() <= x <= self.frame.plot.right():
                continue
            y = layers.height_on(self.past, x) or layers.height_on(self.ahead, x)
            at = QPointF(x, self.frame.plot.bottom() - self.sizes.above_ribbon if y is None else y)
            if not (self.mini and not bend.assumed):
                layers.paint_bend(self.painter, self.theme, self.frame, at, self.hue, assumed=bend.assumed)
            words = f"{bend.words} {day_words(bend.day)}" + ("\nassumed" if bend.assumed else "")
            found.append((at, words, bend.assumed))
        return found

    def _paint_events(self) -> list[tuple[QPointF, str]]:
        """A short stroke up from the ribbon on the day of each; where it ends and what it is."""
        found = []
        for event in self.picture.events:
            x = self.frame.x(event.day)
            if self.mini or not self.frame.plot.left() <= x <= self.frame.plot.right():
                continue
            foot = self.frame.plot.bottom()
            self.painter.setPen(QPen(self.theme["ink_second"], 2))
            self.painter.drawLine(QLineF(x, foot, x, foot - _EVENT_PX))
            found.append((QPointF(x, foot - _EVENT_PX), event.words))
            self.labels.keep_clear([QRectF(x - 2, foot - _EVENT_PX, 4, _EVENT_PX)])
        return found

    def _write_past(self, events: list[tuple[QPointF, str]], last: list[QRectF]) -> None:
        """Weighings and calvings at the foot, and what the dots of last season and of the sites are."""
        font, quiet = self.theme.font(self.sizes.label_points, 500), self.theme["ink_second"]
        for at, words in events:
            spots = [
                Spot(at + QPointF(dx, dy), across, 1.0) for dy in (0, -17) for dx, across in ((0, 0.5), (4, 0), (-4, 1))
            ]
            self.labels.put(words, font, quiet, spots)
        self.labels.keep_clear(last)
        if last and self.picture.last_words:
            spots = [
                Spot(QPointF(box.center().x() + dx, box.center().y() + dy), across, 0.5)
                for box in (last[-1], last[0], *last[1:-1])
                for dx, dy, across in ((0, -14, 0.5), (0, 15, 0.5), (9, 0, 0.0), (-9, 0, 1.0))
            ]
            self.labels.put(self.picture.last_words, font, quiet, spots, must=True)
        if self.picture.with_sites and self.picture.scores:
            plot = self.frame.plot
            spots = [Spot(QPointF(plot.left() + 6, plot.top() + 2 + step * 18), 0, 0) for step in range(5)]
            self.labels.put("open dots: loin, ribs, tailhead", font, quiet, spots, must=True)

    def _paint_mark(self) -> QRectF | None:
        picture = self.picture
        if picture.projected is None or picture.calving is None:
            return None
        at = self.frame.point(max(picture.calving, picture.today), picture.projected)
        mark = "dot" if picture.mark == "none" else picture.mark
        px = MARKS[mark].px + self.sizes.mark_more
        self.painter.setPen(Qt.PenStyle.NoPen)
        paint_mark(self.painter, self.theme, mark, at, px)
        return QRectF(at.x() - px / 2 - 1, at.y() - px / 2 - 1, px + 2, px + 2)

    def _keep_clear(self, boxes: list[QRectF]) -> None:
        self.labels.keep_clear(boxes)
        for line in (self.past, self.ahead, *layers.fan_edges(self.frame, self.picture)):
            self.labels.keep_clear_line(line)

    def _write_words(
        self,
        gate: QRectF | None,
        bell: QRectF | None,
        bends: list[tuple[QPointF, str, bool]],
        dots: list[QRectF],
        end: QRectF | None,
    ) -> None:
        self._write_projected(gate, end)
        self._write_note()
        if self.mini:
            return
        self._write_uprights()
        self._write_target(gate)
        self._write_scores(dots)
        self._write_bends(bends)
        self._write_fan()
        self._write_calving(bell)

    def _write_projected(self, gate: QRectF | None, end: QRectF | None) -> None:
        picture, theme = self.picture, self.theme
        if picture.projected is None or end is None:
            return
        words = f"{picture.projected:.1f}"
        font = theme.font(self.sizes.value_points, 700)
        rights = [end.right() + 3, max(end.right(), gate.right() if gate is not None else 0.0) + 4]
        spots = [Spot(QPointF(x, end.center().y()), 0, down) for x in rights for down in (0.5, 0.0, 1.0)]
        self.labels.put(words, font, theme[self.hue], spots, must=True)

    def _write_note(self) -> None:
        if not self.picture.note:
            return
        plot = self.frame.plot
        font = self.theme.font(12, 600)
        top, foot = plot.top() + 2, plot.bottom() - 3
        spots = [
            Spot(QPointF(plot.left() + 6, top), 0, 0),
            Spot(QPointF(plot.right() - 4, top), 1, 0),
            Spot(QPointF(plot.left() + 6, foot), 0, 1),
            Spot(QPointF(plot.right() - 4, foot), 1, 1),
            Spot(QPointF(plot.left() + 6, top + self.sizes.top), 0, 0),
        ]
        for words in _ways_to_say(self.picture.note):
            if self.labels.put(words, font, self.theme["ink"], spots):
                return
        for words in _ways_to_say(self.picture.note):
            if self.labels.put(words, font, self.theme["ink"], spots, must=True):
                return

    def _write_target(self, gate: QRectF | None) -> None:
        picture = self.picture
        if picture.target is None or picture.band_high is None or picture.band_low is None:
            return
        words = picture.target_words or f"target {picture.target:g}"
        if gate is None:
            spots = [Spot(QPointF(self.frame.plot.right() - 4, self.frame.y(picture.band_high) - 2), 1, 1)]
        else:
            spots = [
                Spot(QPointF(gate.center().x(), gate.top() - 3), 0.5, 1),
                Spot(QPointF(gate.right() + 3, gate.top() - 3), 1, 1),
                Spot(QPointF(gate.center().x(), gate.bottom() + 3), 0.5, 0),
                Spot(QPointF(gate.left() - 4, gate.top() - 3), 1, 1),
                Spot(QPointF(gate.left() - 4, gate.center().y()), 1, 0.5),
                Spot(QPointF(gate.right() + 4, gate.center().y()), 0, 0.5),
            ]
        self.labels.put(words, self.theme.font(self.sizes.label_points, 600), self.theme["band"], spots, must=True)

    def _write_uprights(self) -> None:
        picture, theme = self.picture, self.theme
        strong, plain = theme.font(self.sizes.label_points, 600), theme.font(self.sizes.label_points, 500)
        begin_today = picture.act_by == picture.today
        if picture.act_by is not None:
            words = f"{picture.act_words}\n{day_words(picture.act_by)}"
            if begin_today:
                words = f"{picture.act_words.removesuffix(' by')}\ntoday"
            spots = self._beside(self.frame.x(picture.act_by), right_first=True)
            self.labels.put(words, strong, theme["ink"], spots, must=True)
        if not begin_today:
            spots = self._beside(self.frame.x(picture.today), right_first=False)
            self.labels.put("today", plain, theme["ink_second"], spots, must=True)
        if picture.need_only_from is not None and picture.calving is not None:
            spots = self._beside(self.frame.x(picture.need_only_from), right_first=True)
            day = day_words(picture.need_only_from)
            for words, must in (
                (f"need only from\n{day}", False),
                (f"need only\n{day}", False),
                (f"need only\n{day}", True),
            ):
                if self.labels.put(words, plain, theme["ink"], spots, must=must):
                    break

    def _beside(self, x: float, *, right_first: bool) -> list[Spot]:
        sides = [(x + _GAP, 0.0), (x - _GAP, 1.0)]
        if not right_first:
            sides.reverse()
        rows = [self.frame.plot.top() + 1 + step * 18.0 for step in range(8)]
        return [Spot(QPointF(at, row), across, 0.0) for row in rows for at, across in sides]

    def _write_scores(self, dots: list[QRectF]) -> None:
        font = self.theme.font(self.sizes.label_points, 600)
        seen = [score for score in self.picture.scores if score.day.toordinal() >= self.frame.first]
        for score, box in reversed(list(zip(seen, dots, strict=True))):
            at = self.frame.point(score.day, score.value)
            spots = [
                Spot(QPointF(at.x(), box.bottom() + 1), 0.5, 0),
                Spot(QPointF(at.x(), box.top() - 1), 0.5, 1),
                Spot(QPointF(at.x() - 10, box.bottom() - 2), 1, 1),
                Spot(QPointF(at.x() + 10, box.bottom() - 2), 0, 1),
                Spot(QPointF(at.x() - 10, box.top() + 2), 1, 0),
                Spot(QPointF(at.x() + 10, box.top() + 2), 0, 0),
            ]
            self.labels.put(score.words, font, self.theme["ink"], spots)

    def _write_bends(self, bends: list[tuple[QPointF, str, bool]]) -> None:
        font = self.theme.font(self.sizes.label_points, 500)
        for at, words, assumed in bends:
            rows = [self.frame.plot.bottom() - 2 - step * 18.0 for step in range(7)]
            sides = [(at.x() - _GAP, 1.0), (at.x() + _GAP, 0.0)]
            if not assumed:
                sides.reverse()
            spots = [Spot(QPointF(x, row), across, 1.0) for row in rows for x, across in sides]
            self.labels.put(words, font, self.theme["ink_second"], spots)

    def _write_fan(self) -> None:
        high, low, _, _ = layers.fan_edges(self.frame, self.picture)
        if not high or self.picture.fan is None:
            return
        font, colour = self.theme.font(self.sizes.label_points, 500), self.theme["reach"]
        corner, held = high[1], high[2]
        spots = [
            Spot(QPointF(corner.x() - 6, corner.y() - 2), 1, 1),
            Spot(QPointF(held.x() - 6, corner.y() - 4), 1, 1),
            Spot(QPointF(corner.x() + 4, corner.y() + 6), 1, 0),
            Spot(QPointF(corner.x() - 40, corner.y() + 8), 1, 0),
            Spot(QPointF(corner.x() - 6, corner.y() - 30), 1, 1),
        ]
        if not self.labels.put("gentle feeding\nreaches here", font, colour, spots):
            self.labels.put("gentle feeding reaches here", font, colour, spots)
        if not self.picture.fan.slims:
            ends = [low[1], QPointF((low[0].x() + low[1].x()) / 2, (low[0].y() + low[1].y()) / 2), low[2]]
            under = [Spot(at + QPointF(-6, 4), 1, 0) for at in ends] + [Spot(at + QPointF(-6, -4), 1, 1) for at in ends]
            self.labels.put("not slimmed", font, colour, under)

    def _write_calving(self, bell: QRectF | None) -> None:
        picture = self.picture
        if picture.calving is None or bell is None:
            return
        words = f"calves {day_words(picture.calving)}\n± {picture.spread_days:g} days"
        foot = self.frame.plot.bottom() - 2
        font = self.theme.font(self.sizes.label_points, 500)
        spots = [
            Spot(QPointF(bell.right() + 2, foot), 0, 1),
            Spot(QPointF(self.frame.plot.right() + 3, bell.top() - 3), 1, 1),
            Spot(QPointF(bell.left() - 4, foot), 1, 1),
            Spot(QPointF(bell.center().x(), bell.top() - 3), 0.5, 1),
        ]
        self.labels.put(words, font, self.theme["ink_second"], spots)


def _ways_to_say(words: str) -> list[str]:
    """Words on one line, and broken in the middle."""
    parts = words.split(" ")
    half = next((at for at in range(1, len(parts)) if len(" ".join(parts[:at])) >= len(words) / 2), len(parts))
    broken = " ".join(parts[:half]) + ("\n" + " ".join(parts[half:]) if parts[half:] else "")
    return [words, broken]


def paint_trajectory(
    painter: QPainter, rect: QRectF, theme: Theme, picture: CowPicture, *, mini: bool = False
) -> list[PlacedLabel]:
    """Draw the chart of one cow into a box, on screen or on paper (at 96 dots an inch); the words placed on it."""
    drawing = _Drawing(painter, rect, theme, picture, mini=mini)
    drawing.paint()
    return drawing.labels.placed
