"""The lists of the herd day report: whom to act on, whom there is time for, what to find out, every cow."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.grouping import NO_GROUP
from herdscore.domain.listing import ACT, FLAG_LIST, HAND, MISSING, NOTHING, FlagLists
from herdscore.domain.reasons import say_day, say_number, say_spread
from herdscore.domain.scale import show
from herdscore.pages.cow_words import say_cows
from herdscore.pages.short_tags import short_tags
from herdscore.parts.report_blocks import Block, Words, heading
from herdscore.parts.report_table import PaperColumn, PaperRow, Table

Flags = npt.NDArray[np.bool_]
AT = {column.key: place for place, column in enumerate(FLAG_LIST)}
ALL_LINES = ALL_TAGS = 1_000_000
LISTS = (
    (ACT, "To act on now", "Nothing to act on now."),
    (HAND, "Time in hand", "No change waits for its day."),
    (MISSING, "To find out", "Nothing to find out: every cow has a date, and a score new enough."),
    (NOTHING, "Nothing new begins", "No cow is on a change, close to calving, or gaining well."),
)
_SINGLY = {ACT: 1.0, HAND: 0.4}
"""Lists whose most urgent cows have a line each, and the share of the lines each list gets."""
_EMPTY_LINES = 24
_ELSEWHERE = "The whole list is on the page Cows, under Flagged; there Ctrl+E saves it as a spreadsheet."


class DayLists:
    """The lists of some cows of a herd (flags, one a cow)."""

    def __init__(self, assessment: Assessment, lists: FlagLists, inside: Flags) -> None:
        self._a, self._lists = assessment, lists
        self.rows = {key: [i for i in lists.on(key) if inside[lists.cow[i]]] for key, _, _ in LISTS}
        self._all = [i for i, cow in enumerate(lists.cow) if inside[cow]]
        self._tags = short_tags(assessment.snapshot.cows.tag.tolist())

    @property
    def to_tell_singly(self) -> int:
        """Cows who have a line of their own where there is room."""
        return len(self.rows[ACT]) + len(self.rows[HAND])

    @property
    def listed(self) -> int:
        """Cows on any list."""
        return sum(len(rows) for rows in self.rows.values())

    def blocks(self, lines: int, most_tags: int) -> list[Block]:
        """All lists: so many lines of single cows who need something, and so many tags with one verdict at most."""
        made: list[Block] = []
        cut = False
        for place, (key, title, none) in enumerate(LISTS):
            rows = self.rows[key]
            above = 0.0 if place == 0 else 12.0
            if not rows:
                made.append(Words(f"{title}: 0. {none}", 10.5, above=above))
                continue
            made.append(heading(f"{title}: {len(rows)}", above=above))
            first = round(_SINGLY.get(key, 0.0) * lines)
            if rows[:first]:
                made.append(self._one_by_one(rows[:first], under_groups=first >= len(rows)))
            if rows[first:]:
                if first:
                    more = f"And {len(rows) - first} more, less urgent, by verdict:"
                    made.append(Words(more, 10.5, 600, keep=True))
                made.append(self._run_together(rows[first:], most_tags))
                cut = cut or most_tags < ALL_TAGS
        return [*made, Words(_ELSEWHERE, 9, role="ink_second")] if cut else made

    def register(self, most: int) -> list[Block]:
        """A line a cow, at most so many: last score, where she is heading, her verdict."""
        rows = []
        for i in self._all[:most]:
            calves, scores = self._calves_and_scores(i)
            rows.append(
                PaperRow(
                    (
                        self._tags[self._lists.cow[i]],
                        self._group(i),
                        self._last_score(i),
                        scores,
                        calves,
                        self._said(i, "verdict"),
                    ),
                    mark="" if self._lists.mark[i] == "none" else self._lists.mark[i],
                )
            )
        columns = (
            PaperColumn("Tag", weight=700, marks=True),
            PaperColumn("Group", 0.24),
            PaperColumn("Last score", 0.22),
            PaperColumn("Now \u2192 at calving", 0.2),
            PaperColumn("Calves", 0.2),
            PaperColumn("Verdict", 0.3, weight=500),
        )
        more = len(self._all) - most
        after = [Words(f"And {say_cows(more)} more, in the register on the page Herd.", 9, role="ink_second")]
        return [heading("Every cow"), Table(columns, rows, points=9.5), *(after if more > 0 else [])]

    def _one_by_one(self, rows: Sequence[int], *, under_groups: bool) -> Table:
        """A line a cow, under the name of her group where all are told; groups in the order of their most urgent."""
        if not under_groups:
            return Table(_columns(PaperColumn("Group", 0.2)), [self._cow_row(i, self._group(i)) for i in rows], 9)
        by_group: dict[str, list[PaperRow]] = {}
        for i in rows:
            by_group.setdefault(self._group(i), []).append(self._cow_row(i))
        made = []
        for group, of_group in by_group.items():
            made.append(PaperRow((f"{group}: {say_cows(len(of_group))}",), title=True))
            made += of_group
        return Table(_columns(), made, points=9)

    def _cow_row(self, i: int, *group: str) -> PaperRow:
        calves, scores = self._calves_and_scores(i)
        cells = (
            self._tags[self._lists.cow[i]],
            *group,
            self._said(i, "verdict"),
            calves,
            scores,
            self._by(i),
            self._said(i, "advice"),
        )
        return PaperRow(cells, mark=self._lists.mark[i])

    def _calves_and_scores(self, i: int) -> tuple[str, str]:
        row = self._lists.rows[i]
        calves, spread, now, projected = (
            row[AT[key]] for key in ("calving_date", "date_spread", "score_now", "projected")
        )
        date_said = f"{say_day(calves)} ± {say_spread(float(str(spread)))}" if isinstance(calves, date) else ""
        scores = say_number(float(str(now)), 2) if now is not None else ""
        scores += f" \u2192 {say_number(float(str(projected)), 1)}" if projected is not None else ""
        return date_said, scores

    def _last_score(self, i: int) -> str:
        last, day = (self._lists.rows[i][AT[key]] for key in ("last_score", "last_scored"))
        if last is None or not isinstance(day, date):
            return "not scored"
        return f"{show(round(float(str(last)) * 4))}, {say_day(day, self._a.today)}"

    def _said(self, i: int, key: str) -> str:
        return str(self._lists.rows[i][AT[key]])

    def _by(self, i: int) -> str:
        by = self._lists.rows[i][AT["act_by"]]
        return "" if not isinstance(by, date) else "today" if by == self._a.today else say_day(by)

    def _group(self, i: int) -> str:
        return str(self._lists.rows[i][AT["group"]] or NO_GROUP)

    def _run_together(self, rows: Sequence[int], most_tags: int) -> Table:
        """A line for all cows with the same verdict and advice, tags by group; days to score by follow the tags."""
        same: dict[tuple[str, str, str], list[int]] = {}
        for i in rows:
            advice, by = self._said(i, "advice"), self._lists.rows[i][AT["act_by"]]
            if isinstance(by, date):
                advice = advice.replace(say_day(by), "the day named")
            same.setdefault((self._lists.mark[i], self._said(i, "verdict"), advice), []).append(i)
        if most_tags < ALL_TAGS:
            # What differs in a date only is told once.
            same = _merged(same)
        made = [
            PaperRow((f"{verdict}: {len(of)}", self._tags_by_group(of, most_tags), advice), mark=mark)
            for (mark, verdict, advice), of in same.items()
        ]
        columns = (
            PaperColumn("Verdict", 0.2, marks=True),
            PaperColumn("Cows", 0.47, weight=500),
            PaperColumn("What to do", 0.33),
        )
        return Table(columns, made, points=10)

    def _tags_by_group(self, rows: Iterable[int], most_tags: int) -> str:
        by_group: dict[str, list[str]] = {}
        for i in rows:
            by, tag = self._by(i), self._tags[self._lists.cow[i]]
            told = f"{tag} {'' if by == 'today' else 'by '}{by}" if by else tag
            by_group.setdefault(self._group(i), []).append(told)
        said = []
        room, left = most_tags, sum(len(of) for of in by_group.values())
        for group, of in by_group.items():
            shown = of[: max(room, 0)]
            room, left = room - len(shown), left - len(shown)
            if shown:
                said.append(f"{group}: {', '.join(shown)}")
        return "; ".join(said) + (f"; {left} more on the flag list" if left else "")


def first_sheet() -> list[Block]:
    """A sheet to fill in by hand for a herd nothing is known of."""
    empty = PaperRow(("\n", "", "", "", "", "", ""))
    columns = (
        PaperColumn("Tag", 0.2),
        PaperColumn("Group", 0.2),
        PaperColumn("Calves, or served", 0.2),
        *(PaperColumn(site, 0.1) for site in ("Loin", "Ribs", "Tailhead")),
        PaperColumn("Note", 0.2),
    )
    return [heading("For the first scoring, to fill in by hand"), Table(columns, [empty] * _EMPTY_LINES, points=9)]


def _columns(*more: PaperColumn) -> tuple[PaperColumn, ...]:
    return (
        PaperColumn("Tag", weight=700, marks=True, points=11),
        *more,
        PaperColumn("Verdict", 0.22),
        PaperColumn("Calves"),
        PaperColumn("Now \u2192 at\ncalving"),
        PaperColumn("Act by", weight=700),
        PaperColumn("What to do", 0.78),
    )


def _merged(same: dict[tuple[str, str, str], list[int]]) -> dict[tuple[str, str, str], list[int]]:
    by_verdict: dict[tuple[str, str], tuple[str, list[int]]] = {}
    for (mark, verdict, advice), of in same.items():
        first, cows = by_verdict.setdefault((mark, verdict), (advice, []))
        cows += of
        by_verdict[mark, verdict] = (first if first == advice else "As the flag list says of each.", cows)
    return {(mark, verdict, advice): cows for (mark, verdict), (advice, cows) in by_verdict.items()}
