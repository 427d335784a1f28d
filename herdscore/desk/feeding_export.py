"""The feeding sheet and the order list, as they go into a spreadsheet."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from herdscore.domain.feed_order import FeedOrder
from herdscore.domain.feeding_sheet import FeedingSheet

if TYPE_CHECKING:
    from herdscore.exchange.table_book import BookTable, TableBook

_SHEET = (
    "Group",
    "Cows",
    "From",
    "To",
    "Days",
    "Feed",
    "kg a head a day",
    "Change",
    "kg in all a day",
    "kg, these days",
)
_SHEET_FORMATS = ("@", "0", "d mmm yyyy", "d mmm yyyy", "0", "@", "0.00", "+0.00;\u22120.00;", "#,##0.0", "#,##0")
_ORDER = ("What", "Kind", "From", "To", "Days", "kg needed", "kg in store", "Store ends", "kg to buy", "Bags", "Cost")
_ORDER_FORMATS = (
    *("@", "@", "d mmm yyyy", "d mmm yyyy", "0", "#,##0", "#,##0", "d mmm yyyy", "#,##0", "0", "#,##0", "@"),
)
_TEXT, _DATE = 26.0, 13.0


def feeding_book(sheet: FeedingSheet, order: FeedOrder, herd_name: str, said: tuple[str, ...]) -> TableBook:
    """Both as tables of one workbook; kg are fresh."""
    from herdscore.exchange.table_book import TableBook  # late: nobody writes a sheet at the start

    return TableBook(herd_name, sheet.day, (_feeding(sheet), _order(order)), said, "About")


def _feeding(sheet: FeedingSheet) -> BookTable:
    from herdscore.exchange.table_book import BookTable

    rows: list[list[Any]] = []
    for group in sheet.groups:
        for line in group.lines:
            for feed, kg, moved in zip(group.feeds, line.kg, line.moved, strict=True):
                if not kg and not moved:
                    continue
                in_all = kg * group.cows
                days = [group.name, group.cows, line.first, line.last, line.days]
                change = round(moved, 3) if moved else None
                rows.append([*days, feed, round(kg, 3), change, round(in_all, 1), round(in_all * line.days, 0)])
    widths = (_TEXT, 0.0, _DATE, _DATE, 0.0, _TEXT, 0.0, 0.0, 0.0, 0.0)
    return BookTable("Feeding sheet", _SHEET, _SHEET_FORMATS, rows, widths)


def _order(order: FeedOrder) -> BookTable:
    from herdscore.exchange.table_book import BookTable

    rows: list[list[Any]] = []
    for line in order.lines:
        store = round(line.in_store) if math.isfinite(line.in_store) else None
        cost = round(line.cost) if math.isfinite(line.cost) and line.to_buy else None
        days = [line.feed, line.kind, line.first, line.last, line.days]
        amounts = [round(line.kg), store, line.store_ends, round(line.to_buy), line.bags, cost]
        rows.append([*days, *amounts, ", ".join(line.groups)])
    widths = (_TEXT, 0.0, _DATE, _DATE, 0.0, 0.0, 0.0, _DATE, 0.0, 0.0, 0.0, _TEXT)
    return BookTable("Order list", (*_ORDER, "Groups"), _ORDER_FORMATS, rows, widths)
