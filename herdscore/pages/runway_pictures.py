"""The runway of a block as its chart is given it, and the card of a cow on it."""

from __future__ import annotations

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import BLOCK_NAMES
from herdscore.domain.reasons import say_number, words_of
from herdscore.domain.runway import FOOT as RUNWAY_FOOT
from herdscore.domain.runway import MARGIN_DAYS, Runway, at_rim, edge_of, past_rim, pile
from herdscore.domain.runway import TOP as RUNWAY_TOP
from herdscore.domain.scale import show
from herdscore.domain.verdict import Verdict
from herdscore.pages.cow_words import act_by_of, calves_on
from herdscore.parts.marks import BACK_TO_FRONT
from herdscore.parts.runway_layers import RIGHT
from herdscore.parts.runway_picture import Flags, RunwayPicture

KEY = (
    (("now_up", "now_down"), "begin now"),
    (("hand_up", "hand_down"), "time in hand"),
    (("part_up", "part_down"), "part way"),
    (("dot",), "on course"),
    (("gaining",), "gaining well"),
    (("again",), "score again"),
    (("cross",), "to score"),
    (("square",), "nothing new"),
    (("vet",), "vet first"),
    (("early",), "too early to say"),
)


def runway_picture(assessment: Assessment, runway: Runway, keep: Flags, finding: str) -> RunwayPicture:
    """One runway as it is drawn; `keep` are the cows a filter lets through."""
    a, limits, band = assessment, assessment.rulebook.limits, assessment.rulebook.targets.band
    mark_of = np.array([BACK_TO_FRONT.index(a.rulebook.words[one.key].mark) for one in Verdict])
    across, up = -np.maximum(runway.days, 1.0 - RIGHT), at_rim(runway.gap)
    early = np.flatnonzero(runway.early)
    left = -float(limits.furthest_days + MARGIN_DAYS)
    across[early], up[early] = pile(len(early), left, -float(limits.furthest_days))
    over = past_rim(runway.gap)
    edge = edge_of(runway.rate, limits, band)
    none = np.empty(0)
    return RunwayPicture(
        today=a.today,
        across=across,
        up=up,
        mark=mark_of[a.verdict[runway.cow]],
        tail=runway.tail,
        kept=keep,
        value=tuple(
            say_number(gap, 1, sign=True) if shown else ""
            for gap, shown in zip(runway.gap.tolist(), over.tolist(), strict=True)
        ),
        edge_days=none if edge is None else edge.days,
        edge_thin=none if edge is None else edge.thin,
        edge_fat=none if edge is None else edge.fat,
        band=band,
        lead_days=limits.lead_days,
        freeze_days=limits.freeze_days,
        furthest_days=limits.furthest_days,
        soon_days=int(a.rulebook.verdicts.soon_days),
        top=RUNWAY_TOP,
        foot=RUNWAY_FOOT,
        margin_days=MARGIN_DAYS,
        name=f"Runway of the {BLOCK_NAMES[runway.block]} block",
        description=f"{finding}. {len(runway.cow)} cows by days to calving and distance from target.",
    )


def card_of(assessment: Assessment, cow: int, tag: str) -> tuple[str, ...]:
    """Three lines about the cow pointed at: verdict, score now and at calving, date and by when."""
    a = assessment
    now, last = float(a.facts.score_now[cow]), float(a.sessions.last[cow])
    if now != now:
        scores = "not scored in the last year"
    elif Verdict(a.verdict[cow]) == Verdict.TOO_EARLY:
        scores = f"last score {show(last * 4)}"
    else:
        scores = f"{show(last * 4)} last, {say_number(a.course.mean[cow], 1)} at calving"
    by = act_by_of(a, cow).rstrip(".")
    return (
        f"{tag}  {words_of(a, cow).word}",
        scores,
        f"{calves_on(a, cow)}{f'; {by[0].lower()}{by[1:]}' if by else ''}",
    )


def key_of(pictures: list[RunwayPicture]) -> list[tuple[tuple[str, ...], str]]:
    """The key of the shapes that are on the pictures."""
    there = {BACK_TO_FRONT[mark] for picture in pictures for mark in np.unique(picture.mark).tolist()}
    items = [(tuple(mark for mark in marks if mark in there), words) for marks, words in KEY]
    return [(marks, words) for marks, words in items if marks]
