"""What condition did: which calvings count, what is claimed and what is not, season against season."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from herdscore.domain.calendar import AUTUMN_BLOCK, SPRING_BLOCK
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import CalendarDay, Cow, Record, new_id
from herdscore.domain.season_learning import (
    AT_MATING,
    EARLY,
    HARD,
    HELPED,
    IN_CALF_AGAIN,
    LOST,
    by_condition,
    by_stratum,
    claims,
    published_findings,
    season_change,
    seasons,
    week_by_condition,
)
from herdscore.domain.season_outcomes import SEX_BULL, SEX_HEIFER, SEX_TWINS, SEX_UNKNOWN, Outcomes, outcomes_of
from tests.domain.herds import RULES, calving, cow, score, service

NOW = date(2027, 6, 1)
BORN = date(2026, 3, 10)


def outcomes(rows: list[Record], today: date = NOW) -> Outcomes:
    return outcomes_of(Snapshot.from_records(rows), RULES, today)


def on(of: Cow, when: date, value: float) -> Record:
    return score(of, (when - date(2027, 1, 12)).days, value)


def calved(tag: str, felt: float | None, when: date = BORN, calvings: int = 3, **facts: object) -> list[Record]:
    """A cow that calved once in the records, felt three weeks before."""
    one = cow(tag, calvings=calvings)
    rows: list[Record] = [one, calving(one, when, **{"ease": 1, "calf_alive": True, "calf_sex": "bull", **facts})]
    if felt is not None:
        rows.append(on(one, when - timedelta(days=21), felt))
    return rows


def test_that_twins_are_one_calving_with_its_worst_ease_and_any_loss() -> None:
    one = cow("1", calvings=3)
    rows: list[Record] = [
        one,
        calving(one, BORN, ease=1, calf_alive=True),
        calving(one, BORN, ease=3, calf_alive=False),
    ]
    found = outcomes(rows)
    assert len(found) == 1
    assert (found.helped[0], found.hard[0], found.lost[0], found.sex[0]) == (1, 1, 1, SEX_TWINS)


def test_that_unseen_and_malpresented_calvings_are_not_counted_as_easy() -> None:
    rows = [*calved("1", 2.5, ease=None), *calved("2", 2.5, presentation="backwards", ease=4)]
    rows += [*calved("3", 2.5, presentation="normal", ease=2), *calved("4", 2.5, calf_alive=None)]
    found = outcomes(rows)
    assert np.isnan(found.helped[:2]).all()
    assert found.helped[2:].tolist() == [1, 0]
    assert np.isnan(found.lost[3])


def test_that_sexes_are_read_as_people_write_them() -> None:
    rows = [*calved("1", None, calf_sex="M"), *calved("2", None, calf_sex="Heifer"), *calved("3", None, calf_sex="?")]
    assert outcomes(rows).sex.tolist() == [SEX_BULL, SEX_HEIFER, SEX_UNKNOWN]


def test_that_the_score_nearest_her_calving_counts_and_far_ones_do_not() -> None:
    one, two, three = cow("1"), cow("2"), cow("3")
    rows: list[Record] = [one, two, three, *[calving(of, BORN) for of in (one, two, three)]]
    rows += [on(one, BORN - timedelta(days=40), 3.0), on(one, BORN - timedelta(days=10), 2.5)]
    rows += [on(one, BORN + timedelta(days=11), 1.5)]
    rows += [on(two, BORN - timedelta(days=46), 3.0), on(three, BORN + timedelta(days=10), 2.25)]
    found = outcomes(rows).at_calving
    assert found[0] == 2.5
    assert np.isnan(found[1])
    assert found[2] == 2.25


def test_that_parity_counts_back_from_the_register_or_goes_by_age() -> None:
    one, two = cow("1", calvings=4), cow("2", calvings=None, born=date(2024, 2, 1))
    three, four = cow("3", calvings=None, born=date(2018, 2, 1)), cow("4", calvings=None)
    rows: list[Record] = [one, two, three, four, calving(one, date(2025, 3, 1)), calving(one, BORN)]
    rows += [calving(two, BORN), calving(three, BORN), calving(four, BORN)]
    found = outcomes(rows)
    assert found.parity[:3].tolist() == [3, 4, 1]
    assert found.parity[3] == 2
    assert np.isnan(found.parity[4])
    assert found.first_calf.tolist() == [False, False, True, False, False]


def test_that_in_calf_again_is_known_by_the_next_calving_or_the_last_check() -> None:
    rows: list[Record] = [CalendarDay(new_id(), "spring", "bull in", date(2026, 5, 25))]
    herd = [cow(f"{at}") for at in range(6)]
    rows += [*herd, *[calving(of, BORN) for of in herd]]
    rows += [calving(herd[0], date(2027, 3, 20)), service(herd[1], "scan", date(2026, 9, 1), result="in calf")]
    rows += [service(herd[2], "scan", date(2026, 9, 1), result="empty")]
    rows += [service(herd[3], "scan", date(2026, 8, 1), result="empty")]
    rows += [service(herd[3], "scan", date(2026, 10, 1), result="twins")]
    # A check before the bull tells nothing; and nothing at all is known of the last.
    rows += [service(herd[4], "scan", date(2026, 4, 20), result="empty")]
    found = outcomes(rows).in_calf[[0, 2, 3, 4, 5, 6]]
    assert found[:4].tolist() == [1, 1, 0, 1]
    assert np.isnan(found[4:]).all()


def test_that_weeks_are_counted_from_the_first_calf_born_in_time() -> None:
    herd = [cow(f"{at}") for at in range(4)]
    rows: list[Record] = [*herd, *[calving(of, BORN) for of in herd[:3]]]
    rows += [calving(herd[3], date(2027, 1, 20), premature=True)]
    rows += [
        calving(herd[0], date(2027, 3, 1)),
        calving(herd[1], date(2027, 3, 21)),
        calving(herd[2], date(2027, 3, 22)),
    ]
    found = outcomes(rows)
    first_time = found.day == (BORN - NOW).days
    assert found.next_week[first_time].tolist() == [1, 3, 4]
    assert found.early[first_time].tolist() == [1, 1, 0]
    assert found.first_weeks[~first_time].tolist() == [1, 1, 0, 1]


def many(felt: float, of: int, helped: int, tag: str, **facts: object) -> list[Record]:
    rows: list[Record] = []
    for at in range(of):
        sex = "bull" if at % 2 else "heifer"
        rows += calved(f"{tag}{at}", felt, ease=2 if at < helped else 1, calf_sex=sex, **facts)  # type: ignore[arg-type]
    return rows


def test_that_classes_are_half_a_score_wide_with_first_calvers_apart() -> None:
    rows = [*many(2.5, 20, 5, "a"), *many(2.75, 4, 0, "b"), *many(1.5, 3, 1, "c"), *many(2.5, 6, 3, "d", calvings=1)]
    found = {row.label: row for row in by_condition(outcomes(rows), HELPED, RULES)}
    assert list(found) == ["2.0 or less", "2.5", "3.0", "3.5 or more"]
    assert found["2.5"].cows.said == "5 of 20, 25\u00a0% (11 to 47\u00a0%)"
    assert (found["2.5"].first_calvers.count, found["2.5"].first_calvers.of) == (3, 6)
    assert (found["2.0 or less"].cows.count, found["2.0 or less"].cows.of) == (1, 3)
    # 2.75 lies between and is counted up.
    assert found["3.0"].cows.of == 4
    assert found["3.5 or more"].cows.of == 0


def test_that_a_large_difference_is_claimed_and_a_small_one_is_not() -> None:
    large = outcomes([*many(2.0, 40, 24, "a"), *many(2.75, 80, 8, "b")])
    lean, fat = claims(large, HELPED, RULES)
    assert lean.sure
    assert lean.low > 1
    assert "More often, like compared with like" in lean.say
    assert "24 of 40" in lean.say
    assert not fat.sure
    assert fat.say.endswith("Under 5 on one side: no claim.")
    small = claims(outcomes([*many(2.0, 20, 5, "a"), *many(2.75, 80, 12, "b")]), HELPED, RULES)[0]
    assert not small.sure
    assert small.low < 1 < small.high
    assert small.say.endswith("The difference may be chance: no claim.")


def test_that_first_calvers_among_the_lean_make_no_claim_of_condition() -> None:
    # Lean first-calvers helped as often as fit ones: the crude difference is theirs, not condition's.
    rows = [*many(2.0, 30, 12, "a", calvings=1), *many(2.75, 10, 4, "b", calvings=1)]
    rows += [*many(2.0, 10, 1, "c"), *many(2.75, 80, 8, "d")]
    lean, _ = claims(outcomes(rows), HELPED, RULES)
    assert lean.these.share > 2 * lean.fit.share
    assert not lean.sure


def test_that_all_against_none_is_claimed_by_the_plain_difference() -> None:
    lean, _ = claims(outcomes([*many(2.0, 12, 12, "a"), *many(2.75, 12, 0, "b")]), HELPED, RULES)
    assert np.isnan(lean.odds)
    assert lean.sure
    assert lean.say.endswith("More often than chance would have it.")


def test_that_claims_are_rarely_made_of_nothing() -> None:
    # 200 herds in which condition does nothing: about one claim in twenty is false, no more than one in ten here.
    rng = np.random.default_rng(4)
    false = 0
    for _ in range(200):
        n = 120
        found = outcomes([])
        values = (rng.random(n) < 0.2).astype(float)
        made = Outcomes(
            **{
                **{name: np.zeros(n) for name in found.__dataclass_fields__},
                "parity": rng.integers(1, 4, n).astype(float),
                "sex": rng.integers(1, 3, n),
                "at_calving": rng.choice([2.0, 2.25, 2.5, 2.75, 3.0], n),
                "helped": values,
            }
        )
        false += claims(made, HELPED, RULES)[0].sure
    assert false <= 20


def test_that_strata_with_too_few_are_left_out() -> None:
    found = by_stratum(outcomes([*many(2.0, 8, 2, "a"), *many(2.75, 1, 0, "b", calvings=1)]), HELPED, RULES)
    assert [row.label for row in found] == []
    found = by_stratum(outcomes([*many(2.0, 20, 2, "a"), *many(2.75, 20, 0, "b")]), HELPED, RULES)
    assert [row.label for row in found] == ["cows, bull calves", "cows, heifer calves"]
    assert [rate.of for rate in found[0].rates] == [10, 10, 0]


def test_that_mating_condition_is_judged_by_the_floor_of_the_block() -> None:
    rows: list[Record] = []
    for at in range(12):
        one = cow(f"{at}")
        again = date(2027, 3, 5) + timedelta(days=30 * (at < 6))
        rows += [one, calving(one, BORN), service(one, "AI", date(2026, 6, 1)), calving(one, again)]
        rows.append(on(one, date(2026, 5, 25), 1.75 if at < 6 else 2.5))
    found = outcomes(rows)
    weeks = {name: (week, of) for name, week, of in week_by_condition(found, RULES)}
    assert weeks["lean"] == (5, 6)
    assert weeks["fit"] == (1, 6)
    assert np.isnan(weeks["fat"][0])
    lean, _ = claims(found, EARLY, RULES, AT_MATING)
    assert lean.sure
    assert lean.say.startswith("Calving next year in the first weeks: lean at mating 0 of 6")
    assert claims(found, IN_CALF_AGAIN, RULES, AT_MATING)[0].these.of == 6


def test_that_seasons_stand_beside_each_other() -> None:
    rows = [*many(2.5, 30, 18, "a", when=date(2025, 3, 1)), *many(2.5, 30, 4, "b", when=BORN)]
    rows += many(3.0, 6, 1, "c", when=date(2026, 9, 1), calf_alive=False)
    found = seasons(outcomes(rows), RULES)
    assert [row.name for row in found] == ["spring 2025", "spring 2026", "autumn 2026"]
    assert [row.block for row in found] == [SPRING_BLOCK, SPRING_BLOCK, AUTUMN_BLOCK]
    assert [(row.calvings, row.scored, row.mean_at_calving) for row in found][:2] == [(30, 30, 2.5), (30, 30, 2.5)]
    assert found[2].rates[LOST][0].count == 6
    fewer = season_change(found[0], found[1], HELPED, RULES.learning)
    assert fewer.startswith("Calvings helped: spring 2025 18 of 30")
    assert fewer.endswith("Fewer than chance would have it.")
    assert season_change(found[0], found[1], HARD, RULES.learning).endswith("no claim.")


def test_that_a_spring_season_that_begins_in_december_is_one_season() -> None:
    rows = [*calved("1", None, date(2025, 12, 20)), *calved("2", None, date(2026, 2, 1))]
    assert [(row.name, row.calvings) for row in seasons(outcomes(rows), RULES)] == [("spring 2026", 2)]


def test_that_what_is_not_yet_recorded_on_the_day_is_not_counted() -> None:
    assert len(outcomes(calved("1", 2.5), today=BORN - timedelta(days=1))) == 0
    assert seasons(outcomes([]), RULES) == ()
    assert by_condition(outcomes([]), HELPED, RULES)[0].cows.of == 0


def test_that_what_others_found_is_told_with_its_numbers() -> None:
    published = RULES.published
    # EF12: assisted calving, British beef herds, abstract read. EF10: an American cattle paper's table, read.
    odds = (published.odds_thin, published.odds_first_calver, published.odds_twins)
    assert (*odds, published.odds_large_breed, published.odds_bull_calf) == (1.92, 5.75, 5.45, 3.24, 1.75)
    assert (published.rebred_lean, published.rebred_middle, published.rebred_good) == (60, 81, 92)
    # EF13: University of Edinburgh, abstract read. EF16: Hereford heifers 1979, abstract read.
    assert (published.transfer_failed, published.transfer_short, published.weak_labour_loss) == (15, 37, 0.5)
    # EA02, EA03: Echternkamp and Gregory 1999, abstract read. EA04: Smith, Laster and Gregory 1976, abstract read.
    helped = (published.helped_first, published.helped_second, published.helped_older, published.helped_twins)
    assert helped == (40.5, 22.7, 13.4, 46.9)
    assert published.difficulty_per_kg == pytest.approx(1.63, abs=0.2)
    # The kit reckons with rates between the published ones.
    assert published.helped_older <= 100 * RULES.kit.helped_cows <= published.helped_second
    assert 100 * RULES.kit.helped_first_calvers == pytest.approx(published.helped_first, abs=1)
    said = published_findings(RULES)
    assert not any("{" in sentence for _, sentence, _ in said)
    assert "first-calver 5.75" in said[0][1]
