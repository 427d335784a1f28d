"""Dry-cow mineral and magnesium to order, and what all sources of a day come to against the ceilings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from herdscore.domain import after_calving
from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK, HerdCalendar
from herdscore.domain.calving_forms import MineralRules
from herdscore.domain.calving_season import still_to_calve
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import TURNOUT

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]

COPPER, SELENIUM, IODINE, MAGNESIUM = "copper", "selenium", "iodine", "magnesium"
ELEMENTS = (COPPER, SELENIUM, IODINE, MAGNESIUM)
WELL, WARNED, REFUSED = "below", "close", "over"
_WHOLE_SOURCES = ("mineral", "lick", "bolus")


@dataclass(frozen=True, slots=True)
class OrderLine:
    """Mineral of one group: its cows, the day the first comes to it (from today), cow-days and kg from today on."""

    group: str | None
    cows: tuple[int, ...]
    start: float
    cow_days: float
    kg: float


@dataclass(frozen=True, slots=True)
class Order:
    """What to order: lines by group, kg in all, and whole bags of so many kg."""

    lines: tuple[OrderLine, ...]
    grams: float
    bag_kg: float

    @property
    def kg(self) -> float:
        """All lines together."""
        return sum(line.kg for line in self.lines)

    @property
    def bags(self) -> int:
        """Whole bags for all of it."""
        return math.ceil(self.kg / self.bag_kg - 1e-9)


@dataclass(frozen=True, slots=True)
class Source:
    """One thing a cow gets in a day: kg of dry matter, and mg of each element in a kg of it, NaN unknown."""

    name: str
    kind: str
    dry_kg: float
    copper: float = math.nan
    selenium: float = math.nan
    iodine: float = math.nan
    magnesium: float = math.nan


@dataclass(frozen=True, slots=True)
class ElementSum:
    """One element of a day: mg from all sources with a figure, its lowest ceiling in mg, and the standing."""

    element: str
    mg: float
    ceiling: float
    standing: str
    not_counted: tuple[str, ...]

    @property
    def share(self) -> float:
        """Part of the ceiling, 1 at the ceiling."""
        return self.mg / self.ceiling


def mineral_kg(cows: float, grams: float, days: float) -> float:
    """Kg for so many cows at g a head a day."""
    return cows * grams / 1000 * days


def dry_mineral_order(assessment: Assessment, block: int | None = None, grams: float | None = None) -> Order:
    """Dry-cow mineral over what is left, from today, of each cow's own last weeks before calving."""
    a, rules = assessment, assessment.rulebook.minerals
    grams = rules.dry_mineral_grams if grams is None else grams
    due = still_to_calve(a) if block is None else still_to_calve(a) & (a.block == block)
    start = a.dates.day - rules.dry_mineral_days
    days = np.clip(a.dates.day - np.maximum(start, 0.0), 0.0, None)
    return _order(a, np.flatnonzero(due), start, days, grams, rules.bag_kg)


def magnesium_order(assessment: Assessment, block: int | None = None, grams: float | None = None) -> Order:
    """Calcined magnesite for cows in milk from ahead of their block's next turnout until the flush is over.

    A cow still to calve counts from her calving on.
    """
    a, rules = assessment, assessment.rulebook.minerals
    grams = rules.magnesite_grams if grams is None else grams
    calendar = HerdCalendar(a.snapshot, a.today)
    start, days = np.full(len(a), np.nan), np.zeros(len(a))
    for code in (AUTUMN_BLOCK, SPRING_BLOCK) if block is None else (block,):
        turnout = calendar.next(code, TURNOUT, -rules.magnesium_after_days - 1.0)
        if math.isnan(turnout):
            continue
        end = turnout + rules.magnesium_after_days
        cows = after_calving.in_milk_at(a, code, end)
        calves = np.where(after_calving.suckling(a), -np.inf, a.dates.day)[cows]
        start[cows] = np.maximum(turnout - rules.magnesium_ahead_days, calves)
        days[cows] = np.maximum(end - np.maximum(start[cows], 0.0), 0.0)
    return _order(a, np.flatnonzero(days > 0), start, days, grams, rules.bag_kg)


def _order(a: Assessment, cows: Places, start: Numbers, days: Numbers, grams: float, bag_kg: float) -> Order:
    """One line a feeding group, by the day its first cow comes to it."""
    lines = []
    for group in np.unique(a.groups.now[cows]).tolist():
        mine = cows[(a.groups.now[cows] == group) & (days[cows] > 0)]
        if len(mine):
            cow_days = float(days[mine].sum())
            first = float(start[mine].min())
            name = a.groups.names[group]
            lines.append(OrderLine(name, tuple(mine.tolist()), first, cow_days, mineral_kg(1, grams, cow_days)))
    return Order(tuple(sorted(lines, key=lambda line: (line.start, line.group or ""))), grams, bag_kg)


def rich_ration_kg(order: Order, rules: MineralRules) -> tuple[float, float]:
    """Kg, least and most, of a high-magnesium ration for the cow-days of a magnesite order, instead of it."""
    cow_days = sum(line.cow_days for line in order.lines)
    return cow_days * rules.rich_ration_low, cow_days * rules.rich_ration_high


def magnesium_need(rules: MineralRules, *, milked: bool, potassium: float = math.nan) -> float:
    """Magnesium a cow needs in her whole diet, g a day; `potassium` in percent of the grass, NaN not known."""
    if potassium > rules.potassium_high:
        return rules.magnesium_milk_potassium if milked else rules.magnesium_dry_potassium
    return rules.magnesium_milk if milked else rules.magnesium_dry


def ceiling(element: str, dry_kg: float, rules: MineralRules) -> float:
    """The lowest ceiling of an element for a day's dry matter, mg."""
    per_dry_kg = {
        COPPER: (rules.copper_feed / rules.complete_feed_dry, rules.copper_tolerable),
        SELENIUM: (rules.selenium_feed / rules.complete_feed_dry, rules.selenium_tolerable),
        IODINE: (rules.iodine_feed / rules.complete_feed_dry, rules.iodine_tolerable),
        MAGNESIUM: (rules.magnesium_tolerable * 10_000,),
    }
    return min(per_dry_kg[element]) * dry_kg


def source_of_feed(snapshot: Snapshot, row: int, fresh_grams: float | None = None) -> Source:
    """A feed of the herd as a source of a day, at so many g fresh, else at its own dose; figures are per kg DM."""
    feeds = snapshot.feeds
    grams = float(feeds.dose[row]) if fresh_grams is None else fresh_grams
    return Source(
        name=feeds.feed[row],
        kind=feeds.kind[row],
        dry_kg=grams / 1000 * float(feeds.dm[row]) / 100,
        copper=float(feeds.cu[row]),
        selenium=float(feeds.se[row]),
        iodine=float(feeds.i[row]),
        magnesium=float(feeds.mg[row]) * 1000,
    )


def sums_of_day(
    sources: Sequence[Source], rules: MineralRules, dry_kg: float | None = None, *, at_grass: bool = False
) -> tuple[ElementSum, ...]:
    """What all sources come to, element by element, against the lowest ceiling of a day's dry matter (kg).

    At 80 % it is close, over 100 % it is over; magnesium as cover at grass stays at close.
    """
    eaten = rules.eaten_dry_matter if dry_kg is None else dry_kg
    return tuple(_sum(element, sources, eaten, rules, at_grass) for element in ELEMENTS)


def _sum(element: str, sources: Sequence[Source], dry_kg: float, rules: MineralRules, at_grass: bool) -> ElementSum:
    given = [(source, float(getattr(source, element)) * source.dry_kg) for source in sources]
    mg = sum(amount for _, amount in given if math.isfinite(amount))
    most = ceiling(element, dry_kg, rules)
    share = mg / most
    standing = REFUSED if share > 1 + 1e-9 else WARNED if share >= rules.warned_share - 1e-9 else WELL
    if element == MAGNESIUM and standing == REFUSED and at_grass:
        cover = sum(amount for source, amount in given if source.kind in _WHOLE_SOURCES and math.isfinite(amount))
        if cover <= rules.magnesium_cover_most * 1000 + 1e-6:
            standing = WARNED
    not_counted = tuple(source.name for source, amount in given if not math.isfinite(amount))
    return ElementSum(element, mg, most, standing, not_counted)


def whole_sources(sources: Sequence[Source]) -> tuple[str, ...]:
    """Names of the powders, licks and boluses among the sources when there is more than one: never two together."""
    named = tuple(source.name for source in sources if source.kind in _WHOLE_SOURCES)
    return named if len(named) > 1 else ()
