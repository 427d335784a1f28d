"""The adviser's sheet: one A4 a block with its seasons side by side, and how last season's projections held."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import AUTUMN_BLOCK, BLOCK_NAMES, SPRING_BLOCK
from herdscore.domain.looking_back import look_back
from herdscore.domain.rates import Rate, rate
from herdscore.domain.reasons import say_day, say_number
from herdscore.domain.scorer_bias import scorer_biases
from herdscore.domain.season_figures import (
    AT_CALVING,
    AT_HOUSING,
    AT_LEAD,
    AT_MATING,
    MOMENTS,
    BlockNow,
    MomentFigures,
    Season,
    band_at,
    block_now,
    of_block,
    seasons_of,
)
from herdscore.domain.season_learning import HARD, HELPED, by_condition
from herdscore.domain.season_outcomes import Outcomes, outcomes_of
from herdscore.domain.through_the_year import finding, through_the_year
from herdscore.pages.looking_back_words import held_claim, held_words
from herdscore.pages.short_tags import short_tags
from herdscore.pages.year_pictures import year_picture
from herdscore.parts.report_blocks import (
    Beside,
    Block,
    Drawing,
    OnePage,
    Paint,
    Words,
    heading,
    paper_font,
    paper_theme,
)
from herdscore.parts.report_pages import Report
from herdscore.parts.report_table import PaperColumn, PaperRow, Table
from herdscore.parts.year_chart import YearPicture, paint_year

_NONE = "\u2013"
_POINTS = 8.5
_MOST_SCORERS, _MOST_TAGS = 5, 12
_YEAR_PX = 225.0


BLOCKS = (SPRING_BLOCK, AUTUMN_BLOCK)


def adviser_sheet(assessment: Assessment, name: str, blocks: Sequence[int] = BLOCKS) -> Report:
    """One page a block with cows; a page that says so when there is none."""
    a = assessment
    outcomes = outcomes_of(a.snapshot, a.rulebook, a.today)
    day = f"{say_day(a.today)} {a.today.year}"
    made: list[Block] = []
    for block in blocks:
        living = bool(((a.block == block) & ~a.facts.gone).any())
        if living or (outcomes.block == block).any():
            made.append(OnePage(_block_page(a, outcomes, name, day, block)))
    if not made:
        made = [
            Words(f"Adviser's sheet, {name}", 18, 700),
            Words("There is no cow of either block in the herd yet.", 11),
        ]
    return Report(f"Adviser's sheet, {name}, {day}", made)


def _block_page(a: Assessment, outcomes: Outcomes, name: str, day: str, block: int) -> list[Block]:
    seasons = seasons_of(a, outcomes, block)
    now = block_now(a, block)
    held = look_back(a, outcomes, block)
    year = through_the_year(a, outcomes, block)
    about = f"{now.cows} cows, {now.first_calvers} of them first-calvers, on {day}"
    claims = [Words(text, _POINTS, below=2) for text in held_words(a, held)]
    left: list[Block] = [
        heading("Very thin, very fat, not in calf", 11, above=4),
        *_now_words(a, now),
        heading("Calvings", 11, above=4),
        _calvings(a, seasons),
        heading("Scorers, last twelve months", 11, above=0),
        *_scorers(a),
    ]
    right: list[Block] = [
        heading("Helped calvings by score at calving", 11, above=4),
        *_ease(a, outcomes, seasons, block),
        heading("Looking back", 11, above=0),
        Words(f"{held_claim(held)}.", 9, 600, below=3),
        *claims,
    ]
    return [
        Words(f"Adviser's sheet: {BLOCK_NAMES[block]} calvers, {name}", 17, 700, below=0),
        Words(about, 10, role="ink_second", below=2),
        heading("In the band, season by season", 11, above=2),
        _shares(a, seasons, block),
        heading(f"Through the year. {finding(year)}", 11, above=0),
        Drawing(_YEAR_PX, _year(year_picture(year, a.today))),
        Beside(left, right, 0.5),
    ]


# Share in band


def _shares(a: Assessment, seasons: Sequence[Season], block: int) -> Block:
    """A row a season and age: share in band, mean, and very thin and very fat at every moment."""
    if not seasons:
        return Words("No season with a calving or a score yet.", _POINTS, role="ink_second")
    rows = [PaperRow(("band", "", *(_band(a, moment, block) for moment in MOMENTS)))]
    for season in seasons:
        named = season.name
        for place, age in enumerate(("cows", "first-calvers")):
            cells = [_moment(season.moments[moment][place]) for moment in MOMENTS]
            if any(cell != _NONE for cell in cells):
                rows.append(PaperRow((named, age, *cells)))
                named = ""
    lead = a.rulebook.limits.lead_days
    names = {
        AT_HOUSING: "Housing",
        AT_LEAD: f"\u2212{lead} days",
        AT_CALVING: "Calving",
        AT_MATING: "Mating",
    }
    columns = (
        PaperColumn("Season", weight=600),
        PaperColumn(""),
        *(PaperColumn(names[moment], 1.0) for moment in MOMENTS),
    )
    return Table(columns, rows, points=_POINTS, below=6)


def _band(a: Assessment, moment: str, block: int) -> str:
    low, high = (float(edge[0]) for edge in band_at(a.rulebook, moment, block, np.array([False])))
    return f"{_plain(low)}\u2013{_plain(high)}"


def _moment(one: MomentFigures) -> str:
    share = one.in_band
    if not share.of:
        return _NONE
    off = [f"{one.very_thin} very thin" if one.very_thin else "", f"{one.very_fat} very fat" if one.very_fat else ""]
    said = [f"mean {say_number(one.scores.mean, 2)}", *(part for part in off if part)]
    return f"{_short(share)}\n{', '.join(said)}"


def _short(share: Rate) -> str:
    return f"{share.count} of {share.of}, {round(100 * share.share)}\u00a0%" if share.of else _NONE


# Who stands out, calvings, scorers


def _now_words(a: Assessment, now: BlockNow) -> list[Block]:
    tags = short_tags(a.snapshot.cows.tag.tolist())
    rules = a.rulebook.verdicts
    lines = (
        (f"Very thin, {_plain(rules.vet_thin)} or less", now.very_thin),
        (f"Very fat, {_plain(rules.vet_fat)} or more", now.very_fat),
        ("Not in calf", now.not_in_calf),
    )
    rows = []
    for words, cows in lines:
        named = ", ".join(tags[cow] for cow in cows[:_MOST_TAGS].tolist())
        more = f" and {len(cows) - _MOST_TAGS} more" if len(cows) > _MOST_TAGS else ""
        rows.append(PaperRow((words, str(len(cows)), named + more)))
    columns = (PaperColumn("", 0.46), PaperColumn("", right=True, weight=600), PaperColumn("", 0.54))
    return [Table(columns, rows, _POINTS, 2)]


def _calvings(a: Assessment, seasons: Sequence[Season]) -> Block:
    """A column a season: calvings and how they are spread, twins, in calf again."""
    if not seasons:
        return Words("None recorded, none ahead.", _POINTS, role="ink_second")

    def days(season: Season) -> str:
        spread = season.spread
        if not spread.count:
            return _NONE
        return f"{_day(a, spread.first)} to {_day(a, spread.last)}"

    weeks = [many for many, _ in seasons[0].spread.weeks]
    lines: list[tuple[str, list[str]]] = [
        (
            "",
            ["" if season.calved.all() else "ahead" if not season.calved.any() else "under way" for season in seasons],
        ),
        ("calvings", [_counts(season) for season in seasons]),
        ("first and last", [days(season) for season in seasons]),
        ("middle", [_day(a, season.spread.middle) if season.spread.count else _NONE for season in seasons]),
    ]
    for place, many in enumerate(weeks):
        shares = [season.spread.weeks[place][1] if season.spread.weeks else None for season in seasons]
        lines.append((f"in first {many} weeks", [_NONE if one is None else _short(one) for one in shares]))
    lines.append(("twins", [str(season.twins) for season in seasons]))
    lines.append(("in calf again", [_short(season.in_calf) for season in seasons]))
    rows = [PaperRow((words, *cells)) for words, cells in lines if any(cells)]
    columns = (PaperColumn("", 1.0), *(PaperColumn(season.name, 1.2) for season in seasons))
    return Table(columns, rows, points=_POINTS, below=6)


def _counts(season: Season) -> str:
    calved, first = int(season.calved.sum()), int(season.first_calf.sum())
    said = str(len(season.cow)) if calved in (0, len(season.cow)) else f"{calved} of {len(season.cow)}"
    return f"{said}, {first} first" if first else said


def _scorers(a: Assessment) -> list[Block]:
    """How far each scorer is from the cows' condition by the model."""
    found = scorer_biases(a)
    if not found:
        return [Words("No score in the last twelve months.", _POINTS, role="ink_second")]
    rows = []
    for one in found[:_MOST_SCORERS]:
        name = one.name or "not named"
        half = say_number(2 * one.spread, 2)
        bias = f"{say_number(one.bias, 2, sign=True)} ± {half}"
        rows.append(
            PaperRow((f"{name}, reference" if one.is_reference else name, str(one.sessions), str(one.scores), bias))
        )
    columns = (
        PaperColumn("Scorer", 1.0),
        PaperColumn("Days", right=True),
        PaperColumn("Scores", right=True),
        PaperColumn("Scores higher by", right=True),
    )
    more = len(found) - _MOST_SCORERS
    after = f"And {more} more. " if more > 0 else ""
    after += "± is two spreads; within it a scorer may be on the mark."
    return [Table(columns, rows, points=_POINTS, below=0), Words(after, 8, role="ink_second")]


# Ease


def _ease(a: Assessment, outcomes: Outcomes, seasons: Sequence[Season], block: int) -> list[Block]:
    """Helped and hard calvings of the seasons shown by classes of score, cows and first-calvers apart."""
    those = of_block(outcomes, block, [season.year for season in seasons])
    helped, hard = (by_condition(those, measure, a.rulebook) for measure in (HELPED, HARD))
    rows = [
        PaperRow((one.label, _of(one.cows), _of(hards.cows), _of(one.first_calvers), _of(hards.first_calvers)))
        for one, hards in zip(helped, hard, strict=True)
        if one.cows.of or one.first_calvers.of
    ]
    unscored = np.isnan(those.at_calving)
    if unscored.any():
        level = a.rulebook.learning.level
        cells = [
            _of(rate(values[unscored & lot], level))
            for lot in (~those.first_calf, those.first_calf)
            for values in (those.helped, those.hard)
        ]
        rows.append(PaperRow(("not felt", *cells)))
    if not rows:
        return [Words("No calving recorded in these seasons.", _POINTS, role="ink_second")]
    columns = (
        PaperColumn("Score", 1.15),
        PaperColumn("Cows\nhelped", 1.0),
        PaperColumn("\nhard", 1.0),
        PaperColumn("First calf\nhelped", 1.0),
        PaperColumn("\nhard", 1.0),
    )
    sure = "Condition is one cause of hard calvings; bull, parity, sex and twins weigh more."
    return [Table(columns, rows, points=_POINTS, below=0), Words(sure, 8, role="ink_second")]


def _of(one: Rate) -> str:
    return f"{one.count} of {one.of}" if one.of else _NONE


def _year(picture: YearPicture) -> Paint:
    def paint(painter: QPainter, box: QRectF) -> None:
        paint_year(painter, box, paper_theme(), lambda points, weight: paper_font(points * 0.75, weight), picture)

    return paint


def _day(a: Assessment, ahead: float) -> str:
    """A day without its year, which the season's name says."""
    return say_day(a.day(ahead)) if math.isfinite(ahead) else _NONE


def _plain(score: float) -> str:
    """A bound without needless noughts: 2.0, 2.25, 2.375."""
    return f"{score:.1f}" if round(score * 1000) % 100 == 0 else f"{score:.3f}".rstrip("0")
