"""A round from opening to summary: whose turn it is, what is left, how long it takes, where they went."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore.domain import crush_pens, rounds
from herdscore.domain.assess import Assessment
from herdscore.domain.changes import Change, adding, applied, editing
from herdscore.domain.crush_list import CRUSH_LIST, crush_list
from herdscore.domain.crush_pens import Pen, PenAdvice, PenCounts, Why, advised_pen, next_pen, pen_counts, pen_of
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import (
    ALL,
    AUTUMN,
    COVERS,
    FIRST_CALVERS,
    SOLD,
    SPRING,
    UNSAFE,
    WANTED,
    Aside,
    Cow,
    Diet,
    Listed,
    Record,
    Round,
    Score,
)
from herdscore.domain.round_summary import summary
from herdscore.domain.rounds import covered, open_round, opening, pace, progress, save_times
from herdscore.domain.verdict import Verdict
from tests.domain.herds import RULES, TODAY, assessed, cow, day, score
from tests.domain.test_safety import herds

LEAN = cow("0001", 75, group="Byre", season=SPRING)
FAT = cow("0002", 100, group="Hill", season=SPRING)
MID = cow("0003", 100, group="byre ", season=SPRING)
HEIFER = cow("0004", 90, calvings=0, season=SPRING)
LATER = cow("0005", 140, group="Hill", season=AUTUMN)
GONE = cow("0006", 100, status=SOLD)
COWS = (LEAN, FAT, MID, HEIFER, LATER, GONE)
BEFORE = [score(LEAN, -40, 2.0), score(FAT, -40, 3.75), score(MID, -40, 2.5), score(LATER, -100, 3.0)]


def herd(*more: Record) -> Assessment:
    return assessed([*COWS, *BEFORE, *more])


def tags(a: Assessment, flags: np.ndarray) -> list[str]:
    return a.snapshot.cows.tag[flags].tolist()


def opened(covers: str = ALL, *more: Record) -> tuple[Snapshot, Round]:
    a = herd(*more)
    snapshot = applied(a.snapshot, opening(a, "January round", covers, TODAY, lean_pen="Top yard"))
    made = open_round(snapshot)
    assert made is not None
    return snapshot, made


def after(snapshot: Snapshot, change: Change | None) -> Snapshot:
    assert change is not None
    return applied(snapshot, change)


@pytest.mark.parametrize(
    ("covers", "on_it"),
    [
        (ALL, ["0001", "0002", "0003", "0004", "0005"]),
        (SPRING, ["0001", "0002", "0003", "0004"]),
        (AUTUMN, ["0005"]),
        (FIRST_CALVERS, ["0004"]),
        (rounds.of_group(" BYRE"), ["0001", "0003"]),
        (rounds.of_group("Nowhere"), []),
        # Row 17 of the verdict table: score again by a day; row 11: never scored, or over 90 days ago.
        (WANTED, ["0001", "0004", "0005"]),
    ],
)
def test_that_a_round_lists_the_living_cows_it_covers(covers: str, on_it: list[str]) -> None:
    a = herd(score(MID, -10, 2.5))
    if covers == WANTED:
        verdicts = [a.verdict[a.snapshot.cow_place[one.id]] for one in (LEAN, HEIFER, LATER)]
        assert verdicts == [Verdict.SCORE_AGAIN, Verdict.TO_SCORE, Verdict.TO_SCORE]
    assert tags(a, covered(a, covers)) == on_it


def test_that_a_round_covers_nothing_else() -> None:
    with pytest.raises(ValueError, match="cannot cover 'some of them'"):
        covered(herd(), "some of them")


def test_that_the_list_is_kept_as_it_was_on_opening() -> None:
    snapshot, january = opened(SPRING)
    new = Cow("new", "0099", season=SPRING)
    moved = replace(FAT, season=AUTUMN)
    snapshot = applied(applied(snapshot, adding("add cow", [new])), editing("edit cow", [(FAT, moved)]))
    there = progress(snapshot, january)
    assert snapshot.cows.tag[there.listed].tolist() == ["0001", "0002", "0003", "0004"]
    assert (there.total, there.done, there.left) == (4, 0, 4)


def test_that_scored_unsafe_skipped_and_gone_are_told_apart() -> None:
    snapshot, january = opened()
    done = [score(LEAN, 0, 2.0), Score("u", FAT.id, TODAY, note=f"{UNSAFE}; feet"), score(GONE, 0, 3.0)]
    snapshot = applied(snapshot, adding("score", done))
    snapshot = after(snapshot, rounds.skipping(snapshot, january, MID.id))
    snapshot = applied(snapshot, editing("edit cow", [(LATER, replace(LATER, status=SOLD))]))
    snapshot = applied(snapshot, adding("aside", [Aside("a", "0700", TODAY, 10), Aside("b", "0701", day(-1), 10)]))
    now = progress(snapshot, january)
    names = {name: snapshot.cows.tag[getattr(now, name)].tolist() for name in ("scored", "unsafe", "skipped")}
    assert names == {"scored": ["0001"], "unsafe": ["0002"], "skipped": ["0003"]}
    assert snapshot.cows.tag[now.to_come].tolist() == ["0004"]
    assert snapshot.cows.tag[now.gone].tolist() == ["0005"]
    assert snapshot.cows.tag[now.extra].tolist() == ["0006"]
    assert (now.total, now.done, now.left, now.asides) == (4, 2, 2, 1)


def test_that_a_score_of_another_day_of_an_open_round_counts_and_one_before_it_does_not() -> None:
    snapshot, january = opened()
    late = score(LEAN, 3, 2.0)
    snapshot = applied(snapshot, adding("score", [late, score(FAT, -1, 3.5)]))
    assert snapshot.cows.tag[progress(snapshot, january).scored].tolist() == ["0001"]
    closed = after(snapshot, rounds.closing(january, day(2)))
    assert open_round(closed) is None
    assert progress(closed, rounds.rounds_of(closed)[0]).done == 0


def test_that_a_cow_unsafe_on_one_day_and_scored_on_another_is_scored() -> None:
    snapshot, january = opened()
    snapshot = applied(snapshot, adding("score", [Score("u", FAT.id, day(1), note=UNSAFE), score(FAT, 0, 3.5)]))
    now = progress(snapshot, january)
    assert (now.scored.sum(), now.unsafe.sum()) == (1, 0)


def test_that_skipped_cows_come_again_when_a_round_is_carried_over() -> None:
    snapshot, january = opened()
    assert rounds.carrying_over(snapshot, january) is None
    skip = rounds.skipping(snapshot, january, MID.id)
    snapshot = after(snapshot, skip)
    assert rounds.skipping(snapshot, january, MID.id) is None
    over = rounds.carrying_over(snapshot, january)
    carried = after(snapshot, over)
    assert not progress(carried, january).skipped.any()
    assert progress(carried, january).left == progress(snapshot, january).left == 5
    assert open_round(carried) == january
    assert applied(carried, over.inverse()).all_records() == snapshot.all_records()


def test_that_opening_another_round_closes_the_one_that_is_open_and_undo_opens_it_again() -> None:
    snapshot, january = opened()
    change = opening(assessed(snapshot.all_records(), day(10)), "Second", WANTED, day(10))
    both = applied(snapshot, change)
    second, first = rounds.rounds_of(both)
    assert (second.name, second.closed, first.closed) == ("Second", None, day(9))
    assert open_round(both) == second
    assert open_round(applied(both, change.inverse())) == january
    again = after(both, rounds.reopening(both, first, day(10)))
    assert open_round(again) == january
    assert [one.closed for one in rounds.rounds_of(again)] == [day(10), None]


def test_that_a_round_and_its_pens_can_be_renamed() -> None:
    snapshot, january = opened()
    named = after(snapshot, rounds.editing_round(january, replace(january, name="First round", fat_pen="Far close")))
    now = open_round(named)
    assert now is not None
    assert (now.name, now.fat_pen, len(named.listed)) == ("First round", "Far close", 5)


def test_that_the_header_counts_the_open_round_and_without_one_the_verdicts() -> None:
    a = herd()
    everybody = np.ones(len(a), dtype=bool)
    asked = int(np.isin(a.verdict, rounds.TO_SCORE).sum())
    assert asked == 2  # never scored in her first pregnancy, and scored 100 days ago
    assert rounds.still_to_score(a, everybody) == asked
    snapshot, january = opened(SPRING)
    snapshot = after(snapshot, rounds.skipping(snapshot, january, MID.id))
    snapshot = applied(snapshot, adding("score", [score(LEAN, 0, 2.0), Score("u", FAT.id, TODAY, note=UNSAFE)]))
    b = assessed(snapshot.all_records())
    assert rounds.still_to_score(b, everybody) == 2
    assert rounds.still_to_score(b, b.snapshot.cows.tag == "0003") == 1


START = datetime(2027, 1, 12, 9, tzinfo=UTC)


def at(*seconds: float) -> list[datetime]:
    return [START + timedelta(seconds=one) for one in seconds]


def test_that_the_pace_is_that_of_the_last_ten_saves() -> None:
    slow_then_fast = at(*(600 * k - 6000 for k in range(10)), *(20 * k for k in range(10)))
    found = pace(slow_then_fast, 31, RULES.crush)
    assert found is not None
    assert (found.seconds, found.an_hour, found.minutes_to_go) == (20, 180, 11)  # 31 x 20 s = 10 min 20 s


def test_that_a_pause_is_not_work() -> None:
    found = pace(at(0, 30, 60, 60 + 3600, 90 + 3600), 10, RULES.crush)
    assert found is not None
    assert (found.seconds, found.minutes_to_go) == (30, 5)


@pytest.mark.parametrize("saves", [[], at(0), at(0, 4000), at(5, 5)])
def test_that_without_two_saves_of_one_sitting_there_is_no_pace(saves: list[datetime]) -> None:
    assert pace(saves, 5, RULES.crush) is None


def test_that_the_crush_list_is_by_pen_and_tag() -> None:
    extra = [cow("10", 90, group="Byre"), cow("9", 90, group="Byre")]
    a = herd(*extra)
    found = [(pen.pen, a.snapshot.cows.tag[list(pen.cows)].tolist()) for pen in crush_list(a, covered(a, ALL))]
    assert found == [("Byre", ["0001", "0003", "9", "10"]), ("Hill", ["0002", "0005"]), (None, ["0004"])]
    assert crush_list(a, np.zeros(len(a), dtype=bool)) == []


def test_that_a_line_of_the_crush_list_says_what_tells_her_apart_and_leaves_unknown_blank() -> None:
    bare = Cow("bare", "0044", group="Byre", note="kicks")
    (byre,) = crush_list(herd(bare), np.isin(herd(bare).snapshot.cows.tag, ["0001", "0044"]))
    keys = [column.key for column in CRUSH_LIST]
    lean, other = (dict(zip(keys, row, strict=True)) for row in byre.rows)
    assert (lean["tag"], lean["calvings"], lean["calving_date"], lean["days_to_calving"]) == ("0001", 3, day(75), 75)
    assert (lean["last_scored"], lean["last_score"]) == (day(-40), 2.0)
    assert other == {**dict.fromkeys(keys), "tag": "0044", "note": "kicks"}


def test_that_saves_taken_back_are_none_and_done_again_are_one() -> None:
    first, second, third, fourth = at(0, 30, 60, 90)
    journal = [("undo score", fourth), ("score", third), ("edit cow", third), ("score aside", second), ("score", first)]
    assert save_times(journal) == [first, second]
    again = [("score", fourth), ("undo score", third), ("score", second), ("score", first)]
    assert save_times(again) == [first, fourth]


# Pens


def pen_of_cow(a: Assessment, one: Cow, round_: Round | None = None) -> PenAdvice:
    return advised_pen(a, a.snapshot.cow_place[one.id], round_)


JANUARY = Round("r", "January round", TODAY, lean_pen="Top yard", fat_pen="Far close")


def test_that_thin_cows_go_to_the_lean_pen_fat_ones_to_the_other_and_the_rest_back() -> None:
    a = herd(score(LEAN, 0, 1.75), score(FAT, 0, 3.75), score(MID, 0, 2.75), score(LATER, 0, 3.0))
    assert a.verdict[a.snapshot.cow_place[LEAN.id]] == Verdict.EASE_UP_NOW
    assert pen_of_cow(a, LEAN, JANUARY) == PenAdvice(Pen.LEAN, Why.VERDICT)
    assert pen_of_cow(a, FAT, JANUARY) == PenAdvice(Pen.FAT, Why.VERDICT)
    assert pen_of_cow(a, GONE, JANUARY) == PenAdvice(Pen.OWN, Why.STAYS)


def test_that_a_cow_never_slimmed_is_not_sent_where_feed_is_eased_down() -> None:
    twins = replace(FAT, twins=True)
    a = assessed([twins, score(twins, -30, 3.75), score(twins, 0, 3.75)])
    assert a.verdict[0] in (Verdict.EASE_DOWN_NOW, Verdict.EASE_DOWN_IN_HAND, Verdict.PART_WAY_DOWN)
    assert pen_of_cow(a, twins, JANUARY) == PenAdvice(Pen.OWN, Why.NEVER_SLIMMED)


def test_that_nobody_joins_a_pen_in_the_middle_of_its_change() -> None:
    begun = Diet("d", "TOP yard", day(-5), "winter feed", aim="up")
    a = herd(begun, score(LEAN, 0, 1.75))
    assert crush_pens.is_mid_plan(a, "Top  yard")
    assert pen_of_cow(a, LEAN, JANUARY) == PenAdvice(Pen.OWN, Why.MID_PLAN)
    for diet in (replace(begun, day=TODAY), replace(begun, day=day(4)), replace(begun, aim=None)):
        assert not crush_pens.is_mid_plan(herd(diet), "Top yard")
    ended = Diet("e", "Top yard", day(-1), "feed to hold")
    assert not crush_pens.is_mid_plan(herd(begun, ended), "Top yard")


@given(herds())
@settings(max_examples=60)
def test_that_no_cow_past_the_lead_or_never_slimmed_is_moved_for_condition(rows: list[Record]) -> None:
    a = assessed(rows)
    for place in range(len(a)):
        pen = advised_pen(a, place, None).pen
        if pen is not Pen.OWN:
            assert a.dates.day[place] >= RULES.limits.lead_days
            assert not a.facts.gone[place]
        if pen is Pen.FAT:
            assert not a.reach.never_slimmed[place]


def test_that_a_pen_is_kept_with_the_score_and_counted() -> None:
    snapshot, january = opened(SPRING)
    for one, pen in ((LEAN, Pen.LEAN), (FAT, Pen.FAT), (MID, Pen.OWN), (LATER, Pen.LEAN)):
        saved = adding("score", [score(one, 0, 2.0)])
        name = crush_pens.pen_name(january, pen)
        snapshot = applied(snapshot, rounds.with_pen(saved, snapshot, january, one.id, name))
    now = progress(snapshot, january)
    assert pen_counts(snapshot, january, now.scored | now.extra) == PenCounts(lean=2, fat=1, stayed=1)
    assert (now.total, now.done) == (5, 4)  # the one not on the list has joined it
    line = rounds.listing_of(snapshot, january, LATER.id)
    assert line is not None
    assert (line.pen, pen_of(january, line.pen)) == ("Top yard", Pen.LEAN)
    assert rounds.listing_of(snapshot, january, GONE.id) is None


def test_that_a_cow_sent_back_to_her_own_group_changes_no_list() -> None:
    snapshot, january = opened(SPRING)
    saved = adding("score", [score(LATER, 0, 3.0)])
    assert rounds.with_pen(saved, snapshot, january, LATER.id, None) is saved
    saved = adding("score", [score(LEAN, 0, 3.0)])
    assert rounds.with_pen(saved, snapshot, january, LEAN.id, None) is saved


def test_that_the_three_pens_follow_each_other_and_have_names_without_a_round() -> None:
    assert [next_pen(pen) for pen in Pen] == [Pen.OWN, Pen.FAT, Pen.LEAN]
    assert [crush_pens.pen_name(None, pen) for pen in Pen] == ["Lean pen", None, "Fat pen"]
    assert [pen_of(None, name) for name in ("lean  PEN", None, "Fat pen", "Elsewhere")] == [
        Pen.LEAN,
        Pen.OWN,
        Pen.FAT,
        Pen.OWN,
    ]


# The end


def test_that_a_summary_sets_each_group_against_last_time() -> None:
    now = [score(LEAN, 0, 2.5), score(MID, 0, 2.5), score(FAT, 0, 3.5), score(HEIFER, 0, 3.0)]
    snapshot, january = opened(ALL, *now)
    made = summary(assessed(snapshot.all_records()), january)
    assert [(one.group, one.cows, one.mean, one.again) for one in made.groups] == [
        ("Byre", 2, 2.5, 2),
        ("Hill", 1, 3.5, 1),
        (None, 1, 3.0, 0),
    ]
    byre, hill, none = made.groups
    # Byre before: 2.0 and 2.5, mean 2.25, spread 0.5/sqrt(2); worked out here.
    assert (byre.spread, byre.mean_before, byre.change) == (0, 2.25, 0.25)
    assert byre.spread_before == pytest.approx(0.5 / np.sqrt(2))
    assert (hill.change, np.isnan(hill.spread)) == (-0.25, True)
    assert np.isnan([none.mean_before, none.change, none.spread_before]).all()
    assert (made.herd.cows, made.herd.mean, made.herd.again) == (4, 2.875, 3)
    assert made.herd.change == pytest.approx((0.5 + 0.0 - 0.25) / 3)
    assert (made.progress.done, made.progress.left, made.days) == (4, 1, (TODAY,))


def test_that_the_last_day_of_a_cow_counts_and_the_mean_of_two_scorers() -> None:
    rows = [score(LEAN, 0, 3.5, scorer="A"), score(LEAN, 2, 2.0, scorer="A"), score(LEAN, 2, 2.5, scorer="B")]
    snapshot, january = opened(ALL, *rows)
    made = summary(assessed(snapshot.all_records(), day(2)), january)
    assert (made.herd.mean, made.days) == (2.25, (TODAY, day(2)))


def test_that_a_summary_names_the_cows_to_act_on() -> None:
    snapshot, january = opened(ALL, score(LEAN, 0, 1.75), score(MID, 0, 2.75))
    a = assessed(snapshot.all_records())
    assert a.snapshot.cows.tag[list(summary(a, january).to_act)].tolist() == ["0001"]


def many(change: float, *, spread: float = 0.0) -> tuple[Assessment, Round]:
    """Thirty cows scored twice at the same score on a diet that holds it, and then once, all off by so much."""
    rows: list[Record] = [Diet("d", "Byre", day(-200), "feed to hold", expected_change=0.0)]
    for k in range(30):
        one = cow(f"{k:04d}", 100, group="Byre")
        rows += [one, score(one, -60, 3.0), score(one, -30, 3.0), score(one, 0, 3.0 + change)]
    rows.append(Round("r", "January round", TODAY))
    return assessed(rows), Round("r", "January round", TODAY)


@pytest.mark.parametrize(("change", "said"), [(-0.75, ["low"]), (0.75, ["high"]), (0.0, []), (-0.25, [])])
def test_that_a_day_on_which_all_look_low_or_high_is_said(change: float, said: list[str]) -> None:
    days_off = summary(*many(change)).days_off
    assert ["low" if one.is_low else "high" for one in days_off] == said
    for one in days_off:
        assert (one.day, one.cows) == (TODAY, 30)
        assert abs(one.bias) > 2 * one.usual == 2 * RULES.model.day_bias_sd


@given(herds(), st.sampled_from(COVERS), st.data())
@settings(max_examples=60)
def test_that_every_cow_on_the_list_is_in_exactly_one_place(
    rows: list[Record], covers: str, data: st.DataObject
) -> None:
    a = assessed(rows)
    snapshot = applied(a.snapshot, opening(a, "Any", covers, data.draw(st.sampled_from([TODAY, date(2026, 6, 1)]))))
    january = open_round(snapshot)
    assert january is not None
    for one in snapshot.records("listed"):
        if isinstance(one, Listed) and data.draw(st.booleans()):
            snapshot = after(snapshot, rounds.skipping(snapshot, january, one.cow_id))
    now = progress(snapshot, january)
    places = now.scored.astype(int) + now.unsafe + now.skipped + now.to_come + now.gone
    assert (places == now.listed).all()
    assert now.total == now.done + now.left
    made = summary(assessed(snapshot.all_records()), january)
    assert made.herd.cows == sum(group.cows for group in made.groups)
