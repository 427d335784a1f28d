"""The picture of one cow, filled in from an assessment: what every chart of a cow is given."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.chance import half_width
from herdscore.domain.cow_facts import headline
from herdscore.domain.diets import AT_GRASS, SUCKLING, WINTER
from herdscore.domain.reasons import say_day, words_of
from herdscore.domain.records import DOWN, UP
from herdscore.domain.scale import HIGHEST, LOWEST, show, to_quarter
from herdscore.domain.trajectory import path
from herdscore.domain.verdict import EASING, SCORE_BY, Verdict
from herdscore.pages.cow_past import diets_of, events_of, last_season_of
from herdscore.parts.cow_picture import Bend, CowPicture, Fan, ScorePoint

Numbers = npt.NDArray[np.float64]

IN_MILK = (Verdict.FEED_FOR_BULL, Verdict.SCORE_FOR_BULL, Verdict.IN_MILK)
_WITHOUT_PROJECTION = (Verdict.GONE, Verdict.NOT_IN_CALF, Verdict.NEEDS_DATE, Verdict.PAST_DATE, *IN_MILK)
_LINE_POINTS = 40
_SITES = ("loin", "ribs", "tailhead")


def picture_of(
    assessment: Assessment, cow: int, *, with_sites: bool = False, with_last_season: bool = False
) -> CowPicture:
    """What is known of a cow and where she is heading; `cow` is her place in the herd."""
    verdict = Verdict(assessment.verdict[cow])
    words = words_of(assessment, cow)
    in_milk = verdict in IN_MILK
    calving = None if in_milk else assessment.day(float(assessment.dates.day[cow]))
    low, high, target, target_words = _band(assessment, cow, mating=in_milk)
    scores = _scores(assessment, cow)
    bends = _bends(assessment, cow, scores, calving)
    lines = _Lines(assessment, cow, scores, bends, projected=verdict not in _WITHOUT_PROJECTION)
    fan = _fan(assessment, cow, calving)
    limits = assessment.rulebook.limits
    act_by = assessment.day(_act_by(assessment, cow, verdict))
    last_season, last_words = last_season_of(assessment, cow) if with_last_season else ((), "")
    return CowPicture(
        today=assessment.today,
        mark=words.mark,
        calving=calving,
        spread_days=float(assessment.dates.spread[cow]) if calving is not None else 0.0,
        target=target,
        band_low=low,
        band_high=high,
        target_words=target_words,
        scores=scores,
        past_days=lines.past_days,
        past=lines.past,
        ahead_days=lines.ahead_days,
        ahead=lines.ahead,
        ahead_low=lines.ahead_low,
        ahead_high=lines.ahead_high,
        projected=float(assessment.course.mean[cow]) if lines.ahead else None,
        now=_known(assessment.facts.score_now[cow]),
        fan=fan,
        act_by=act_by,
        act_words="score by" if verdict in SCORE_BY else "begin by",
        begin_until=None if calving is None else calving - timedelta(days=limits.lead_days),
        need_only_from=None if calving is None else calving - timedelta(days=limits.freeze_days),
        bends=bends,
        diets=diets_of(assessment, cow, calving),
        events=events_of(assessment, cow, {bend.day for bend in bends}),
        last_season=last_season,
        last_words=last_words,
        with_sites=with_sites,
        note=_note(scores, calving, verdict),
        name=str(assessment.snapshot.cows.tag[cow]),
        description=_description(assessment, cow, scores, calving),
    )


class _Lines:
    """The model's line to today, and on to calving with the interval that holds 9 in 10."""

    def __init__(
        self, a: Assessment, cow: int, scores: tuple[ScorePoint, ...], bends: tuple[Bend, ...], *, projected: bool
    ) -> None:
        self.past_days: tuple[date, ...] = ()
        self.ahead_days: tuple[date, ...] = ()
        self.past: tuple[float, ...] = ()
        self.ahead: tuple[float, ...] = ()
        self.ahead_low: tuple[float, ...] = ()
        self.ahead_high: tuple[float, ...] = ()
        if not scores:
            return
        corners = [float((bend.day - a.today).days) for bend in bends]
        first = float((scores[0].day - a.today).days)
        end = float(max(a.dates.day[cow], 0.0)) if projected else 0.0
        days = np.unique(np.round([*np.linspace(first, end, _LINE_POINTS), 0.0, *corners]))
        days = days[(days >= first) & (days <= end)]
        mean, sd = (line[0] for line in path(a.scores, a.rulebook.model, a.course, np.array([cow]), days))
        past, ahead = days <= 0, days >= 0
        # One score tells where she is, not which way she goes.
        if len({score.day for score in scores}) > 1:
            self.past_days, self.past = _days(a, days[past]), _on_scale(mean[past])
        if not projected:
            return
        reach = half_width(a.rulebook.model.level) * _with_date(a, cow, days[ahead], sd[ahead])
        self.ahead_days, self.ahead = _days(a, days[ahead]), _on_scale(mean[ahead])
        self.ahead_low, self.ahead_high = _on_scale(mean[ahead] - reach), _on_scale(mean[ahead] + reach)


def _with_date(a: Assessment, cow: int, days: Numbers, sd: Numbers) -> Numbers:
    """Spread on each day ahead; what the unsure date adds at calving grows in on the way, so that both ends agree."""
    last = float(days[-1])
    if last <= 0:
        return np.full(len(days), float(a.course.sd[cow]))
    extra = max(0.0, float(a.course.sd[cow]) ** 2 - float(sd[-1]) ** 2)
    return np.sqrt(sd**2 + extra * (days / last) ** 2)


def _band(a: Assessment, cow: int, *, mating: bool) -> tuple[float | None, float | None, float | None, str]:
    """Lower and upper edge, target and its words: at calving, or at mating for a cow in milk."""
    if mating:
        floor, target = float(a.targets.mating_floor[cow]), float(a.targets.mating_target[cow])
        if target != target:
            return None, None, None, ""
        high = target + (target - floor)
        return floor, high, target, f"{show(floor * 4)} to {show(high * 4)} at mating"
    target = float(a.targets.target[cow])
    if target != target:
        return None, None, None, ""
    low, high = float(a.targets.lower[cow]), float(a.targets.upper[cow])
    return low, high, target, f"target {show(target * 4)}"


def _scores(a: Assessment, cow: int) -> tuple[ScorePoint, ...]:
    """Her scores of the last year, by day."""
    table = a.snapshot.scores
    made = []
    for at in np.flatnonzero(a.sessions.cow == cow).tolist():
        row, value = int(a.sessions.row[at]), float(a.sessions.value[at])
        day: date = table.day[row].item()
        shown = show(float(to_quarter(np.array([value]))[0]) * 4)
        felt = [f"{site} {float(getattr(table, site)[row]) / 4:g}" for site in _SITES if getattr(table, site)[row] > 0]
        tip = [f"{say_day(day, a.today)}: {shown}", *felt]
        if table.by_eye[row] == 1:
            tip.append("by eye")
        if table.scorer[row]:
            tip.append(f"by {table.scorer[row]}")
        sites = tuple(None if (q := float(getattr(table, site)[row])) != q else q / 4 for site in _SITES)
        made.append(ScorePoint(day, value, shown, tip=", ".join(tip), sites=sites))
    return tuple(sorted(made, key=lambda score: score.day))


def _bends(a: Assessment, cow: int, scores: tuple[ScorePoint, ...], calving: date | None) -> tuple[Bend, ...]:
    """Days between her first score and calving on which she comes to another feed, and what is known of it."""
    first = min((score.day for score in scores), default=a.today)
    last = calving if calving is not None else a.today
    low, high = a.segments.low[cow], a.segments.high[cow]
    made = []
    for k in np.flatnonzero((low < high) & (low > -a.rulebook.model.max_age_days)).tolist():
        day = a.day(float(low[k]))
        if k == 0 or day is None or not first < day < last:
            continue
        words = _bend_words(a, cow, k)
        if words:
            made.append(Bend(day, words, assumed=bool(a.segments.assumed[cow, k])))
    return tuple(made)


def _bend_words(a: Assessment, cow: int, k: int) -> str:
    """What began with a segment; nothing when only the weeks after calving end."""
    begun, rate = float(a.segments.low[cow, k]), int(a.segments.rate[cow, k])
    kind, diet = int(a.segments.rate_class[rate]), float(a.segments.rate_diet[rate])
    if a.segments.assumed[cow, k]:
        return {WINTER: "housing", AT_GRASS: "turnout"}.get(kind, "")
    if kind == SUCKLING:
        return "calved"
    moves = a.snapshot.moves
    for row in a.snapshot.of_cow("moves", cow).tolist():
        if (moves.day[row].item() - a.today).days == begun:
            return f"to {moves.group[row]}"
    if diet != diet:
        return ""
    diets, row = a.snapshot.diets, int(diet)
    if (diets.day[row].item() - a.today).days != begun:
        return ""
    return {UP: "eased up", DOWN: "eased down"}.get(diets.aim[row], str(diets.kind[row]))


def _fan(a: Assessment, cow: int, calving: date | None) -> Fan | None:
    low, high = float(a.reach.fan_lo[cow]), float(a.reach.fan_hi[cow])
    if calving is None or low != low or high != high or a.course.n_scores[cow] == 0:
        return None
    level_from = calving - timedelta(days=a.rulebook.limits.lost_days)
    return Fan(low, high, level_from, slims=not bool(a.reach.never_slimmed[cow]))


def _act_by(a: Assessment, cow: int, verdict: Verdict) -> float:
    if verdict in EASING:
        return float(a.reach.act_by[cow])
    return float(a.score_by[cow])


def _note(scores: tuple[ScorePoint, ...], calving: date | None, verdict: Verdict) -> str:
    """What the picture lacks, in words."""
    if verdict in (Verdict.GONE, Verdict.NOT_IN_CALF):
        return ""
    if not scores:
        return "not scored in the last year"
    if calving is None and verdict not in IN_MILK:
        return "no calving date"
    if len({score.day for score in scores}) == 1:
        return "one more score gives a direction"
    return ""


def _description(a: Assessment, cow: int, scores: tuple[ScorePoint, ...], calving: date | None) -> str:
    """The picture in words, for a screen reader: the finding, the last score, the date."""
    said = [f"{a.snapshot.cows.tag[cow]}: {headline(a, cow)}"]
    said += [f"Last score {scores[-1].words} on {say_day(scores[-1].day, a.today)}."] if scores else ["No score."]
    if calving is not None:
        said.append(f"Calves {say_day(calving, a.today)}.")
    return " ".join(said)


def _days(a: Assessment, ahead: Numbers) -> tuple[date, ...]:
    return tuple(a.today + timedelta(days=int(day)) for day in ahead.tolist())


def _on_scale(scores: Numbers) -> tuple[float, ...]:
    return tuple(np.clip(scores, LOWEST / 4, HIGHEST / 4).tolist())


def _known(value: float) -> float | None:
    return float(value) if value == value else None
