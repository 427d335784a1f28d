"""Invented cows for the chart, one for every case a herd can bring."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from herdscore.parts.cow_picture import Bend, CowPicture, Fan, ScorePoint

TODAY = date(2027, 1, 12)
THREE = ((-84, 2.42, "2.5"), (-42, 2.17, "2.25"), (0, 2.08, "2.0"))


def day(ahead: float) -> date:
    return TODAY + timedelta(days=int(ahead))


def points(scores: tuple[tuple[int, float, str], ...]) -> tuple[ScorePoint, ...]:
    return tuple(ScorePoint(day(at), value, words) for at, value, words in scores)


def picture(
    mark: str = "now_up",
    *,
    scores: tuple[tuple[int, float, str], ...] = THREE,
    now: float = 2.03,
    days: int = 96,
    spread: float = 6,
    act: int | None = 19,
    fan: bool = True,
    slims: bool = False,
    note: str = "",
) -> CowPicture:
    """A cow on winter feed until turnout on day 72, calving in `days`."""
    ahead = np.unique(np.append(np.arange(0, max(days, 0) + 1, 4), [max(days, 0), *([72] if days > 72 else [])]))
    mean = now - 0.0045 * np.minimum(ahead, 72) + 0.006 * np.maximum(0, ahead - 72)
    sd = 0.18 + 0.0035 * ahead
    window = max(0, days - 31)
    level = Fan(now - 0.005 * window * slims, min(5.0, now + window / 120), day(days - 31), slims)
    lined = len(scores) > 1
    return CowPicture(
        TODAY,
        mark,
        calving=day(days),
        spread_days=spread,
        target=2.5,
        band_low=2.25,
        band_high=2.75,
        scores=points(scores),
        past_days=(day(-84), day(-65), TODAY) if lined else (),
        past=(now + 0.2, now + 0.27, now) if lined else (),
        ahead_days=tuple(day(at) for at in ahead),
        ahead=tuple(mean.tolist()),
        ahead_low=tuple(np.clip(mean - 1.645 * sd, 1, 5).tolist()),
        ahead_high=tuple(np.clip(mean + 1.645 * sd, 1, 5).tolist()),
        projected=float(mean[-1]),
        now=now,
        fan=level if fan else None,
        act_by=None if act is None else day(act),
        begin_until=day(days - 56),
        need_only_from=day(days - 21),
        bends=(Bend(day(-65), "housed"), *((Bend(day(72), "turnout", True),) if days > 72 else ())),
        note=note,
        name="cow 0512",
        description="1.9 at calving as she is fed",
    )


CASES = {
    "a thin cow with time": picture(),
    "a fat cow": picture("hand_down", scores=((-60, 3.3, "3.25"), (0, 3.5, "3.5")), now=3.4, days=130, slims=True),
    "a cow part way": picture("part_up", now=1.9, days=68, spread=16, act=0),
    "a cow on course": picture("dot", scores=((-5, 2.5, "2.5"), (-40, 2.6, "2.5")), now=2.5, act=None),
    "one score": picture("dot", scores=((0, 2.25, "2.25"),), act=None, note="one more score gives a direction"),
    "no score": picture("cross", scores=(), act=None, fan=False, note="no score yet"),
    "too late": picture("square", days=30, act=None, fan=False),
    "days to go": picture("square", days=3, act=None, fan=False),
    "calving today": picture("square", days=0, act=None, fan=False),
    "past her date": picture("cross", days=-14, act=None, fan=False, note="past her date"),
    "far off": picture("early", days=280, act=None, fan=False),
    "very lean": picture("vet", now=1.2, scores=((-40, 1.5, "1.5"), (0, 1.25, "1.25")), act=None, fan=False),
    "very fat": picture("vet", now=4.9, scores=((-40, 4.75, "4.75"), (0, 5.0, "5.0")), act=None, fan=False),
    "scored for a year": picture("dot", scores=tuple((-400 + 20 * i, 2 + i / 20, "2.5") for i in range(21)), act=None),
    "no date": CowPicture(
        TODAY,
        "cross",
        target=2.5,
        band_low=2.25,
        band_high=2.75,
        scores=points(THREE),
        past_days=(day(-84), TODAY),
        past=(2.4, 2.05),
        now=2.05,
        note="needs a calving date",
    ),
    "in milk": CowPicture(
        TODAY,
        "bull",
        target=2.5,
        band_low=2.25,
        band_high=2.75,
        target_words="target 2.5 at mating",
        scores=points(((-150, 3.2, "3.25"), (-60, 2.5, "2.5"), (-10, 2.0, "2.0"))),
        past_days=(day(-150), day(-100), TODAY),
        past=(3.2, 3.0, 1.95),
        bends=(Bend(day(-100), "calved"), Bend(day(-40), "housed")),
        now=1.95,
    ),
    "nothing at all": CowPicture(TODAY),
    "no band": CowPicture(TODAY, calving=day(60), projected=2.0, ahead_days=(TODAY, day(60)), ahead=(2.1, 2.0)),
    "unknown model": CowPicture(TODAY, scores=points(THREE), past_days=(day(-84), TODAY), past=(float("nan"),) * 2),
}
