"""The sheet for the shed door, put together from the herd: who calves when, pens, the first hours, kit, the vet."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.calving_season import date_windows, still_to_calve
from herdscore.domain.kit import kit_list
from herdscore.domain.pens import pens_needed, standards
from herdscore.domain.reasons import say_day, say_number, say_spread
from herdscore.domain.season_ticks import finished
from herdscore.domain.verdict import FAT, THIN
from herdscore.pages.calving_pictures import block_code
from herdscore.pages.calving_work import CalvingWork
from herdscore.pages.scoring_words import short_tag
from herdscore.parts.report_pages import Report
from herdscore.parts.shed_sheet import ShedCow, ShedSheet, shed_sheet

Numbers = npt.NDArray[np.float64]

_DAYS_AHEAD = 42
_LEAST_COWS, _MOST_COWS = 16, 40


def shed_sheet_of(work: CalvingWork, stay: float, stay_long: float) -> Report:
    """The sheet of the blocks shown on the day they are looked at."""
    herd = work.herd
    a, block = herd.assessment, block_code(herd.block)
    due = np.flatnonzero(still_to_calve(a) & herd.in_block)
    due = due[np.argsort(a.dates.day[due], kind="stable")]
    soon = int((a.dates.day[due] <= _DAYS_AHEAD).sum())
    listed = due[: min(max(soon, _LEAST_COWS), _MOST_COWS)]
    plan = pens_needed(a, block, stay, stay_long)
    windows = date_windows(a)
    ticked = finished(herd.snapshot)
    rest = len(due) - len(listed)
    return shed_sheet(
        ShedSheet(
            herd=herd.name,
            day=f"{say_day(a.today)} {a.today.year}",
            block=f"{herd.block} block" if block is not None else "both blocks",
            cows=tuple(_cow(a, int(cow), windows) for cow in listed),
            between=f"{a.rulebook.calving.window_share * 20:g} in 20 between",
            more=f"{rest} more calve later." if rest else "",
            pens=f"{plan.queue} pens by your dates, {plan.rule} by the rule; {plan.hospital} apart for the sick.",
            standards=standards(herd.rulebook),
            hours=first_hours(a),
            kit=tuple((f"{line.item}, {line.said}".rstrip(", "), line.tick in ticked) for line in kit_list(a, block)),
        )
    )


def first_hours(a: Assessment) -> tuple[tuple[str, str], ...]:
    """What is done for a calf and her dam, by when."""
    care = a.rulebook.calf_care
    return (
        ("At birth", f"Nose clear, breathing. Navel dipped in iodine of {care.navel_iodine_percent:g} % or more."),
        (
            f"By {care.sucked_hours} h",
            f"Sucked; if not, {care.colostrum_first:g} litres of colostrum by bottle or tube.",
        ),
        (f"By {care.red_hours} h", "No colostrum yet is an emergency: feed now."),
        (
            f"By {care.colostrum_hours} h",
            f"{care.colostrum_share * 100:g} % of the calf's weight in colostrum: "
            f"{care.colostrum_share * care.calf_weight:g} litres at {care.calf_weight:g} kg.",
        ),
        (f"By {care.navel_again_hours} h", "Navel dipped again."),
        ("The cow", f"Up by {care.up_hours} h, eating by {care.eating_hours} h, cleansed by {care.cleansed_hours} h."),
    )


def _cow(a: Assessment, cow: int, windows: tuple[Numbers, Numbers]) -> ShedCow:
    day = a.day(a.dates.day[cow])
    first, last = (say_day(a.day(edge[cow]), a.today) for edge in windows)
    score = float(a.facts.score_now[cow])
    side = a.facts.side[cow]
    marks = [
        word
        for word, on in (
            ("first calf", bool(a.dates.first_calver[cow])),
            ("twins", bool(a.dates.twins[cow])),
            ("thin", side == THIN),
            ("fat", side == FAT),
        )
        if on
    ]
    return ShedCow(
        tag=short_tag(str(a.snapshot.cows.tag[cow])),
        due=f"{say_day(day, a.today)} ± {say_spread(a.dates.spread[cow])}",
        window=f"{first} to {last}",
        group=a.groups.names[int(a.groups.now[cow])] or "",
        score="" if math.isnan(score) else say_number(score, 2),
        watch=", ".join(marks),
    )
