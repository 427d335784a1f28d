"""The tables of what condition did, as they go into a spreadsheet."""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING, Any

from herdscore.domain import season_learning as learning
from herdscore.domain.rates import Rate
from herdscore.domain.rulebook import Rulebook
from herdscore.domain.season_learning import AT_CALVING, AT_MATING, MEASURES
from herdscore.domain.season_outcomes import Outcomes

if TYPE_CHECKING:
    from herdscore.exchange.table_book import TableBook

_RATE = ("Number", "Of", "Share", "From", "To")
_RATE_FORMATS = ("0", "0", "0 %", "0 %", "0 %")
_WAYS = (AT_CALVING, AT_MATING)


def season_sheet(outcomes: Outcomes, rulebook: Rulebook, name: str, day: date) -> TableBook:
    """Every measure by condition, like with like, season by season, and the sentences."""
    from herdscore.exchange.table_book import BookTable, TableBook  # late: nobody writes a sheet at the start

    by_class: list[list[Any]] = []
    like: list[list[Any]] = []
    said: list[str] = []
    for measure, words in MEASURES.items():
        for at in _WAYS:
            for one in learning.by_condition(outcomes, measure, rulebook, at):
                for kind, rate in (("cows", one.cows), ("first-calvers", one.first_calvers)):
                    by_class.append([words, at, one.label, kind, *_rate(rate)])
            for stratum in learning.by_stratum(outcomes, measure, rulebook, at):
                for part, rate in zip((learning.LEAN, learning.FIT, learning.FAT), stratum.rates, strict=True):
                    like.append([words, at, stratum.label, part, *_rate(rate)])
            said += [claim.say for claim in learning.claims(outcomes, measure, rulebook, at)]
    seasons: list[list[Any]] = []
    for row in learning.seasons(outcomes, rulebook):
        mean = None if math.isnan(row.mean_at_calving) else round(row.mean_at_calving, 2)
        for measure, words in MEASURES.items():
            for kind, rate in zip(("cows", "first-calvers"), row.rates[measure], strict=True):
                seasons.append([row.name, row.calvings, row.twins, mean, words, kind, *_rate(rate)])
    text = ("@", "@", "@", "@", *_RATE_FORMATS)
    return TableBook(
        name,
        day,
        (
            BookTable("By condition", ("What", "Score", "Condition", "Animals", *_RATE), text, by_class),
            BookTable("Like with like", ("What", "Score", "Kind", "Condition", *_RATE), text, like),
            BookTable(
                "Seasons",
                ("Season", "Calvings", "Twins", "Mean score at calving", "What", "Animals", *_RATE),
                ("@", "0", "0", "0.00", "@", "@", *_RATE_FORMATS),
                seasons,
            ),
        ),
        tuple(said),
    )


def _rate(rate: Rate) -> list[Any]:
    """Numbers beside the share; nothing where there are none."""
    if not rate.of:
        return [0, 0, None, None, None]
    return [rate.count, rate.of, *(round(part, 4) for part in (rate.share, rate.low, rate.high))]
