"""What a change not yet written would mean: the assessment before and after it, put into a sentence."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment
from herdscore.domain.date_account import account, date_said, date_source
from herdscore.domain.listing import ACT
from herdscore.domain.reasons import say_day, say_number, words_of
from herdscore.domain.verdict import Verdict

Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class DatePreview:
    """What an entry gives one cow: the claim, what it rests on, what stood until now; whether she has a date then."""

    claim: str
    words: str
    dated: bool


@dataclass(frozen=True, slots=True)
class Effect:
    """Before and after of the cows that are projected both times: their mean, half the width of the 90 % interval.

    `act` counts cows to act on now among all asked about, `verdicts` those whose verdict is another.
    """

    cows: int
    mean: tuple[float, float]
    half: tuple[float, float]
    act: tuple[int, int]
    verdicts: int


def date_preview(before: Assessment, after: Assessment, cow_id: str) -> DatePreview:
    """What a change gives one cow of both assessments."""
    new, old = after.snapshot.cow_place[cow_id], before.snapshot.cow_place[cow_id]
    told, said_before = account(after, new), date_said(before, old)
    source = date_source(before, old)
    if told.said == said_before and told.said:
        claim = f"Calves {told.said}, as before"
    elif told.said:
        claim = f"Calves {told.said}"
    else:
        claim = "Not in calf" if Verdict(after.verdict[new]) == Verdict.NOT_IN_CALF else "No calving date from this"
    sentences = [told.rests_on, *told.notes]
    if said_before and said_before != told.said:
        sentences.append(f"Until now {said_before}{f', from the {source}' if source else ''}")
    words = [words_of(one, place).word for one, place in ((before, old), (after, new))]
    if words[0] != words[1]:
        sentences.append(f"Her verdict is then “{words[1]}”, until now “{words[0]}”")
    return DatePreview(claim, ". ".join(one.rstrip(".") for one in sentences) + ".", bool(told.said))


def dates_summary(before: Assessment, after: Assessment, cows: npt.NDArray[np.intp]) -> str:
    """What a change gives many cows, in a sentence or two; `cows` are places, the same in both assessments."""
    days, old = after.dates.day[cows], before.dates.day[cows]
    dated = np.isfinite(days)
    said = []
    if dated.any():
        first, last = (say_day(after.day(day), after.today) for day in (np.nanmin(days), np.nanmax(days)))
        span = f"on {first}" if first == last else f"from {first} to {last}"
        said.append(f"{int(dated.sum())} of {len(cows)} then calve {span}.")
    else:
        said.append("None of them has a calving date from this.")
    moved = np.isfinite(old) & dated & (np.abs(old - days) > after.rulebook.dates.noted_days)
    if moved.any():
        limit = say_number(after.rulebook.dates.noted_days, 0)
        said.append(f"{int(moved.sum())} had a date over {limit} days from it.")
    other = int((before.verdict[cows] != after.verdict[cows]).sum())
    if other:
        said.append(f"{other} then ha{'s' if other == 1 else 've'} another verdict.")
    return " ".join(said)


def effect(before: Assessment, after: Assessment, cows: Flags) -> Effect:
    """What a change that adds and takes no cow means for these cows (one flag a cow)."""
    both = cows & _projected(before) & _projected(after)
    lists = np.array([before.rulebook.words[one.key].list for one in Verdict])
    pair = (before, after)

    def mean(values: list[npt.NDArray[np.float64]]) -> tuple[float, float]:
        first, second = (float(v[both].mean()) if both.any() else float("nan") for v in values)
        return first, second

    act = [int((lists[one.verdict[cows]] == ACT).sum()) for one in pair]
    return Effect(
        int(both.sum()),
        mean([one.course.mean for one in pair]),
        mean([(one.course.hi - one.course.lo) / 2 for one in pair]),
        (act[0], act[1]),
        int((before.verdict != after.verdict)[cows].sum()),
    )


def effect_words(found: Effect) -> str:
    """The effect as a sentence or two; what stays the same is left out."""
    said = []
    if found.cows:
        (mean, new_mean), (half, new_half) = found.mean, found.half
        before, after = (f"{say_number(m, 1)} ± {say_number(h, 2)}" for m, h in ((mean, half), (new_mean, new_half)))
        said.append(
            f"At calving {after} on average, as before."
            if before == after
            else f"At calving {after} on average, until now {before}."
        )
    if found.verdicts:
        said.append(f"{_cows(found.verdicts)} then ha{'s' if found.verdicts == 1 else 've'} another verdict.")
    if found.act[0] != found.act[1]:
        said.append(f"{found.act[1]} to act on now instead of {found.act[0]}.")
    return " ".join(said) or "No verdict changes."


def _projected(a: Assessment) -> Flags:
    return ~a.facts.gone & np.isfinite(a.course.mean) & (a.dates.day > 0)


def _cows(count: int) -> str:
    return f"{count} cow{'' if count == 1 else 's'}"
