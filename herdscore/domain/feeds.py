"""The feeds at hand: what a kg of dry matter of each brings, what is wrong with an entry, and minerals summed.

A ration is kg dry matter a head a day, [F] or [..., F], in the order of the feeds.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from herdscore.domain.calving_forms import MineralRules
from herdscore.domain.energy import Flags, Numbers, Some
from herdscore.domain.feeding_forms import BookFeed, FeedingLimits
from herdscore.domain.herd_columns import FeedColumns, Text
from herdscore.domain.records import Feed
from herdscore.errors import Problem

FORAGE, STRAW, CONCENTRATE = "forage", "straw", "concentrate"
FED_FOR_ENERGY = (FORAGE, STRAW, CONCENTRATE)
KG_OF_TONNE = G_OF_KG = 1000.0


@dataclass(frozen=True, eq=False)
class Feeds:
    """F feeds; NaN where nothing is known."""

    name: Text
    kind: Text
    dm: Numbers  # share of fresh
    me: Numbers  # MJ/kg dry matter
    cp: Numbers  # share of dry matter
    price: Numbers  # a kg dry matter
    stock: Numbers  # kg dry matter
    cu: Numbers  # mg/kg dry matter, as the next two
    se: Numbers
    i: Numbers
    mg: Numbers  # g/kg dry matter
    dose: Numbers  # kg dry matter a head a day
    book: Flags  # book values, not the farm's own analysis

    def __len__(self) -> int:
        return len(self.name)

    @property
    def is_forage(self) -> Flags:
        """Forage or straw."""
        return np.isin(self.kind, (FORAGE, STRAW))

    @property
    def is_concentrate(self) -> Flags:
        """Fed for energy, and not forage."""
        concentrate: Flags = self.kind == CONCENTRATE
        return concentrate

    @property
    def is_dosed(self) -> Flags:
        """Fed by the dose: mineral, lick, bolus."""
        return ~np.isin(self.kind, FED_FOR_ENERGY)

    def only(self, chosen: Flags | npt.NDArray[np.intp]) -> Feeds:
        """Some of the feeds."""
        return Feeds(**{f.name: getattr(self, f.name)[chosen] for f in fields(self)})

    def place(self, name: str) -> int:
        """Place of a feed by its name; a Problem when it is not there."""
        for place, known in enumerate(self.name):
            if known.casefold() == name.strip().casefold():
                return place
        raise Problem(f"“{name}” is not among the feeds.", what_to_do="Enter it, or choose another.")

    def ration(self, kg_fresh: dict[str, float]) -> Numbers:
        """Kg dry matter in the order of the feeds from kg fresh by name, [F]."""
        made = np.zeros(len(self))
        for name, kg in kg_fresh.items():
            place = self.place(name)
            made[place] += kg * self.dm[place]
        return made


def feeds_of(columns: FeedColumns) -> Feeds:
    """The farm's feeds as arrays."""
    dm = columns.dm / 100.0
    return Feeds(
        name=columns.feed,
        kind=columns.kind,
        dm=dm,
        me=columns.me,
        cp=columns.cp / 100.0,
        price=columns.price / KG_OF_TONNE / dm,
        stock=columns.stock * KG_OF_TONNE * dm,
        cu=columns.cu,
        se=columns.se,
        i=columns.i,
        mg=columns.mg,
        dose=columns.dose / G_OF_KG * dm,
        book=np.zeros(len(columns), dtype=bool),
    )


def book_feeds(entries: Iterable[BookFeed]) -> Feeds:
    """Feeds of the book as arrays, without price, stock and minerals."""
    rows = list(entries)
    unknown = np.full(len(rows), np.nan)

    def column(name: str) -> npt.NDArray[np.object_]:
        made = np.empty(len(rows), dtype=object)
        made[:] = [getattr(row, name) for row in rows]
        return made

    return Feeds(
        name=column("name"),
        kind=column("kind"),
        dm=column("dm").astype(float) / 100.0,
        me=column("me").astype(float),
        cp=column("cp").astype(float) / 100.0,
        **{name: unknown for name in ("price", "stock", "cu", "se", "i", "mg", "dose")},
        book=np.ones(len(rows), dtype=bool),
    )


def joined(first: Feeds, second: Feeds) -> Feeds:
    """Both; a feed of the second that the first has by name is left out."""
    known = {name.casefold() for name in first.name}
    new = second.only(np.array([name.casefold() not in known for name in second.name], dtype=bool))
    return Feeds(**{f.name: np.concatenate([getattr(first, f.name), getattr(new, f.name)]) for f in fields(first)})


def me_of_dmd(dmd: Some, limits: FeedingLimits) -> Numbers:
    """MJ ME/kg dry matter of grass silage from its dry matter digestibility, %."""
    me: Numbers = limits.dmd_to_me * (np.asarray(dmd, dtype=float) - limits.dmd_to_domd)
    return me


def eaten_of(feeds: Feeds, limits: FeedingLimits) -> Numbers:
    """Dry matter of each feed a cow would eat of it alone, % of her live weight, [F]; infinite for what is dosed.

    A concentrate counts by the forage it displaces.
    """
    at = (limits.me_straw, limits.me_poor, limits.me_average, limits.me_average_top, limits.me_good)
    per_weight = (
        *(limits.capacity_straw, limits.capacity_poor, limits.capacity_average),
        *(limits.capacity_average, limits.capacity_good),
    )
    forage = np.where(feeds.kind == STRAW, limits.capacity_straw, np.interp(feeds.me, at, per_weight))
    displaced = limits.capacity_average / limits.displaced
    return np.where(feeds.is_forage, forage, np.where(feeds.is_concentrate, displaced, np.inf))


def share_eaten(feeds: Feeds, ration: Numbers, weight: Some, limits: FeedingLimits, *, late: bool = False) -> Numbers:
    """Ration as a share of what a cow of this live weight can eat, [...]."""
    room = np.asarray(weight) / 100.0 * (limits.late_intake if late else 1.0)
    share: Numbers = (ration / eaten_of(feeds, limits)).sum(axis=-1) / room
    return share


def energy_in(feeds: Feeds, ration: Numbers) -> Numbers:
    """MJ ME a day in a ration, [...]."""
    me: Numbers = ration @ np.nan_to_num(feeds.me)
    return me


def me_per_kg(feeds: Feeds, ration: Numbers) -> Numbers:
    """MJ ME/kg dry matter of the whole ration without what is dosed, [...]; NaN for none."""
    fed = np.where(feeds.is_dosed, 0.0, ration)
    dm = fed.sum(axis=-1)
    with np.errstate(invalid="ignore", divide="ignore"):
        per_kg: Numbers = energy_in(feeds, fed) / dm
    return per_kg


@dataclass(frozen=True)
class MineralSum:
    """One element over everything she gets: mg a day (magnesium g), the lowest ceiling, and feeds not counted."""

    element: str
    amount: float
    ceiling: float
    not_counted: tuple[str, ...]

    @property
    def share(self) -> float:
        """Amount as a share of the ceiling."""
        return self.amount / self.ceiling if self.ceiling > 0 else float("inf") if self.amount > 0 else 0.0


def ceilings_per_kg(rules: MineralRules) -> dict[str, float]:
    """Lowest ceiling of each element in a kg dry matter of what she eats: mg, magnesium g."""
    dry = rules.complete_feed_dry
    return {
        "cu": min(rules.copper_feed / dry, rules.copper_tolerable),
        "se": min(rules.selenium_feed / dry, rules.selenium_tolerable),
        "i": min(rules.iodine_feed / dry, rules.iodine_tolerable),
        "mg": rules.magnesium_tolerable * 10.0,
    }


def mineral_sums(feeds: Feeds, ration: Numbers, rules: MineralRules) -> tuple[MineralSum, ...]:
    """Copper, selenium, iodine and magnesium in a ration with everything dosed, [F]; unknown feeds are named."""
    dm = float(ration.sum())
    sums = []
    for element, ceiling in ceilings_per_kg(rules).items():
        held = getattr(feeds, element)
        unknown = (ration > 0) & np.isnan(held)
        amount = float(ration @ np.nan_to_num(held))
        sums.append(MineralSum(element, amount, ceiling * dm, tuple(feeds.name[unknown])))
    return tuple(sums)


def feed_problems(feed: Feed, limits: FeedingLimits) -> list[Problem]:
    """What cannot be right with a feed as entered, in plain sentences; an empty list for a sound one."""
    found: list[Problem] = []
    name, again = f"“{feed.feed}”", "Look at the analysis again."
    dosed = feed.kind not in FED_FOR_ENERGY
    lowest = limits.dry_dm_lowest if dosed or feed.kind == STRAW else limits.forage_dm_lowest
    if not lowest <= feed.dm <= 100:
        found.append(
            Problem(f"{name} has {feed.dm:g} % dry matter.", f"This kind of feed has {lowest:g} to 100 %.", again)
        )
    top = {FORAGE: limits.me_highest_forage, STRAW: limits.me_highest_straw}.get(feed.kind, limits.me_highest)
    low = 0.0 if dosed else limits.me_lowest
    if not low <= feed.me <= top:
        slipped = f" Perhaps {feed.me / 10:g}?" if low <= feed.me / 10 <= top else ""
        why = f"This kind of feed has {low:g} to {top:g}.{slipped}"
        found.append(Problem(f"{name} has {feed.me:g} MJ ME/kg dry matter.", why, again))
    if feed.cp is not None and not 0 <= feed.cp <= limits.protein_highest:
        why = f"No feed for cows has more than {limits.protein_highest:g} %."
        found.append(Problem(f"{name} has {feed.cp:g} % protein.", why, again))
    for value, word in ((feed.price, "price"), (feed.stock, "stock"), (feed.dose, "dose")):
        if value is not None and not value >= 0:
            found.append(Problem(f"{name} has a {word} of {value:g}.", "It cannot be below 0.", "Mend it."))
    if dosed and feed.dose is None:
        found.append(
            Problem(f"{name} has no dose.", "Without one its copper, selenium and iodine are not counted.", "Enter it.")
        )
    return found


def list_problems(feeds: Feeds) -> list[Problem]:
    """What a list of feeds lacks for a plan."""
    found = []
    if not (feeds.kind == FORAGE).any() and not (feeds.kind == STRAW).any():
        found.append(
            Problem("There is no forage among the feeds.", "Cows live on forage.", "Enter silage, hay or straw.")
        )
    fed = ~feeds.is_dosed
    for unknown, what, then in (
        (fed & np.isnan(feeds.price), "price", "The cheapest ration is not sought."),
        (fed & np.isnan(feeds.cp), "protein", "It is counted as none."),
    ):
        if unknown.any():
            found.append(Problem(f"No {what} for {', '.join(feeds.name[unknown])}.", then, "Enter it."))
    return found
