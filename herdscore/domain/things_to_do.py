"""The dated things to do of the season ahead, each with an identity that stays, to be ticked and exported by."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from herdscore.domain import after_calving
from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, SPRING_BLOCK, HerdCalendar
from herdscore.domain.calving_season import season_year, still_to_calve
from herdscore.domain.reasons import say_day
from herdscore.domain.records import BULL_IN, TURNOUT
from herdscore.domain.verdict import EASING, SCORE_BY, THIN, Verdict

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]

_BLOCKS = (AUTUMN_BLOCK, SPRING_BLOCK)
_FOR_HERD = "herd"


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing to do by a day: what, for which cows (places), and what each of its ticks is called.

    `id` stays the same when the herd is assessed again; `ticks` holds one name a cow, or one for the whole thing.
    `tags` names its cows.
    """

    id: str
    kind: str
    day: date
    word: str
    say: str
    block: str | None
    cows: tuple[int, ...]
    tags: tuple[str, ...]
    ticks: tuple[str, ...]
    late: bool = False


def things_to_do(assessment: Assessment, ticked: Collection[str] = ()) -> tuple[Thing, ...]:
    """Things of the weeks ahead by day, those of the last days not ticked among them; cows ticked off are left out.

    Cows that come to the same thing in the same week stand together under the first day of them.
    """
    found = _Season(assessment, frozenset(ticked))
    made = [*found.scoring(), *found.feeding(), *found.weaning(), *found.of_blocks()]
    return tuple(sorted(made, key=lambda thing: (thing.day, thing.kind, thing.id)))


def cow_tick(assessment: Assessment, kind: str, cow: int) -> str:
    """Name of the tick of one thing for one cow; it changes when she has calved again."""
    calved = assessment.day(assessment.dates.last_calving[cow])
    return f"{kind}/{assessment.snapshot.cows.id[cow]}/{calved or 'first'}"


class _Season:
    """The things to do of one herd."""

    def __init__(self, assessment: Assessment, ticked: frozenset[str]) -> None:
        self._a, self._ticked = assessment, ticked
        rules = assessment.rulebook.calving
        self._from, self._to = -rules.kept_days, 7 * rules.ahead_weeks
        self._due = still_to_calve(assessment)
        self._calendar = HerdCalendar(assessment.snapshot, assessment.today)

    def scoring(self) -> Iterator[Thing]:
        """Cows to score now, and those to score again by a day."""
        a = self._a
        now = np.where(np.isin(a.verdict, (Verdict.TO_SCORE, Verdict.SCORE_FOR_BULL)), 0.0, np.nan)
        yield from self._by_week("score_now", now)
        yield from self._by_week("score_by", np.where(np.isin(a.verdict, SCORE_BY), a.score_by, np.nan))

    def feeding(self) -> Iterator[Thing]:
        """Changes to begin, mineral on, and feed to need."""
        a, rules = self._a, self._a.rulebook
        easing = np.isin(a.verdict, EASING)
        yield from self._by_week("act_by", np.where(easing, a.facts.act_by, np.nan))
        due = np.where(self._due, a.dates.day, np.nan)
        grams, days = f"{rules.minerals.dry_mineral_grams:g}", rules.minerals.dry_mineral_days
        yield from self._by_week("mineral_on", due - days, grams=grams, days=f"{days}")
        frozen = np.floor(due - a.dates.spread) - rules.limits.freeze_days
        yield from self._by_week("feed_to_need", frozen, days=f"{rules.limits.freeze_days}")

    def weaning(self) -> Iterator[Thing]:
        """Autumn calvers that still suckle when they should be dry."""
        a = self._a
        autumn = a.block == AUTUMN_BLOCK
        by = np.where(autumn & after_calving.suckling(a), after_calving.wean_by(a), np.nan)
        yield from self._by_week("wean", by, days=f"{a.rulebook.notes['still_suckling'].limit_days:g}")

    def of_blocks(self) -> Iterator[Thing]:
        """Kit, magnesium, scoring and the bull, block by block."""
        for block in _BLOCKS:
            yield from self._kit(block)
            yield from self._turnout(block)
            yield from self._bull(block)

    def _by_week(self, kind: str, when: Numbers, **numbers: str) -> Iterator[Thing]:
        """One thing a block and week, of the day on which each cow comes to it."""
        a = self._a
        ahead = np.isfinite(when) & (when >= self._from) & (when <= self._to) & ~a.facts.gone
        monday = np.floor((np.where(ahead, when, 0.0) + a.today.weekday()) / 7) * 7 - a.today.weekday()
        for block in (0, *_BLOCKS):
            for week in np.unique(monday[ahead & (a.block == block)]).tolist():
                cows = np.flatnonzero(ahead & (a.block == block) & (monday == week))
                open_cows = [cow for cow in cows.tolist() if cow_tick(a, kind, cow) not in self._ticked]
                if not open_cows:
                    continue
                first = a.day(week)
                name = f"{kind}/{BLOCK_NAMES[block] or 'none'}/{first}"
                day = float(when[open_cows].min())
                yield self._thing(name, kind, day, block, open_cows, {**self._sides(open_cows), **numbers})

    def _sides(self, cows: Sequence[int]) -> dict[str, str]:
        side = self._a.facts.side[list(cows)]
        up, down = int((side == THIN).sum()), int((side != THIN).sum())
        parts = [f"{count} {way}" for count, way in ((up, "up"), (down, "down")) if count]
        return {"sides": " and ".join(parts)}

    def _kit(self, block: int) -> Iterator[Thing]:
        a = self._a
        early = (a.dates.day - a.dates.spread)[self._due & (a.block == block)]
        if len(early):
            first = float(np.floor(early.min()))
            day = first - a.rulebook.calving.kit_check_days
            when = a.day(first)
            assert when is not None
            name = f"kit_check/{BLOCK_NAMES[block]}/{season_year(block, when)}"
            yield from self._once(name, "kit_check", day, block, [], first=say_day(when, a.today))

    def _turnout(self, block: int) -> Iterator[Thing]:
        a, rules = self._a, self._a.rulebook
        for turnout in self._calendar.days(block, TURNOUT).tolist():
            when = a.day(turnout)
            assert when is not None
            milked = after_calving.in_milk_at(a, block, turnout).tolist()
            if milked:
                on, after = turnout - rules.minerals.magnesium_ahead_days, f"{rules.minerals.magnesium_after_days}"
                name = f"magnesium_turnout/{BLOCK_NAMES[block]}/{when.year}"
                said = {"turnout": say_day(when, a.today), "after": after}
                yield from self._once(name, "magnesium_turnout", on, block, milked, **said)
            unscored = after_calving.to_score_at_turnout(a, block, turnout).tolist()
            if unscored:
                name = f"score_turnout/{BLOCK_NAMES[block]}/{when.year}"
                yield from self._once(name, "score_turnout", turnout, block, unscored)

    def _bull(self, block: int) -> Iterator[Thing]:
        a = self._a
        for bull in self._calendar.days(block, BULL_IN).tolist():
            when = a.day(bull)
            assert when is not None
            feed = int(((a.verdict == Verdict.FEED_FOR_BULL) & (a.block == block)).sum())
            said = f"{_count(feed)} still to feed for him." if feed else "Nobody is marked to feed for him."
            yield from self._once(f"bull_in/{BLOCK_NAMES[block]}/{when}", "bull_in", bull, block, [], feed=said)
            unscored = after_calving.to_score_before_bull(a, block).tolist()
            soon = 0 <= bull <= self._to
            if unscored and soon:
                by = max(bull - a.rulebook.verdicts.score_before_bull_days, 0.0)
                name = f"score_before_bull/{BLOCK_NAMES[block]}/{when}"
                said_bull = say_day(when, a.today)
                yield from self._once(name, "score_before_bull", by, block, unscored, bull=said_bull)

    def _once(self, name: str, kind: str, day: float, block: int, cows: list[int], **said: str) -> Iterator[Thing]:
        """A thing of a whole block, ticked as one."""
        if self._from <= day <= self._to and name not in self._ticked:
            yield self._thing(name, kind, day, block, cows, said, whole=True)

    def _thing(
        self, name: str, kind: str, day: float, block: int, cows: list[int], said: dict[str, str], whole: bool = False
    ) -> Thing:
        a = self._a
        words = a.rulebook.calving_words.todo[kind]
        numbers = {"count": _count(len(cows)), "block": BLOCK_NAMES[block] or "", **said}
        ticks = (name,) if whole else tuple(cow_tick(a, kind, cow) for cow in cows)
        return Thing(
            id=name,
            kind=kind,
            day=a.today + timedelta(days=int(day)),
            word=words.word,
            say=words.say.format_map(numbers),
            block=BLOCK_NAMES[block],
            cows=tuple(cows),
            tags=tuple(a.snapshot.cows.tag[cow] for cow in cows),
            ticks=ticks,
            late=day < 0,
        )


def _count(cows: int) -> str:
    return f"{cows} cow{'' if cows == 1 else 's'}"
