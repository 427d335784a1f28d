from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

from herdscore.domain import records as r
from herdscore.exchange.drafts import Draft
from herdscore.exchange.scores_in import mean_quarters
from tests.exchange.books import SCORES, only, places, read
from tests.exchange.herds import TODAY

DAY = date(2026, 11, 3)
COW = {"Cows": [("Tag",), ("1",)]}


def _of(draft: Draft, kind: type[r.Record]) -> list[r.Record]:
    return [row for row in draft.records if isinstance(row, kind)]


def test_that_the_mean_of_the_sites_goes_to_the_nearest_quarter_ties_up() -> None:
    assert [mean_quarters(felt) for felt in ([10], [10, 11], [10, 10, 11], [10, 11, 11], [4, 20])] == [
        10,
        11,
        10,
        11,
        12,
    ]


def test_that_an_overall_score_that_agrees_with_the_sites_is_no_problem(tmp_path: Path) -> None:
    draft = read(tmp_path, {**COW, "Scores": [SCORES, ("1", DAY, 2.5, 2.5, 2.75, 2.5)]})
    assert draft.problems == ()


def test_that_a_row_marked_unsafe_needs_no_score(tmp_path: Path) -> None:
    draft = read(tmp_path, {**COW, "Scores": [SCORES, ("1", DAY, None, None, None, None, None, "Unsafe")]})
    assert draft.problems == ()
    assert [row.note for row in _of(draft, r.Score)] == [r.UNSAFE]


def test_that_an_unsafe_cow_may_have_other_notes(tmp_path: Path) -> None:
    draft = read(tmp_path, {**COW, "Scores": [SCORES, ("1", DAY, None, None, None, None, None, "unsafe; feet")]})
    assert draft.problems == ()
    assert [row.note for row in _of(draft, r.Score)] == ["unsafe; feet"]


def test_that_two_scorers_on_a_day_are_both_kept_and_one_spelling_is_used(tmp_path: Path) -> None:
    rows = [
        SCORES,
        *(("1", DAY, None, None, None, score, who) for score, who in ((2.5, "R. Fell"), (3, "J. Rowan"))),
        ("1", TODAY, None, None, None, 3, "r.fell"),
    ]
    draft = read(tmp_path, {**COW, "Scores": rows})
    assert sorted(row.scorer for row in _of(draft, r.Score)) == ["J. Rowan", "R. Fell", "R. Fell"]
    assert (only(draft).severity, only(draft).wrong) == ("note", "also spelled R. Fell")


def test_that_the_very_same_row_twice_is_only_noted(tmp_path: Path) -> None:
    row = ("1", DAY, None, None, None, 2.5, None)
    draft = read(tmp_path, {**COW, "Scores": [SCORES, row, row]})
    assert draft.counts["scores"] == 1
    assert (only(draft).severity, only(draft).row, only(draft).wrong) == ("note", 3, "the same as row 2")


def test_that_the_last_weight_in_cows_becomes_a_weighing_unless_it_is_in_weights(tmp_path: Path) -> None:
    cows = [("Tag", "Weight (kg)", "Weighed on"), ("1", 640, DAY), ("2", 610, DAY), ("3", 700, DAY), ("4", 655, TODAY)]
    weights = [("Tag", "Date", "Weight (kg)"), ("1", DAY, 640), ("3", DAY, 690), ("4", DAY, 640)]
    draft = read(tmp_path, {"Cows": cows, "Weights": weights})
    assert sorted(row.weight for row in _of(draft, r.Weight)) == [610, 640, 640, 655, 690]
    assert (only(draft).row, only(draft).column, only(draft).wrong) == (
        4,
        "Weight (kg)",
        "sheet Weights has 690 kg that day",
    )


def test_that_a_later_move_wins_over_the_group_in_cows_and_is_noted(tmp_path: Path) -> None:
    cows = [("Tag", "Group"), ("1", "North"), ("2", None), ("3", "North"), ("4", "South")]
    moves = [
        ("Tag", "Date", "Group"),
        *(("1", DAY, "South"), ("1", date(2026, 1, 5), "North"), ("2", DAY, "South"), ("4", DAY, "South")),
        ("3", TODAY + timedelta(days=9), "South"),
    ]
    draft = read(tmp_path, {"Cows": cows, "Moves": moves})
    assert [cow.group for cow in draft.cows] == ["South", "South", "North", "South"]
    assert (only(draft).row, only(draft).comes_in_as, only(draft).severity) == (2, "group South", "note")
    assert draft.counts["moves"] == 5


def test_that_one_group_has_one_spelling_across_sheets(tmp_path: Path) -> None:
    diets = [("Group", "From", "Kind"), ("north  PARK", DAY, "grass"), ("Calves", DAY, "grass")]
    draft = read(tmp_path, {"Cows": [("Tag", "Group"), ("1", "North park")], "Diets": diets})
    assert [row.group for row in _of(draft, r.Diet)] == ["North park", "Calves"]
    assert only(draft).comes_in_as == "North park, here and in every row"


def test_that_twins_are_two_rows_and_a_calf_with_one_tag_is_one(tmp_path: Path) -> None:
    heads = ("Tag", "Date", "Ease", "Calf tag")
    twins = [heads, ("1", DAY, 1, None), ("1", DAY, 1, None)]
    assert read(tmp_path, {**COW, "Calvings": twins}).counts["calvings"] == 2
    same = read(tmp_path, {**COW, "Calvings": [heads, ("1", DAY, 1, "c9"), ("1", DAY, 1, "C9"), ("1", DAY, 1, "c9")]})
    assert same.counts["calvings"] == 2
    assert only(same).severity == "note"


def test_that_dates_that_cannot_all_be_true_are_noted_and_kept(tmp_path: Path) -> None:
    cows = [
        ("Tag", "Born", "Calvings", "Calving date"),
        ("1", date(2024, 11, 1), 0, None),
        ("2", None, None, date(2026, 12, 1)),
    ]
    services = [("Tag", "Kind", "Date"), ("1", "AI", date(2025, 1, 1)), ("2", "service", date(2026, 7, 1))]
    draft = read(tmp_path, {"Cows": cows, "Services": services, "Calvings": [("Tag", "Date"), ("1", date(2025, 3, 1))]})
    assert [(one.sheet, one.row, one.column, one.wrong) for one in draft.problems] == [
        ("Cows", 2, "Calvings", "sheet Calvings has 1"),
        ("Cows", 3, "Calving date", "153 days after her service on 2026-07-01"),
        ("Calvings", 2, "Date", "59 days after her service on 2025-01-01"),
        ("Calvings", 2, "Date", "she was born on 2024-11-01"),
    ]
    assert not draft.has_problems
    assert draft.counts["calvings"] == 1


def test_that_a_date_before_her_service_counts_days_with_a_true_minus(tmp_path: Path) -> None:
    cows = [("Tag", "Calving date"), ("1", date(2026, 6, 21))]
    draft = read(tmp_path, {"Cows": cows, "Services": [("Tag", "Kind", "Date"), ("1", "AI", date(2026, 7, 1))]})
    assert only(draft).wrong == "−10 days after her service on 2026-07-01"


def test_that_settings_are_known_by_the_names_given_and_the_later_row_wins(tmp_path: Path) -> None:
    rows = [("Setting", "Value"), ("lead  (days)", 63), ("Target, spring", "2,75"), ("Lead", 70), ("Band", 0.25)]
    draft = read(tmp_path, {**COW, "Settings": rows}, known_settings=("Lead (days)", "Target, spring"))
    assert draft.snapshot().setting == {"Lead (days)": "70", "Target, spring": "2,75"}
    assert places(draft) == [("Settings", 4, "Setting"), ("Settings", 5, "Setting")]


def test_that_a_herd_with_its_own_day_is_read_on_that_day(tmp_path: Path) -> None:
    later = date(2027, 1, 10)
    scores = [SCORES, ("1", later, None, None, None, 2.5)]
    draft = read(tmp_path, {**COW, "Scores": scores, "Settings": [("Setting", "Value"), ("Own day", later)]})
    assert draft.snapshot().setting == {"Own day": "2027-01-10"}
    assert draft.problems == ()
    assert places(read(tmp_path, {**COW, "Scores": scores})) == [("Scores", 2, "Date")]


def test_that_a_feed_and_a_diet_given_twice_take_the_later_row(tmp_path: Path) -> None:
    feeds = [("Feed", "DM (%)", "ME", "Kind"), ("Clamp (1)", 25, 10.2, "forage"), ("Clamp (2)", 26, 10, "forage")]
    feeds.append(("clamp (1)", 27, 10.2, "Forage"))
    diets = [("Group", "From", "Kind"), ("North", DAY, "grass"), ("North", DAY, "winter")]
    draft = read(tmp_path, {**COW, "Feeds": feeds, "Diets": diets})
    assert [(row.feed, row.dm) for row in _of(draft, r.Feed)] == [("Clamp (2)", 26), ("clamp (1)", 27)]
    assert [row.kind for row in _of(draft, r.Diet)] == [r.WINTER_FEED]
    assert places(draft) == [("Feeds", 4, "Feed"), ("Diets", 3, "Group")]


def test_that_a_share_in_place_of_a_percentage_is_caught(tmp_path: Path) -> None:
    feeds = [("Feed", "DM (%)", "ME", "Kind"), ("Straw", 0.86, 6.5, "straw")]
    assert places(read(tmp_path, {**COW, "Feeds": feeds})) == [("Feeds", 2, "DM (%)")]


def test_that_a_ration_names_feeds_that_are_there_and_of_two_amounts_the_later_row_counts(tmp_path: Path) -> None:
    feeds = [("Feed", "DM (%)", "ME", "Kind"), ("Clamp 1", 25, 10.2, "forage")]
    rations = [("Group", "From", "Feed", "Fed (kg fresh a head a day)"), ("North", DAY, "clamp 1", 26)]
    rations += [("North", DAY, "Clamp 1", 27), ("North", DAY, "Beet", 3), ("North", DAY, "Clamp 1", -2)]
    draft = read(tmp_path, {**COW, "Feeds": feeds, "Rations": rations})
    assert [(row.group, row.feed, row.kg_fresh) for row in _of(draft, r.Ration)] == [("North", "Clamp 1", 27)]
    assert places(draft) == [
        ("Rations", 3, "Feed"),
        ("Rations", 4, "Feed"),
        ("Rations", 5, "Fed (kg fresh a head a day)"),
    ]
