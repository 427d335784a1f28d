"""The safety of what is advised, as properties over herds of every kind."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from herdscore.domain.assess import Assessment
from herdscore.domain.calendar import NO_BLOCK
from herdscore.domain.listing import flag_lists
from herdscore.domain.notes import group_notes, notes_of
from herdscore.domain.reasons import advice, why
from herdscore.domain.records import (
    AIMS,
    BLOCKS,
    DIET_KINDS,
    EVENTS,
    STATUSES,
    CalendarDay,
    Calving,
    Cow,
    Diet,
    Move,
    Record,
    Score,
    Service,
    new_id,
)
from herdscore.domain.verdict import EASING, FAT, THIN, Verdict
from tests.domain.herds import RULES, TODAY, assessed, cow, day, score

GROUPS = st.sampled_from([None, "Byre", "byre ", "Hill", "Yard"])
NEAR = st.integers(-30, 170).map(day)
ANY_DAY = st.one_of(NEAR, st.integers(-500, 300).map(day), st.dates(date(1990, 1, 1), date(2100, 1, 1)))
PAST = st.one_of(st.integers(-400, 0).map(day), ANY_DAY)
QUARTERS = st.one_of(st.none(), st.integers(4, 20))


@st.composite
def herds(draw: st.DrawFn) -> list[Record]:
    """Up to eight cows with any mixture of records, sensible and absurd."""
    rows: list[Record] = []
    for tag in range(draw(st.integers(1, 8))):
        one = Cow(
            new_id(),
            f"{tag}",
            breed=draw(st.sampled_from([None, "Limousin", "BB", "HF", "unheard of"])),
            calvings=draw(st.one_of(st.none(), st.integers(0, 9))),
            season=draw(st.sampled_from([None, *BLOCKS])),
            group=draw(GROUPS),
            calving_date=draw(st.one_of(st.none(), NEAR, ANY_DAY)),
            date_from=draw(st.sampled_from([None, "service", "scan", "bull run", "told", "set by hand"])),
            twins=draw(st.sampled_from([None, None, True, False])),
            vet_plan=draw(st.sampled_from([None, True])),
            status=draw(st.sampled_from(["in herd"] * 6 + list(STATUSES))),
        )
        rows.append(one)
        level = draw(st.integers(4, 20))
        for _ in range(draw(st.integers(0, 4))):
            sites = [draw(st.one_of(st.none(), st.integers(max(4, level - 2), min(20, level + 2)))) for _ in range(3)]
            rows.append(
                Score(
                    new_id(),
                    one.id,
                    draw(PAST),
                    *sites,
                    draw(QUARTERS),
                    draw(st.sampled_from([None, True])),
                    draw(st.sampled_from([None, "AB", "ab", "CD"])),
                )
            )
        for _ in range(draw(st.integers(0, 2))):
            kind = draw(st.sampled_from(["AI", "service", "bull run", "scan", "hand check"]))
            age, result = (
                draw(st.one_of(st.none(), st.integers(20, 200))),
                draw(st.sampled_from([None, "empty", "twins"])),
            )
            rows.append(
                Service(
                    new_id(), one.id, kind, draw(PAST), draw(st.one_of(st.none(), ANY_DAY)), None, None, age, result
                )
            )
        if draw(st.booleans()):
            rows.append(Calving(new_id(), one.id, draw(PAST)))
        if draw(st.booleans()):
            rows.append(Move(new_id(), one.id, draw(ANY_DAY), draw(st.sampled_from(["Byre", "Hill"]))))
    for _ in range(draw(st.integers(0, 4))):
        change = draw(st.one_of(st.none(), st.floats(-0.3, 0.3)))
        aim = draw(st.sampled_from([None, *AIMS]))
        group = draw(st.sampled_from(["Byre", "HILL", "Yard"]))
        rows.append(Diet(new_id(), group, draw(ANY_DAY), draw(st.sampled_from(DIET_KINDS)), aim, change))
    for _ in range(draw(st.integers(0, 4))):
        rows.append(CalendarDay(new_id(), draw(st.sampled_from(BLOCKS)), draw(st.sampled_from(EVENTS)), draw(ANY_DAY)))
    return rows


def check_safe(a: Assessment) -> None:
    """Every invariant on every cow of one herd."""
    limits, rules = RULES.limits, RULES.verdicts
    d, spread = a.dates.day, a.dates.spread
    easing = np.isin(a.verdict, EASING)
    flagged = (a.facts.side == THIN) | (a.facts.side == FAT)
    on_course = np.isin(a.verdict, (Verdict.ON_COURSE, Verdict.SCORE_AGAIN))
    assert not (flagged & on_course).any()

    assert (d[easing] >= limits.lead_days).all()
    assert (d[easing] - spread[easing] > limits.freeze_days).all()
    assert (d[easing] <= limits.furthest_days).all()
    act_by = a.reach.act_by[easing]
    assert ((act_by >= 0) & (act_by <= d[easing] - limits.lead_days)).all()
    assert (act_by == np.floor(act_by)).all()

    expected, wanted = a.reach.expected_rate[easing], a.reach.wanted_rate[easing]
    assert np.isfinite(expected).all()
    assert np.isfinite(wanted).all()
    slack = 1e-12
    assert (wanted <= limits.refused_gain + slack).all()
    assert (wanted >= -limits.refused_loss - slack).all()
    assert (wanted <= np.maximum(limits.planning_gain, expected) + slack).all()
    assert (wanted >= np.minimum(-limits.planning_loss, expected) - slack).all()
    spared = a.reach.never_slimmed[easing] & (a.facts.side[easing] == FAT)
    # Never asked to lose more than she does by herself; one who gains is asked to stop.
    own = np.clip(expected[spared], -limits.planning_loss, 0.0)
    assert (wanted[spared] >= own - slack).all()
    assert (wanted[spared] <= slack).all()

    floor = np.fmin(a.facts.score_now, a.facts.last)
    assert not (easing & (floor <= rules.vet_thin)).any()
    slimmed = easing & (a.facts.side == FAT) & ~a.reach.never_slimmed
    assert (floor[slimmed] > limits.never_slimmed_at).all()
    assert not a.dates.first_calver[slimmed].any()
    assert not a.dates.twins[slimmed].any()

    score_by = a.score_by[np.isfinite(a.score_by)]
    assert (score_by >= 0).all()


@given(herds())
@settings(max_examples=500, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_that_nothing_unsafe_is_ever_advised(rows: list[Record]) -> None:
    a = assessed(rows)
    check_safe(a)
    for i in range(len(a)):
        said, reason = advice(a, i), why(a, i)
        assert said
        assert reason
        assert "{" not in said + reason
        assert "nan" not in said + reason
        notes_of(a, i)
    for group in range(len(a.groups.names)):
        group_notes(a, np.flatnonzero(a.groups.now == group))
    lists = flag_lists(a)
    assert len(lists.rows) == (a.verdict != Verdict.GONE).sum()
    for place, row in zip(lists.cow, lists.rows, strict=True):
        assert not any(value != value for value in row)
        if not a.course.n_scores[place]:
            assert row[9:13] == (None, None, None, None)


@given(herds(), st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_that_the_order_of_rows_changes_nothing(rows: list[Record], random: object) -> None:
    shuffled = list(rows)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    keyed = {row.id: i for i, row in enumerate(rows)}
    # Two rows of one cow, day and kind have no order of their own.
    shuffled.sort(key=lambda row: (type(row).__name__, str(getattr(row, "day", "")), keyed[row.id]))
    first, second = assessed(rows), assessed(shuffled)
    assert (first.verdict == second.verdict).all()


@given(
    st.floats(1.6, 3.9),
    st.integers(56, 149),
    st.integers(1, 40),
    st.sampled_from(["service", "scan", "told"]),
    st.integers(-60, -1),
)
@settings(max_examples=200, deadline=None)
def test_that_a_later_date_never_makes_the_wanted_rate_steeper(
    value: float, due: int, later: int, source: str, ago: int
) -> None:
    value = round(value * 4) / 4
    rows: list[Record] = []
    for tag, ahead in (("1", due), ("2", min(150, due + later))):
        one = cow(tag, ahead, date_from=source, season="spring")
        rows += [one, score(one, ago, value)]
    a = assessed(rows)
    easing = np.isin(a.verdict, EASING)
    if not easing.all() or a.facts.side[0] != a.facts.side[1]:
        return
    wanted, expected = a.reach.wanted_rate, a.reach.expected_rate
    if np.isclose(wanted, expected).any():
        return
    assert abs(wanted[1]) <= abs(wanted[0]) + 1e-12


@given(st.integers(0, 20), st.floats(1.0, 5.0))
@settings(max_examples=60, deadline=None)
def test_that_a_cow_in_the_last_three_weeks_is_never_asked_to_change(due: int, value: float) -> None:
    one = cow("1", due)
    a = assessed([one, score(one, -5, round(value * 4) / 4)])
    assert a.verdict[0] in (Verdict.FEED_TO_NEED, Verdict.VET_FIRST_THIN, Verdict.VET_FIRST_FAT)


def test_that_an_unknown_block_is_not_made_up() -> None:
    a = assessed([one := cow("1"), score(one, -5, 2.5)])
    assert a.block[0] == NO_BLOCK
    assert np.isnan(a.targets.target[0])
    assert a.verdict[0] == Verdict.NEEDS_DATE


def test_that_one_cow_is_the_herd_of_one() -> None:
    rows: list[Record] = []
    for tag, due in enumerate((60, 90, 120)):
        one = cow(f"{tag}", due, group=f"{tag}", season="spring")
        rows += [one, score(one, -20 - tag, 2.0 + tag / 2, scorer=f"{tag}")]
    together = assessed(rows)
    for i in range(3):
        alone = assessed(rows[2 * i : 2 * i + 2])
        assert alone.dates.day[0] == together.dates.day[i]
        assert alone.facts.last[0] == together.facts.last[i]
        assert alone.targets.target[0] == together.targets.target[i]


def test_that_a_day_of_a_year_ago_is_assessed_without_what_came_later() -> None:
    one = cow("1", 300)
    past = TODAY - timedelta(days=100)
    rows: list[Record] = [one, score(one, -120, 2.0), score(one, -20, 3.0)]
    assert assessed(rows, past).facts.last[0] == 2.0
