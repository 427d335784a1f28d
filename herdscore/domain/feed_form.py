"""Feeds as they are typed: one field read into a feed or a sentence, feeds of the book to begin with, ME of a DMD."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from herdscore.domain.changes import Change, RowChange
from herdscore.domain.feeding_forms import BookFeed, FeedingLimits
from herdscore.domain.feeds import Feeds, feed_problems, me_of_dmd
from herdscore.domain.herd import Snapshot
from herdscore.domain.reasons import say_number
from herdscore.domain.records import FEED_KINDS, Feed, Ration, new_id
from herdscore.domain.rulebook import Rulebook

A_MINERAL = "A mineral, lick or bolus"
USUAL = ("Grass silage, 65 DMD", "Barley straw", "Barley, rolled")
"""What nearly every farm has, to begin a list with."""
NEEDED = ("feed", "kind", "dm", "me")
NUMBERS = ("dm", "me", "cp", "price", "stock", "cu", "se", "i", "mg", "dose")
_NUMBER = re.compile(r"-?(\d*[.,]?\d+|\d+[.,])")
_WORDS = {
    "dm": "dry matter",
    "me": "energy",
    "cp": "protein",
    "price": "price",
    "stock": "stock",
    "cu": "copper",
    "se": "selenium",
    "i": "iodine",
    "mg": "magnesium",
    "dose": "dose",
}


def typed_of(feed: Feed) -> dict[str, str]:
    """What stands in the fields of a feed."""
    texts = {"feed": feed.feed, "kind": feed.kind}
    for name in NUMBERS:
        value = getattr(feed, name)
        texts[name] = "" if value is None else f"{value:g}"
    return texts


def read_feed_field(name: str, typed: str, feed: Feed, others: Feeds, rules: Rulebook) -> Feed | str:
    """The feed with one field changed, or what is wrong with what was typed."""
    text = " ".join(typed.replace("−", "-").split())
    if not text and name in NEEDED:
        return "It needs a name." if name == "feed" else f"Every feed needs its {_WORDS.get(name, name)}."
    if name == "feed":
        if (
            any(str(one).casefold() == text.casefold() for one in others.name)
            and text.casefold() != feed.feed.casefold()
        ):
            return f"There is a feed called {text} already."
        return replace(feed, feed=text)
    if name == "kind":
        if text not in FEED_KINDS:
            return f"A kind of feed is one of {', '.join(FEED_KINDS)}."
        return _checked(replace(feed, kind=text), feed, rules.feeding)
    if not text:
        return _with(feed, name, None)
    if not _NUMBER.fullmatch(text):
        return f"“{typed.strip()}” is not a number."
    number = float(text.replace(",", "."))
    if number < 0:
        return f"The {_WORDS[name]} cannot be below 0."
    if name in ("dm", "cp") and 0 < number < 1:
        return f"{number:g} looks like a share; the {_WORDS[name]} is a percentage: {number * 100:g}?"
    return _checked(_with(feed, name, number), feed, rules.feeding)


def _with(feed: Feed, name: str, value: float | None) -> Feed:
    values: dict[str, Any] = {name: value}
    return replace(feed, **values)


def _checked(after: Feed, before: Feed, limits: FeedingLimits) -> Feed | str:
    """The feed, unless the change makes it one that cannot be."""
    known = {problem.what for problem in feed_problems(before, limits)}
    new = [problem for problem in feed_problems(after, limits) if problem.what not in known]
    new = [problem for problem in new if "no dose" not in problem.what]  # said beside the list, not refused
    return " ".join((new[0].what, new[0].why, new[0].what_to_do)) if new else after


def feed_of_book(entry: BookFeed | None, others: Feeds) -> Feed:
    """A feed with the values of the book; None: a mineral still without figures."""
    name = "Mineral" if entry is None else entry.name
    taken = {str(one).casefold() for one in others.name}
    made, count = name, 1
    while made.casefold() in taken:
        count += 1
        made = f"{name} {count}"
    if entry is None:
        return Feed(new_id(), made, 100.0, 0.0, "mineral")
    return Feed(new_id(), made, entry.dm, entry.me, entry.kind, entry.cp)


def is_book(feed: Feed, book: Mapping[str, BookFeed]) -> bool:
    """Whether a feed still has the values of the book and none of an analysis of its own."""
    mine = (feed.kind, feed.dm, feed.me, feed.cp)
    return any(mine == (one.kind, one.dm, one.me, one.cp) for one in book.values())


def with_book_marks(feeds: Feeds, book: Mapping[str, BookFeed]) -> Feeds:
    """The feeds, those with the values of the book marked so."""
    values = {(one.kind, one.dm, one.me, one.cp) for one in book.values()}
    rows = zip(feeds.kind, np.round(100 * feeds.dm, 6), feeds.me, np.round(100 * feeds.cp, 6), strict=True)
    marks = [(str(kind), float(dm), float(me), float(cp)) in values for kind, dm, me, cp in rows]
    return replace(feeds, book=np.array(marks, dtype=bool))


def rename_rows(snapshot: Snapshot, before: Feed, after: Feed) -> Change:
    """A changed feed; called otherwise, the rations written down follow it."""
    rows = [RowChange(before, after)]
    if before.feed != after.feed:
        rows += [
            RowChange(row, replace(row, feed=after.feed))
            for row in snapshot.records("rations")
            if isinstance(row, Ration) and row.feed.casefold() == before.feed.casefold()
        ]
    return Change("edit feed", tuple(rows))


def me_words(typed: str, limits: FeedingLimits) -> tuple[float | None, str]:
    """ME of a forage by the digestibility of its analysis, % of dry matter, and what is to be said of it."""
    text = typed.strip().removesuffix("%").strip()
    if not text:
        return None, "Digestibility (DMD) of a forage analysis, %: gives its ME. A laboratory's own ME always wins."
    if not _NUMBER.fullmatch(text):
        return None, f"“{typed.strip()}” is not a number."
    dmd = float(text.replace(",", "."))
    if not limits.dmd_lowest <= dmd <= limits.dmd_highest:
        return (
            None,
            f"{dmd:g} % is no digestibility of a forage: {limits.dmd_lowest:g} to {limits.dmd_highest:g} % are.",
        )
    me = round(float(me_of_dmd(dmd, limits)), 1)
    return me, f"DMD {dmd:g} % gives ME {say_number(me, 1)} MJ/kg dry matter."
