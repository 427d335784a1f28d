"""The groups of one assessment as they are looked at: which way, which block, their figures, strips, ways and rows."""

from __future__ import annotations

from collections.abc import Collection
from functools import cached_property

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.group_finding import chance_words, describe, finding, say_interval, say_share
from herdscore.domain.group_paths import GroupPath, mean_paths
from herdscore.domain.grouping import WAYS, Grouping, group_cows
from herdscore.domain.groups import GROUP_LIST, GroupFigures, Standing, figures, group_rows, standing
from herdscore.domain.notes import Note, group_notes
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.verdict import Verdict
from herdscore.pages.cow_words import say_cows
from herdscore.pages.short_tags import short_tags
from herdscore.parts.group_picture import PathLine, PathsPicture, Strip, StripsPicture
from herdscore.parts.list_model import Column, ListRow

_BOLD = 2
_FEW_LINES = 12  # above, only the bold ways and the largest groups are drawn
TABLE = (
    Column("group", "Group", width=112, weight=600),
    Column("cows", "Cows", kind="number", right=True, width=56),
    Column("now", "Score now\n± spread", kind="number", right=True, width=90),
    Column("against", "Less\ntarget", kind="number", right=True, width=62),
    Column("in_band", "In band", kind="number", right=True, width=112),
    Column("interval", "9 in 10", kind="number", right=True, width=72),
    Column("act", "To act\non", kind="number", right=True, width=54, weight=600),
    Column("first", "First\ncalves", kind="date", width=76),
)
GIVES_WAY = ("against", "interval")
"""Columns left out, in this order, where there is no room; what they say stands beside the strips and in the sheet."""


class GroupView:
    """The groups of an assessment by one way to compare, over the cows of a block; `chosen` for the way "own"."""

    def __init__(
        self, assessment: Assessment, among: npt.NDArray[np.bool_], way: str, chosen: Collection[str] = ()
    ) -> None:
        self.assessment = assessment
        self.among = among
        self.grouping: Grouping = group_cows(assessment, way, among, chosen)
        self.standing: Standing = standing(assessment)
        self.figures: list[GroupFigures] = figures(assessment, self.standing, self.grouping)

    @property
    def way_words(self) -> str:
        """What the groups are, as the pill says it."""
        return dict(WAYS)[self.grouping.way]

    def cows(self, place: int) -> npt.NDArray[np.intp]:
        """Places of the cows of a group."""
        return self.grouping.cows(place)

    def notes(self, place: int) -> list[Note]:
        """What is noted of a group."""
        return group_notes(self.assessment, self.cows(place))

    @cached_property
    def finding(self) -> str:
        """The picture in a sentence."""
        return finding(self.assessment, self.grouping, self.figures, self.among)

    @cached_property
    def tags(self) -> list[str]:
        """Short tags, one a cow."""
        return short_tags(self.assessment.snapshot.cows.tag.tolist())

    # The strips

    @cached_property
    def strips(self) -> StripsPicture:
        """The groups as strips."""
        return self.strips_of(range(len(self.figures)), "Groups compared by score less target")

    def strips_of(self, places: Collection[int], name: str) -> StripsPicture:
        """Some of the groups as strips."""
        return StripsPicture(
            strips=tuple(self._strip(place) for place in places),
            band=self.assessment.rulebook.targets.band,
            name=name,
            description=f"{self.finding}. {describe([self.figures[place] for place in places])}",
        )

    def _strip(self, place: int) -> Strip:
        a, one, cows = self.assessment, self.figures[place], self.cows(place)
        marks = [a.rulebook.words[Verdict(code).key].mark for code in a.verdict[cows].tolist()]
        return Strip(
            name=one.name,
            note=f"{one.in_band} of {one.against.count} in band" if one.against.count else say_cows(one.cows),
            in_milk=one.in_milk,
            values=self.standing.against[cows],
            marks=tuple("dot" if mark == "none" else mark for mark in marks),
            keys=tuple(a.snapshot.cows.id[cows].tolist()),
            lower=one.against.lower,
            median=one.against.median,
            upper=one.against.upper,
            is_small=one.is_small,
            below=f"{one.thin} below" if one.thin else "",
            above=f"{one.fat} above" if one.fat else "",
        )

    def tip(self, cow_id: str) -> str:
        """One cow of a strip in a line."""
        a = self.assessment
        cow = a.snapshot.cow_place[cow_id]
        word = a.rulebook.words[Verdict(a.verdict[cow]).key].word
        when = "now" if self.standing.in_milk[cow] else "at calving"
        gap = say_number(float(self.standing.against[cow]), 2, sign=True)
        calves = say_day(a.day(a.dates.day[cow]), a.today)
        return f"{self.tags[cow]}: {word}. {gap} less target {when}, calves {calves}."

    # The ways

    @cached_property
    def paths(self) -> PathsPicture:
        """The mean ways to calving; the two furthest from target bold, small groups never."""
        limits, rules = self.assessment.rulebook.limits, self.assessment.rulebook
        found = mean_paths(self.assessment, self.standing, self.grouping)
        large = [one for one in found if one.cows >= rules.groups.small_group] or found
        bold = {one.name for one in sorted(large, key=lambda one: -abs(one.end))[:_BOLD]}
        drawn = found
        if len(found) > _FEW_LINES:
            kept = sorted(found, key=lambda one: (one.name not in bold, -one.cows))[:_FEW_LINES]
            drawn = [one for one in found if one in kept]
        return PathsPicture(
            lines=tuple(
                PathLine(
                    name=one.name,
                    days=one.measured_days,
                    values=one.measured,
                    ahead_days=one.ahead_days,
                    ahead=one.ahead,
                    is_bold=one.name in bold,
                    is_small=one.cows < rules.groups.small_group,
                )
                for one in drawn
            ),
            band=rules.targets.band,
            lead=limits.lead_days,
            freeze=limits.freeze_days,
            description=" ".join(f"{_path_words(one)}." for one in found),
        )

    # The table

    def rows(self) -> list[ListRow]:
        """One row a group for the table on screen; the key is the place of the group."""
        return [self._row(place, one) for place, one in enumerate(self.figures)]

    def _row(self, place: int, one: GroupFigures) -> ListRow:
        a = self.assessment
        scored = f"{one.cows}" if one.now.count == one.cows else f"{one.now.count} of {one.cows}"
        now = "" if not one.now.count else say_number(one.now.mean, 2)
        spread = f" ± {say_number(one.now.spread, 2)}" if one.now.spread == one.now.spread else ""
        known = one.against.count > 0
        first = say_day(a.day(one.first)) if one.first == one.first else "in milk" if one.in_milk else ""
        return ListRow(
            key=place,
            texts=(
                one.name,
                scored,
                f"{now}{spread}",
                say_number(one.against.median, 2, sign=True) if known else "",
                say_share(one),
                say_interval(one),
                f"{one.to_act}",
                first,
            ),
            values=(
                one.name,
                one.cows,
                one.now.mean,
                one.against.median,
                one.share.value,
                one.share.low,
                one.to_act,
                a.day(one.first),
            ),
        )

    def sheet_rows(self) -> list[tuple[object, ...]]:
        """The rows of `GROUP_LIST` for a spreadsheet."""
        return group_rows(self.assessment, self.figures)

    def about(self) -> tuple[tuple[str, str], ...]:
        """What the figures rest on, for a spreadsheet."""
        model, targets = self.assessment.rulebook.model, self.assessment.rulebook.targets
        sure = chance_words(model.level)
        return (
            ("Groups by", self.way_words.lower()),
            ("Finding", self.finding),
            ("Measured", "cows in milk now, against the mating target; all others as projected to calving"),
            ("In band", f"within {targets.band:g} of target; a first-calver up to {targets.first_calver_fat:g}"),
            ("Low and High", f"{sure}: of the mean by Student, of the share by Wilson"),
            ("Columns", f"{len(GROUP_LIST)}; a cow without a score counts as a cow and in nothing else"),
        )


def _path_words(one: GroupPath) -> str:
    now, end = (say_number(float(one.ahead[at]), 2, sign=True) for at in (0, -1))
    days = say_number(float(one.ahead_days[0]), 0)
    return f"{one.name}: {now} less target today, {days} days before calving, {end} at calving"
