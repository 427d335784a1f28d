"""Tab Feeds: what the farm has to feed, changed in place; book values until an analysis is entered."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import Signal
from typing_extensions import override

from herdscore.desk.edits import add_all, strike_record
from herdscore.domain.feed_form import (
    A_MINERAL,
    USUAL,
    feed_of_book,
    is_book,
    me_words,
    read_feed_field,
    rename_rows,
    typed_of,
)
from herdscore.domain.feeds import feed_problems, list_problems
from herdscore.domain.rations import feeds_in_use
from herdscore.domain.records import FEED_KINDS, Feed
from herdscore.pages.feeding_work import FeedingWork
from herdscore.pages.fresh_tab import FreshTab
from herdscore.parts.buttons import button, choice_box
from herdscore.parts.cards import card, column, row
from herdscore.parts.edit_list import EditList
from herdscore.parts.fields import field
from herdscore.parts.flow import flow
from herdscore.parts.labels import label, restyle
from herdscore.parts.list_model import Column, ListRow
from herdscore.parts.theme import Look

_COLUMNS = (
    Column("feed", "Feed", width=190, weight=600),
    Column("kind", "Kind", width=110),
    Column("dm", "DM\n%", "number", right=True, width=52),
    Column("me", "ME\nMJ/kg DM", "number", right=True, width=90),
    Column("cp", "CP\n% of DM", "number", right=True, width=78),
    Column("price", "Price\na t fresh", "number", right=True, width=82),
    Column("stock", "In stock\nt fresh", "number", right=True, width=82),
    Column("cu", "Copper\nmg/kg", "number", right=True, width=72),
    Column("se", "Selen.\nmg/kg", "number", right=True, width=72),
    Column("i", "Iodine\nmg/kg", "number", right=True, width=72),
    Column("mg", "Magn.\ng/kg", "number", right=True, width=72),
    Column("dose", "Dose\ng a day", "number", right=True, width=72),
    Column("from", "Values", width=118),
)
EDITABLE = tuple(column.key for column in _COLUMNS[:-1])
_HINT = (
    "F2 or Enter changes a cell, Delete strikes a feed out. A forage analysis beats book values; "
    "check with your nutritionist or vet. Minerals of all sources are summed."
)
_NONE = "No feeds yet. Begin with silage, straw and barley from the book, then type your own analysis over them."


class FeedsTab(FreshTab):
    """`message(Message)`; every change is one step that can be taken back."""

    message = Signal(object)

    def __init__(self, look: Look, work: FeedingWork) -> None:
        super().__init__()
        self.work, self._look = work, look
        self._rows: dict[str, Feed] = {}
        self._strike: str | None = None  # a feed in use that is struck out when Delete is pressed again
        self.claim = label("What the farm has to feed", 14, 700, wrap=True)
        self.problems = label("", 11, 600, "thin", wrap=True)
        self.book = choice_box("Feed of the book", [*work.herd.rulebook.book_feeds, A_MINERAL])
        self.add_button, self.usual_button = button("Add it"), button("Begin with silage, straw, barley", "main")
        self.list = EditList(look, _COLUMNS, "Feeds", editable=EDITABLE)
        self.dmd, self.dmd_words = field("DMD of an analysis", "DMD %", width=92), label("", 11, wrap=True)
        self.dmd_button = button("Use it")
        self.foot = label(_HINT, 11, 400, "second", wrap=True)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        book = flow(self.book, self.add_button, self.usual_button)
        head = row((column(self.claim, self.problems, spacing=2), 1), (book, 0), spacing=12)
        helper = row(self.dmd, (self.dmd_words, 1), self.dmd_button, spacing=10)
        inside = column(head, (self.list, 1), self.foot, helper, spacing=8, margins=(16, 10, 14, 10))
        self.setLayout(column(card(inside)))

    def _connect(self) -> None:
        self.work.moved.connect(self.herd_moved)
        self.add_button.clicked.connect(self.add)
        self.usual_button.clicked.connect(self.add_usual)
        self.list.edit_wished.connect(self._on_wished)
        self.list.typed.connect(self._on_typed)
        self.list.edit_left.connect(lambda: self._say(""))
        self.list.struck.connect(self._on_struck)
        self.list.chosen.connect(self._on_chosen)
        self.dmd.textEdited.connect(lambda _: self._show_dmd())
        self.dmd.returnPressed.connect(self.use_dmd)
        self.dmd_button.clicked.connect(self.use_dmd)

    @override
    def focus_first(self) -> None:
        (self.list if self._rows else self.usual_button).setFocus()

    @override
    def renew(self) -> None:
        """Show the feeds as they are now."""
        self._strike = None
        herd = self.work.herd
        rows = [row for row in herd.assessment.snapshot.records("feeds") if isinstance(row, Feed)]
        self._rows = {row.id: row for row in rows}
        self.list.widen(self._look.theme.text_scale)
        self.list.show_rows([self._row(feed) for feed in rows])
        limits, feeds = herd.rulebook.feeding, self.work.feeds
        found = [problem for feed in rows for problem in feed_problems(feed, limits)] + list_problems(feeds)
        said = " ".join(f"{problem.what} {problem.why} {problem.what_to_do}" for problem in found) if rows else _NONE
        self.problems.setText(said)
        self.problems.setVisible(bool(said))
        book = sum(is_book(feed, herd.rulebook.book_feeds) for feed in rows)
        words = f", {book} with book values" if book else ""
        self.claim.setText(f"What the farm has to feed: {len(rows)} feed{'' if len(rows) == 1 else 's'}{words}")
        self.usual_button.setVisible(not rows)
        for one in (self.add_button, self.usual_button):
            one.setEnabled(herd.can_write)
            one.setToolTip(herd.why_not)
        self._show_dmd()

    def _row(self, feed: Feed) -> ListRow:
        texts = typed_of(feed)
        origin = "" if feed.kind not in ("forage", "straw", "concentrate") else "own analysis"
        texts["from"] = "book values" if is_book(feed, self.work.herd.rulebook.book_feeds) else origin
        values = [
            texts[one.key] if one.kind == "text" else (np.nan if (got := getattr(feed, one.key)) is None else got)
            for one in _COLUMNS
        ]
        return ListRow(feed.id, tuple(texts[one.key] for one in _COLUMNS), tuple(values))

    def _say(self, words: str, *, wrong: bool = False) -> None:
        self.foot.setText(words or _HINT)
        restyle(self.foot, "tone", "thin" if wrong else "second")
        restyle(self.foot, "weight", "600" if wrong else "400")

    # What is done

    def add(self) -> None:
        """Add the feed chosen, with the values of the book."""
        herd = self.work.herd
        if not herd.can_write:
            return
        feed = feed_of_book(herd.rulebook.book_feeds.get(self.book.currentText()), self.work.feeds)
        if herd.push(add_all((feed,), "add feed"), f"feed {feed.feed}"):
            self._say(f"{feed.feed} is added. Type your own name and analysis over it.")

    def add_usual(self) -> None:
        """Begin a list with what nearly every farm has."""
        herd = self.work.herd
        if herd.can_write:
            feeds = tuple(feed_of_book(herd.rulebook.book_feeds[name], self.work.feeds) for name in USUAL)
            herd.push(add_all(feeds, "add feeds"), "usual feeds")

    def use_dmd(self) -> None:
        """Take the ME of a digestibility over into the forage chosen."""
        herd, key = self.work.herd, self.list.current_key()
        feed = self._rows.get(str(key))
        me, _ = me_words(self.dmd.text(), herd.rulebook.feeding)
        if feed is None or me is None or feed.kind != "forage" or not herd.can_write:
            return
        read = read_feed_field("me", f"{me:g}", feed, self.work.feeds, herd.rulebook)
        if isinstance(read, str):
            self._say(read, wrong=True)
        elif herd.push(rename_rows(herd.snapshot, feed, read), f"energy of {feed.feed}"):
            self.dmd.clear()
            self._say(f"{feed.feed} now has {me:g} MJ ME/kg dry matter.")

    def _show_dmd(self) -> None:
        me, words = me_words(self.dmd.text(), self.work.herd.rulebook.feeding)
        feed = self._rows.get(str(self.list.current_key()))
        fits = feed is not None and feed.kind == "forage"
        if me is not None and not fits:
            words += " Choose a forage in the list to use it for."
        self.dmd_words.setText(words)
        self.dmd_button.setEnabled(me is not None and fits and self.work.herd.can_write)
        self.dmd_button.setText(f"Use it for {feed.feed}" if feed is not None and fits and me is not None else "Use it")

    def _on_chosen(self, _key: object) -> None:
        self._strike = None  # Delete asks again after anything else
        self._show_dmd()

    def _on_wished(self, feed_id: object, name: str) -> None:
        feed = self._rows.get(str(feed_id))
        if feed is None:
            return
        if not self.work.herd.can_write:
            self._say(self.work.herd.why_not, wrong=True)
            return
        choices = [(kind, kind) for kind in FEED_KINDS] if name == "kind" else ()
        word = next(one.heading for one in _COLUMNS if one.key == name).replace("\n", " ")
        self.list.begin_edit(typed_of(feed)[name], choices, (), f"{word} of {feed.feed}")
        self._say("Enter keeps it, Esc leaves it as it was.")

    def _on_typed(self, feed_id: object, name: str, text: str) -> None:
        feed, herd = self._rows.get(str(feed_id)), self.work.herd
        if feed is None or not herd.can_write:
            self.list.end_edit()
            return
        read = read_feed_field(name, text, feed, self.work.feeds, herd.rulebook)
        if isinstance(read, str):
            self.list.show_wrong()
            self._say(read, wrong=True)
            return
        if read != feed and not herd.push(rename_rows(herd.snapshot, feed, read), f"feed {read.feed}"):
            return
        self.list.end_edit()
        self.list.setFocus()
        self._say("" if read == feed else f"{read.feed}: kept.")

    def _on_struck(self, keys: object) -> None:
        herd = self.work.herd
        feed = next((self._rows[str(key)] for key in list(keys) if str(key) in self._rows), None)  # type: ignore[call-overload]
        if feed is None or not herd.can_write:
            return
        using = feeds_in_use(herd.snapshot, feed.feed, herd.herd_day)
        if using and self._strike != feed.id:
            self._strike = feed.id
            self._say(f"{feed.feed} is fed to {', '.join(using)}. Press Delete again to strike it out.", wrong=True)
            return
        self._strike = None
        if herd.push(strike_record(feed), f"feed {feed.feed} struck out"):
            self._say(f"{feed.feed} is struck out. Ctrl+Z takes it back.")
