"""Calving dates and their spreads from what is known."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore.domain import gestation
from herdscore.domain.calving_dates import SOURCES, CalvingDates
from herdscore.domain.records import Cow, Record, new_id
from tests.domain.herds import RULES, assessed, calving, cow, service

DATES = RULES.dates


def dates_of(rows: list[Record], today: date) -> CalvingDates:
    return assessed(rows, today).dates


def date_of(rows: list[Record], today: date) -> tuple[date | None, float, str]:
    """Projected date, spread and source of the only cow."""
    found = dates_of(rows, today)
    when = found.day[0]
    return (
        None if np.isnan(when) else today + timedelta(days=int(when)),
        float(found.spread[0]),
        SOURCES[found.source[0]],
    )


# GL01-GL14: gestation by breed of sire, days, chosen among published means (named in breeds.toml); tolerance 3.
@pytest.mark.parametrize(
    ("breed", "days"),
    [
        ("Aberdeen Angus", 282),
        ("Hereford", 284),
        ("Shorthorn", 283),
        ("Simmental", 286),
        ("Charolais", 288),
        ("Limousin", 289),
        ("Blonde d'Aquitaine", 292),
        ("Brahman", 292),
        ("Jersey", 282),
        ("Holstein-Friesian", 280),
        ("Salers", 285),  # from memory
        ("Belgian Blue", 283),  # from memory
        ("Piedmontese", 288),  # from memory
        (None, 284),
    ],
)
def test_that_a_breed_of_sire_has_its_gestation_length(breed: str | None, days: int) -> None:
    served = date(2026, 6, 1)
    found, _, _ = date_of([one := cow(), service(one, "AI", served, sire_breed=breed)], date(2026, 12, 1))
    assert found == served + timedelta(days=days)


def normal_quantile_for(chance: float) -> float:
    """Standard normal deviate by bisection on math.erf, so that the check hangs on no code of the product."""
    from math import erf, sqrt

    low, high = -8.0, 8.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if 0.5 * (1 + erf(middle / sqrt(2))) < chance else (low, middle)
    return low


def test_that_the_spread_of_one_gestation_lies_in_the_published_range() -> None:
    # GL25: 1.7 % under 270 days about a mean of 279.9 (Knott 1932, abstract read; worked out).
    knott = (270 - 279.9) / normal_quantile_for(0.017)
    # 4.91 is the reference figure for the continuous tail below 269.5 days.
    assert abs((269.5 - 279.9) / normal_quantile_for(0.017) - 4.91) < 0.05
    # GL26: 95 % within 9 days either side (Donkersloot 2014, summary read; worked out).
    donkersloot = 9 / normal_quantile_for(0.975)
    assert donkersloot == pytest.approx(4.59, abs=0.05)
    # The largest published one, 5.52 in Simmental, is what a service's spread is built on with 2 for the breed.
    assert np.hypot(5.5, 2) == pytest.approx(DATES.spread_service, abs=0.2)
    assert knott < DATES.spread_service
    assert donkersloot < DATES.spread_service


def test_that_twins_come_early() -> None:
    # GL27: 275.6 against 281.3 days, 5.7 earlier (Echternkamp and Gregory 1999, abstract read); about 6 is used.
    served, today = date(2026, 6, 1), date(2026, 12, 1)
    single, _, _ = date_of([one := cow(), service(one, "AI", served)], today)
    twins, _, _ = date_of([one := cow(twins=True), service(one, "AI", served)], today)
    assert single is not None
    assert twins is not None
    assert (single - twins).days == pytest.approx(5.7, abs=0.5)


def test_that_a_bulls_own_calvings_pull_his_breeds_length() -> None:
    # GL28, GL29: worked out from the shrinkage formula with 2.5 between bulls and 5 within.
    assert float(gestation.own_weight(5, DATES)) == pytest.approx(0.56, abs=0.01)
    assert gestation.learned(289, 285, 5, DATES) == pytest.approx(286.8, abs=0.1)


def test_that_a_bulls_own_calvings_move_the_dates_of_cows_he_served() -> None:
    today = date(2027, 1, 12)
    served = date(2025, 6, 1)
    rows: list[Record] = []
    for tag in range(5):
        rows += [one := cow(f"{tag}"), service(one, "AI", served, sire_breed="Limousin", sire="Brock")]
        rows.append(calving(one, served + timedelta(days=285)))
    rows += [last := cow("9"), service(last, "AI", date(2026, 7, 1), sire_breed="Limousin", sire="Brock")]
    found = dates_of(rows, today)
    # 289 less 0.56 times 4 days: 286.8, a half day up.
    assert today + timedelta(days=int(found.day[5])) == date(2026, 7, 1) + timedelta(days=287)
    assert found.spread[5] == DATES.spread_bull_learned


def test_that_service_and_calendar_give_the_worked_chain() -> None:
    # DT01-DT04: calendar, worked out.
    found, spread, source = date_of(
        [one := cow(), service(one, "service", date(2025, 6, 1), sire_breed="Limousin")], date(2025, 12, 1)
    )
    assert (found, spread, source) == (date(2026, 3, 17), 6.0, "service")
    assert found is not None
    limits = RULES.limits
    assert found - timedelta(days=limits.lead_days) == date(2026, 1, 20)
    assert found - timedelta(days=limits.freeze_days) == date(2026, 2, 24)
    assert found - timedelta(days=RULES.verdicts.again_to_days) == date(2025, 12, 7)


def test_that_a_scan_gives_the_date_from_the_age_of_the_calf() -> None:
    # DT05: 10 August, 60 days, gestation 285 -> 23 March (worked out); 285 is Salers, told by the dam's breed.
    rows = [one := cow(breed="Salers"), service(one, "scan", date(2025, 8, 10), foetal_age=60)]
    assert date_of(rows, date(2025, 12, 1)) == (date(2026, 3, 23), 6.0, "scan")


@pytest.mark.parametrize(
    ("age", "kind", "spread"),
    [
        (29, "scan", 15),
        (30, "scan", 6),
        (90, "scan", 6),
        (91, "scan", 11),
        (120, "scan", 11),
        (121, "scan", 15),
        (60, "hand check", 15),
    ],
)
def test_that_a_scan_is_as_sure_as_the_calf_is_young(age: int, kind: str, spread: float) -> None:
    rows = [one := cow(), service(one, kind, date(2026, 10, 1), foetal_age=age)]
    assert date_of(rows, date(2026, 12, 1))[1] == spread


def test_that_the_spread_of_a_scan_follows_from_field_vets() -> None:
    # DT07, DT08: 90 % within 10 days less a gestation of 4.7; 95 % within 15 days (field scans; worked out).
    within = 10 / normal_quantile_for(0.95)
    assert np.sqrt(within**2 - 4.7**2) == pytest.approx(3.86, abs=0.05)
    assert within == pytest.approx(DATES.spread_scan, abs=0.1)
    assert 15 / normal_quantile_for(0.975) == pytest.approx(7.65, abs=0.05)
    assert DATES.typed_scan >= 7.65


def test_that_a_young_foetus_tells_its_age_by_its_length() -> None:
    # DT06: 20 mm is about 40 days (practice note on foetal ageing 2017, read), two days either way.
    assert gestation.foetal_age(20, DATES) == pytest.approx(40, abs=2)


@pytest.mark.parametrize(
    ("days", "share", "mean", "sd", "spread"),
    # DT09, DT10: cycles of 21 days at 65 % (Mississippi State University); worked out, checked by simulation below.
    [(63, 0.957, 19.0, 14.7, 15.5), (84, 0.985, 20.5, 17.1, 18.0)],
)
def test_that_a_bull_run_gives_its_mean_day_and_spread(
    days: int, share: float, mean: float, sd: float, spread: float
) -> None:
    shares, means, sds = gestation.bull_run(DATES)
    assert shares[days] == pytest.approx(share, abs=0.001)
    assert means[days] == pytest.approx(mean, abs=0.1)
    assert sds[days] == pytest.approx(sd, abs=0.1)
    bull_in = date(2026, 6, 1)
    rows = [one := cow(), service(one, "bull run", bull_in, until=bull_in + timedelta(days=days))]
    found, own_spread, source = date_of(rows, date(2026, 12, 1))
    assert found is not None
    assert (found - bull_in).days == np.floor(means[days] + DATES.gestation + 0.5)
    assert (own_spread, source) == (spread, "bull run")


def test_that_half_the_cows_a_cycle_conceive_later() -> None:
    # DT11: 63 days at 50 % a cycle: 87.5 %, day 22.5, 16.5 (worked out).
    from dataclasses import replace

    shares, means, sds = gestation.bull_run(replace(DATES, conception_share=0.5))
    assert shares[63] == pytest.approx(0.875, abs=0.001)
    assert means[63] == pytest.approx(22.5, abs=0.1)
    assert sds[63] == pytest.approx(16.5, abs=0.1)


def test_that_a_simulated_bull_run_agrees_with_the_formula() -> None:
    rng = np.random.default_rng(7)
    cycle = rng.geometric(DATES.conception_share, 400_000) - 1
    day = cycle * 21 + rng.uniform(0, 21, len(cycle))
    for length in (40, 63, 84):
        caught = day[day < length]
        shares, means, sds = gestation.bull_run(DATES)
        assert len(caught) / len(day) == pytest.approx(shares[length], abs=0.005)
        assert caught.mean() == pytest.approx(means[length], abs=0.15)
        assert caught.std() == pytest.approx(sds[length], abs=0.15)
    # DT12, DT13: 68, 24 and 8 % by cycle; 95 % in calf after 63 days (Mississippi State University, read).
    caught = day[day < 63] // 21
    assert [(caught == k).mean() for k in range(3)] == pytest.approx([0.679, 0.238, 0.083], abs=0.004)
    assert len(caught) / len(day) == pytest.approx(0.95, abs=0.01)


def test_that_a_cow_calved_late_starts_the_bull_run_at_her_first_heat() -> None:
    bull_in, calved = date(2026, 6, 1), date(2026, 5, 10)
    rows = [one := cow(), calving(one, calved), service(one, "bull run", bull_in, until=date(2026, 8, 3))]
    early = [one := cow(), calving(one, date(2026, 2, 1)), service(one, "bull run", bull_in, until=date(2026, 8, 3))]
    late_date, late_spread, _ = date_of(rows, date(2026, 12, 1))
    early_date, early_spread, _ = date_of(early, date(2026, 12, 1))
    assert late_date is not None
    assert early_date is not None
    # First heat at 2.5: 93.4 - 12.8 * 2.5 = 61.4 days after calving (line through Teagasc's two points).
    assert late_date > early_date + timedelta(days=20)
    assert late_spread < early_spread


def test_that_a_service_and_a_scan_that_agree_are_surer_together() -> None:
    # DT20: inverse-variance weights of 6 and 6 -> 4.24 (worked out).
    rows = [one := cow(), service(one, "AI", date(2026, 6, 1), sire_breed="Limousin")]
    rows.append(service(one, "scan", date(2026, 8, 10), foetal_age=74))
    found, spread, source = date_of(rows, date(2026, 12, 1))
    assert spread == pytest.approx(4.24, abs=0.02)
    assert source == "service and scan"
    # Conceptions on 1 June and 28 May weigh alike: 30 May and 289 days.
    assert found == date(2027, 3, 15)


def test_that_a_scan_with_an_age_beats_a_bull_run() -> None:
    # DT21: scan alone, spread 6 (project rule).
    rows = [one := cow(), service(one, "bull run", date(2026, 6, 1), until=date(2026, 8, 3))]
    rows.append(service(one, "scan", date(2026, 9, 1), foetal_age=60))
    assert date_of(rows, date(2026, 12, 1))[1:] == (6.0, "scan")
    assert np.isnan(dates_of(rows, date(2026, 12, 1)).scan_outside_days[0])


def test_that_a_scan_outside_the_bull_run_is_noted() -> None:
    rows = [one := cow(), service(one, "bull run", date(2026, 7, 1), until=date(2026, 8, 3))]
    rows.append(service(one, "scan", date(2026, 9, 1), foetal_age=80))
    # Conceived 13 June, 18 days before the bull went in.
    assert dates_of(rows, date(2026, 12, 1)).scan_outside_days[0] == 18


def test_that_a_scan_far_from_her_service_stands_alone_and_says_repeat() -> None:
    # DT22: 14 days apart (project rule: half a cycle).
    rows = [one := cow(), service(one, "AI", date(2026, 6, 1), sire_breed="Limousin")]
    rows.append(service(one, "scan", date(2026, 8, 10), foetal_age=56))
    found = dates_of(rows, date(2026, 12, 1))
    assert SOURCES[found.source[0]] == "scan"
    assert found.spread[0] == 6
    assert found.repeat[0]


def test_that_a_scan_chooses_the_nearer_of_two_services() -> None:
    rows = [one := cow(), service(one, "AI", date(2026, 6, 1), sire_breed="Limousin")]
    rows.append(service(one, "AI", date(2026, 6, 22), sire_breed="Aberdeen Angus"))
    rows.append(service(one, "scan", date(2026, 8, 10), foetal_age=72))
    found = dates_of(rows, date(2026, 12, 1))
    assert found.service_row[0] == 0
    # Conceptions on 1 and 30 May... weigh alike: 31 May, a half day up, and 289 days.
    assert date(2026, 12, 1) + timedelta(days=int(found.day[0])) == date(2027, 3, 16)


def test_that_the_last_of_two_services_counts_without_a_scan() -> None:
    rows = [one := cow(), service(one, "AI", date(2026, 6, 1)), service(one, "AI", date(2026, 6, 22))]
    assert date_of(rows, date(2026, 12, 1))[0] == date(2026, 6, 22) + timedelta(days=284)


def test_that_ai_then_bull_counts_from_the_ai_and_notes_the_bull() -> None:
    rows = [one := cow(), service(one, "AI", date(2026, 6, 1))]
    rows.append(service(one, "bull run", date(2026, 6, 12), until=date(2026, 8, 14)))
    assert date_of(rows, date(2026, 12, 1))[0] == date(2026, 6, 1) + timedelta(days=284)
    assert dates_of(rows, date(2026, 12, 1)).bull_after_days[0] == pytest.approx(11 + 19.0, abs=0.1)


def test_that_a_scan_without_an_age_only_confirms() -> None:
    rows = [one := cow(), service(one, "bull run", date(2026, 6, 1), until=date(2026, 8, 3))]
    bare = date_of(rows, date(2026, 12, 1))
    assert date_of([*rows, service(one, "scan", date(2026, 10, 1), result="in calf")], date(2026, 12, 1)) == bare


def test_that_an_empty_check_stands_until_she_is_served_again() -> None:
    today = date(2026, 12, 1)
    rows = [one := cow(), service(one, "AI", date(2026, 6, 1)), service(one, "scan", date(2026, 8, 1), result="empty")]
    assert np.isfinite(dates_of(rows, today).not_in_calf_since[0])
    assert date_of(rows, today)[0] is None
    rows.append(service(one, "AI", date(2026, 8, 20)))
    assert np.isnan(dates_of(rows, today).not_in_calf_since[0])
    assert date_of(rows, today)[0] == date(2026, 8, 20) + timedelta(days=284)


@pytest.mark.parametrize(
    ("source", "spread"),
    [(None, 10), ("told", 10), ("service", 6), ("scan", 8), ("bull run", 15.5), ("set by hand", 3)],
)
def test_that_a_typed_date_is_as_sure_as_its_source(source: str | None, spread: float) -> None:
    one = Cow(new_id(), "1", calvings=2, calving_date=date(2027, 3, 1), date_from=source)
    assert date_of([one], date(2026, 12, 1))[:2] == (date(2027, 3, 1), spread)


def test_that_services_win_over_a_typed_date_unless_it_was_set_by_hand() -> None:
    for source, wins in (("told", False), ("set by hand", True)):
        one = Cow(new_id(), "1", calvings=2, calving_date=date(2027, 4, 1), date_from=source)
        rows = [one, service(one, "AI", date(2026, 6, 1))]
        typed = date_of(rows, date(2026, 12, 1))[0] == date(2027, 4, 1)
        assert typed is wins
        assert np.isfinite(dates_of(rows, date(2026, 12, 1)).differs_days[0]) is np.bool_(not wins)


def test_that_a_calving_uses_up_a_date_from_60_days_before_it() -> None:
    today = date(2027, 4, 1)
    one = Cow(new_id(), "1", calvings=2, calving_date=date(2027, 5, 10))
    assert date_of([one, calving(one, date(2027, 3, 10))], today)[0] == date(2027, 5, 10)
    assert date_of([one, calving(one, date(2027, 3, 11))], today)[0] is None
    served = [one := cow(), service(one, "AI", date(2026, 6, 1)), calving(one, date(2027, 3, 10))]
    assert date_of(served, today)[0] is None


def test_that_what_was_recorded_later_is_not_known_yet() -> None:
    rows = [one := cow(), service(one, "AI", date(2026, 6, 1)), service(one, "scan", date(2026, 8, 10), foetal_age=50)]
    assert date_of(rows, date(2026, 7, 1)) == (date(2026, 6, 1) + timedelta(days=284), 6.5, "service")


def test_that_a_cross_takes_its_own_line_else_the_first_breed_named() -> None:
    breed = RULES.breed
    assert breed("Hereford x Angus") is not None
    assert breed("AA×HE") == breed("Hereford x Angus")
    assert breed("LM×AA") == breed("Limousin")
    assert breed("Charolais cross") == breed("Charolais")
    assert breed("something") is None


def test_that_sire_and_dam_share_the_length() -> None:
    rows = [one := cow(breed="Aberdeen Angus"), service(one, "AI", date(2026, 6, 1), sire_breed="Limousin")]
    # (289 + 282) / 2 = 285.5, a half day up.
    assert date_of(rows, date(2026, 12, 1))[0] == date(2026, 6, 1) + timedelta(days=286)


DAY = st.dates(date(2024, 1, 1), date(2028, 12, 31))
KINDS = st.sampled_from(["AI", "service", "bull run", "scan", "hand check"])
SERVICES = st.lists(
    st.tuples(
        KINDS,
        DAY,
        st.one_of(st.none(), DAY),
        st.sampled_from([None, "Limousin", "unheard of"]),
        st.one_of(st.none(), st.integers(0, 300)),
        st.sampled_from([None, "in calf", "empty", "twins"]),
    ),
    max_size=8,
)


@given(SERVICES, st.lists(DAY, max_size=3), st.one_of(st.none(), DAY), st.booleans())
@settings(max_examples=300, deadline=None)
def test_that_any_records_give_a_date_with_a_spread_or_none(
    services: list[tuple[str, date, date | None, str | None, int | None, str | None]],
    calvings: list[date],
    typed: date | None,
    twins: bool,
) -> None:
    one = Cow(new_id(), "1", calving_date=typed, twins=twins)
    rows: list[Record] = [one, *[calving(one, when) for when in calvings]]
    for kind, when, until, breed, age, result in services:
        rows.append(service(one, kind, when, until=until, sire_breed=breed, foetal_age=age, result=result))
    found = dates_of(rows, date(2027, 1, 12))
    assert np.isfinite(found.day[0]) == np.isfinite(found.spread[0])
    if np.isfinite(found.day[0]):
        assert found.day[0] == np.floor(found.day[0])
        assert 3 <= found.spread[0] <= 60
        assert found.source[0] > 0
    else:
        assert found.source[0] == 0
