"""What fills the second page of a small herd's day: the dates ahead, and the cows on none of the lists."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.listing import ACT, HAND, MISSING, NOTHING, FlagLists
from herdscore.domain.reasons import say_day, words_of
from herdscore.domain.season_ticks import finished
from herdscore.domain.things_to_do import Thing, things_to_do
from herdscore.pages.cow_words import say_cows
from herdscore.pages.short_tags import short_tags
from herdscore.parts.report_blocks import Block, Words, heading
from herdscore.parts.report_table import PaperColumn, PaperRow, Table

Flags = npt.NDArray[np.bool_]
_MOST_THINGS, _MOST_TAGS = 16, 24


def dates_ahead(a: Assessment, inside: Flags) -> list[Block]:
    """The things to do of the weeks ahead, first day first, for the cows among."""
    things = [one for one in things_to_do(a, finished(a.snapshot)) if _concerns(one, inside)]
    blocks: list[Block] = [heading("Days ahead")]
    if not things:
        none = "Nothing is dated in the weeks ahead: no act-by day, no calving date, no day in the herd calendar."
        return [*blocks, Words(none, 10.5, role="ink_second")]
    all_tags = short_tags(a.snapshot.cows.tag.tolist())
    rows = []
    for one in things[:_MOST_THINGS]:
        tags = [all_tags[cow] for cow in one.cows if inside[cow]]
        more = f" and {len(tags) - _MOST_TAGS} more" if len(tags) > _MOST_TAGS else ""
        whom = ", ".join(tags[:_MOST_TAGS]) + more if tags else f"{one.block} calvers" if one.block else "the herd"
        rows.append(PaperRow((say_day(one.day, a.today), f"{one.word}. {one.say}", whom)))
    columns = (PaperColumn("Day", weight=700), PaperColumn("What", 0.6), PaperColumn("Which cows", 0.4, weight=500))
    left = len(things) - len(rows)
    after = [Words(f"And {left} more on the page Calving, To do.", 9, role="ink_second")] if left else []
    return [*blocks, Table(columns, rows), *after]


def the_others(a: Assessment, inside: Flags, lists: FlagLists) -> list[Block]:
    """The living cows among on none of the lists, a verdict a line."""
    listed = set(lists.on(ACT, HAND, MISSING, NOTHING))
    tags = short_tags(a.snapshot.cows.tag.tolist())
    by_verdict: dict[tuple[str, str], list[str]] = {}
    for i, cow in enumerate(lists.cow):
        if i not in listed and inside[cow]:
            word = words_of(a, cow).word
            by_verdict.setdefault((lists.mark[i], word), []).append(tags[cow])
    count = sum(len(of) for of in by_verdict.values())
    if not count:
        return []
    rows = [PaperRow((f"{word}: {len(of)}", ", ".join(of)), mark=mark) for (mark, word), of in by_verdict.items()]
    columns = (PaperColumn("Verdict", 0.3, marks=True), PaperColumn("Cows", 0.7, weight=500))
    return [heading(f"On none of these lists: {say_cows(count)}"), Table(columns, rows)]


def _concerns(thing: Thing, inside: Flags) -> bool:
    return not thing.cows or bool(inside[list(thing.cows)].any())
