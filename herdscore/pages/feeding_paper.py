"""The feeding sheet and the order list on paper, and the words both share with the page and the spreadsheet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from herdscore.domain.calving_forms import MineralRules
from herdscore.domain.day_names import SHORT_DAYS
from herdscore.domain.fed_groups import NO_GROUP, FedGroup, present_ration
from herdscore.domain.feed_order import FeedLine, FeedOrder, say_tonnes
from herdscore.domain.feeding_cautions import cautions
from herdscore.domain.feeding_sheet import LEAST_SAID, FeedingSheet, GroupSheet, SheetLine
from herdscore.domain.feeds import Feeds
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.rulebook import Rulebook
from herdscore.pages.cow_words import say_cows
from herdscore.parts.report_blocks import Block, Words, heading
from herdscore.parts.report_pages import Report
from herdscore.parts.report_table import PaperColumn, PaperRow, Table

_FOOT = "As written down on the day of printing: print it again after a round of scores, a new date or a move."
_UNGROUPED = "cows without a group"
_DAYS_SHARE = 1.2  # of the width of a feed
_ON_PORTRAIT, _MANY = 4, 7
"""Feeds for which a sheet stands upright, and for which its figures are large."""
ORDER_HEADS = ("What", "Needed", "In store", "To buy", "Days", "Store ends")


def say_weekday(day: date, today: date) -> str:
    """A day for the yard: Thu 4 Dec."""
    return f"{SHORT_DAYS[day.weekday()]}\u00a0{say_day(day, today)}"


def span_words(line: SheetLine, today: date) -> str:
    """The days of a line: "Thu 4 Dec to Sun 7 Dec"."""
    if line.first == line.last:
        return say_weekday(line.first, today)
    return f"{say_weekday(line.first, today)} to {say_weekday(line.last, today)}"


def say_head(kg: float) -> str:
    """Kg a head: tenths for what is fed by the fork, hundredths for less."""
    return say_number(kg, 1 if kg >= 10 else 2)


def say_all(kg: float) -> str:
    """Kg for the whole group: whole kg, tenths for less."""
    return f"{kg:,.0f}" if kg >= 20 else say_number(kg, 1)


def amount_words(group: GroupSheet, line: SheetLine) -> tuple[str, ...]:
    """What stands under each feed: in all, a head below, and where it is another how much more or less a head."""
    said = []
    for kg, all_of, moved in zip(line.kg, group.in_all(line), line.moved, strict=True):
        words = f"{say_all(all_of)}\n{say_head(kg)} a head" if kg > 0 else "none"
        said.append(f"{words}\n({say_number(moved, 2, sign=True)})" if abs(moved) >= LEAST_SAID else words)
    return tuple(said)


def change_words(group: GroupSheet, line: SheetLine) -> str:
    """What a step brings, in kg a head: "Barley +0.6"."""
    moves = [
        f"{feed} {say_number(moved, 2, sign=True)}"
        for feed, moved in zip(group.feeds, line.moved, strict=True)
        if abs(moved) >= LEAST_SAID
    ]
    return ", ".join(moves)


def next_words(group: GroupSheet, today: date) -> str:
    """When the next step comes: "Next step Thu 4 Dec: Barley +0.6 kg a head."."""
    step = next((line for line in group.lines if line.first == group.next_step), None)
    if step is None:
        return "No step written down in these weeks: the same every day."
    return f"Next step {say_weekday(step.first, today)}: {change_words(group, step)} kg a head."


def caution_words(groups: Sequence[FedGroup], feeds: Feeds, rules: Rulebook) -> list[tuple[str, str]]:
    """The cautions of all groups, each sentence once."""
    said = [one for group in groups for one in cautions(group.cows, feeds, present_ration(group, feeds), rules)]
    return list(dict.fromkeys(said))


def feeding_report(sheet: FeedingSheet, herd: str, said: Sequence[tuple[str, str]]) -> Report:
    """The sheet for the loader: a table a group, the next step large."""
    today = sheet.day
    blocks: list[Block] = [
        Words("Feeding sheet", 18, 700, below=0.0, keep=True),
        Words(f"{herd}, from {say_weekday(today, today)}\u00a0{today.year}. All kg are fresh, a day.", 10, 400),
    ]
    ahead = sorted((one.next_step, one.name) for one in sheet.groups if one.next_step is not None)
    if ahead:
        said_ahead = "; ".join(f"{say_weekday(day, today)} {name}" for day, name in ahead)
        blocks.append(Words(f"Steps ahead: {said_ahead}.", 11, 600))
    for group in sheet.groups:
        blocks += _of_group(group, today)
    if not sheet.groups:
        blocks.append(Words("No ration is written down for any group in these weeks.", 11))
    if sheet.without:
        blocks.append(Words(without_words(sheet.without), 10, 400, above=8.0))
    if said:
        blocks.append(heading("Take care", 11))
        blocks += [Words(f"{word}. {say}", 9) for word, say in said]
    widest = max((len(group.feeds) for group in sheet.groups), default=0)
    return Report(f"{herd}: feeding sheet", blocks, foot=_FOOT, landscape=widest > _ON_PORTRAIT)


def _of_group(group: GroupSheet, today: date) -> list[Block]:
    step = group.next_step is not None
    points = 11 if len(group.feeds) <= _MANY else 9
    columns = [PaperColumn("Days", share=_DAYS_SHARE, weight=600)]
    columns += [
        PaperColumn(words, share=1, right=True, weight=700, points=points) for words in (*group.feeds, "All together")
    ]
    rows = [
        PaperRow(
            (
                span_words(line, today).replace(" to ", "\nto "),
                *amount_words(group, line),
                f"{say_all(sum(group.in_all(line)))}\n{say_head(sum(line.kg))} a head",
            )
        )
        for line in group.lines
    ]
    return [
        heading(f"{group.name or NO_GROUP}, {say_cows(group.cows)}", 14),
        Words(next_words(group, today), 12, 700 if step else 400, keep=True),
        Table(columns, rows),
    ]


def without_words(names: Sequence[str]) -> str:
    """Groups no ration is written down for, in sentences; one is written for a group only."""
    said, named = [], ", ".join(name for name in names if name)
    if named:
        said.append(f"No ration written down for {named}: say on Feeding, Ration by hand, what they get.")
    if "" in names:
        said.append(f"{_UNGROUPED.capitalize()} have no ration: give them a group first.")
    return " ".join(said)


def order_cells(line: FeedLine, today: date) -> tuple[str, ...]:
    """One feed's line under `ORDER_HEADS`."""
    store = say_tonnes(line.in_store) if math.isfinite(line.in_store) else "not said"
    bags = f"\n{_bags(line.bags)}" if line.bags else ""
    to_buy = f"{say_tonnes(line.to_buy)}{bags}" if line.to_buy > 0 else "nothing"
    if not math.isfinite(line.in_store):
        ends = "not said"
    else:
        ends = "lasts" if line.store_ends is None else say_day(line.store_ends, today)
    return (line.feed, say_tonnes(line.kg), store, to_buy, str(line.days), ends)


def order_words(order: FeedOrder, rules: MineralRules) -> list[str]:
    """What is to be said about an order beside its table."""
    said = []
    if math.isfinite(order.cost) and order.cost > 0:
        said.append(f"What is to be bought costs about {order.cost:,.0f} at the prices entered.")
    elif math.isnan(order.cost):
        lacking = [line.feed for line in order.lines if line.to_buy > 0 and math.isnan(line.cost)]
        said.append(f"No price is entered for {', '.join(lacking)}: the cost is not known.")
    if order.by_rule:
        groups = ", ".join(name or _UNGROUPED for name in order.by_rule)
        weeks = rules.dry_mineral_days // 7
        dose = f"{rules.dry_mineral_grams:g} g a head a day over each cow's last {weeks} weeks"
        said.append(f"Mineral is reckoned at {dose} for {groups}: none is in their ration. Your label decides.")
    if order.magnesium.lines:
        kg, bags = order.magnesium.kg, order.magnesium.bags
        said.append(f"About turnout comes calcined magnesite: {say_tonnes(kg)}, {_bags(bags)}; see Calving, Ready.")
    if order.unknown:
        said.append(f"Not counted, for they are no longer among the feeds: {', '.join(order.unknown)}.")
    if order.without:
        said.append(without_words(order.without))
    said.append(
        "A cow with a calving date ahead counts until that day, any other in the group all the time. "
        "Bedding, waste and what she eats after that day come on top."
    )
    return said


def order_report(
    order: FeedOrder, herd: str, until: str, said: Sequence[str], mind: Sequence[tuple[str, str]]
) -> Report:
    """The order list on A4."""
    today = order.day
    blocks: list[Block] = [
        Words("Order list", 18, 700, below=0.0, keep=True),
        Words(f"{herd}, from {say_day(today)}\u00a0{today.year} {until}. All weights are fresh.", 10, 400, below=8.0),
    ]
    rows = [PaperRow((*order_cells(line, today), "")) for line in order.lines]
    if rows:
        columns = [PaperColumn(ORDER_HEADS[0], share=1, weight=600)]
        columns += [
            PaperColumn(words, right=True, weight=700 if words == "To buy" else 400) for words in ORDER_HEADS[1:]
        ]
        blocks.append(Table([*columns, PaperColumn("Ordered", share=0.6)], rows, points=11))
    else:
        blocks.append(Words("Nothing to order: no ration is written down for these weeks.", 11))
    blocks += [Words(one, 10) for one in said]
    if mind:
        blocks.append(heading("Take care", 11))
        blocks += [Words(f"{word}. {say}", 9) for word, say in mind]
    return Report(f"{herd}: order list", blocks)


def _bags(count: int) -> str:
    return f"{count} bag{'' if count == 1 else 's'}"
