"""Every check value of the energy sums: table of cases with their sources, each worked out by the program."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from herdscore.domain import energy as first
from herdscore.domain import energy_second as second
from herdscore.domain.feeds import book_feeds, ceilings_per_kg, eaten_of, me_of_dmd, mineral_sums
from herdscore.domain.need import need, need_second, project_fed, score_rate
from tests.domain.fed_cows import fed_cows, usual_feeds
from tests.domain.herds import RULES

E, F, M = RULES.energy, RULES.feeding, RULES.minerals
POUND = 0.45359
TABLE = Path(__file__).parents[1] / "cases" / "energy_checks.csv"
with TABLE.open(encoding="utf-8", newline="") as file:
    ROWS = {row["id"]: row for row in csv.DictReader(file)}

NOT_IN_PROGRAM = {
    "D_SILAGE_MIN": "the share of forage is the limit, not kilos of silage",
    "F_SE_ORG": "labels do not tell organic selenium apart",
    "F_I_DAY": "the ceilings are of the whole diet, not of the mineral alone",
    "F_SE_DAY": "the ceilings are of the whole diet, not of the mineral alone",
}
PUBLISHED_ELSEWHERE = {
    # id: what the program says instead, where published figures differ from each other or from it
    "A_WR_BF": 2265.5,  # dairy blood hides fat inside
    "A_WR_EBW300": 23.41,
    "A_WR_EBW600": 31.35,
    "B_KGAIN_FERRELL": 0.490,
    "B_KMAINT_FERRELL": 0.637,
    "B_FIEMS_ME": 0.5355,
    "B_FIEMS_NE": 0.3125,
    "B_AFBI": 0.4908,
    "B_BIRTHMAX": 76.7,
    "B_UFL63": 8.09,
    "C_IFJ10": 14.21,
    "C_IFJ_HALF_LO": 46.2,
    "C_IFJ_HALF_HI": 46.2,
    "C_IFJ2_LO": 46.2,
    "C_IFJ2_HI": 46.2,
    "C_ARC": 28.0,
    "C_NZ_GAIN": 43.5,
    "C_NZ_LOSS": 32.2,
    "C_HOLSTEIN": 85.3,
    "C_13PCT": 14.21,
    "D_LOSS_KG": 0.476,
    "D_NOGAIN": 3.0,
    "D_68_8": 0.231,
    "D_68_14": 0.530,
    "E_DMI_LOW": 1.5,
    "E_DMI_AVG": 1.7,
    "E_DMI_NRC_9.2": 9.9,
    "E_DMI_NRC_10.2": 11.54,
}


def one(value: object) -> float:
    return float(np.asarray(value).ravel()[0])


def mean_need(low: int, high: int, *, other: bool = False, weight: float = 650.0, me: float = 10.2) -> float:
    """Mean need over days of gestation of a dry cow of this weight with a calf of 42 kg."""
    cow = fed_cows(2.0, E.gestation, weight=weight, weighed=True)
    days = np.arange(low, high + 1, dtype=float)
    return float((need_second if other else need)(cow, me, days, E).total.mean())


def change(now: float, to: float, weight: float = 650.0) -> float:
    return one(first.body_change(first.frame_of(weight, now, E), now, to, False, E))


def weight_change(now: float, to: float) -> float:
    return one(first.live_weight(first.frame_of(650.0, now, E), to, E)) - 650.0


def daily(now: float, to: float, days: float, g: float | None = None) -> float:
    return one(first.me_of_change(change(now, to), 10.2, E, g)) / days


def between(frame: float, low: float, high: float, *, as_1996: bool = False) -> float:
    ends = [one(first.reserves(frame, n, E, as_1996=as_1996)) for n in (low, high)]
    return (ends[1] - ends[0]) / E.joules


def per_empty_kg(low: float, high: float) -> float:
    """MJ per kg of empty body between two scores of nine."""
    kg = one(first.weight_factor(high, E)) - one(first.weight_factor(low, E))
    return between(1.0, low, high) * E.joules / (kg * E.empty)


def fed_for(days: int, me: float, dm: float, weight: float, score: float, due: float) -> float:
    """Change of score of a cow fed so much for so long."""
    cow = fed_cows(score, due, weight=weight, weighed=True)
    many = np.ones(days)
    fed = project_fed(cow, np.arange(float(days)), many, many * dm * me, many * me, E)
    return float(fed.at_calving[0] - score)


def projected(me: float) -> float:
    """Change in 84 days at the first day's rate, on 11 kg of dry matter against the mean need; gain as published."""
    cow = fed_cows(2.5, 84.0, weighed=True)
    needed = mean_need(201, 263, me=me)
    rate = score_rate(cow, np.array([[11 * me - needed]]), me, cow.score[:, None], E)
    return 84 * one(rate) * E.gain_multiplier


def hill_cow() -> float:
    """Loss of a cow of 490 kg at 3.5 on 50 MJ for 90 days, then 70 MJ in milk for 60."""
    cow = fed_cows(3.5, 90.0, weight=490.0, weighed=True, calf=36.0)
    days, me = np.ones(90), np.full(90, 9.5)
    dry = project_fed(cow, np.arange(90.0), days, 50 * days, me, E).at_calving[0]
    frame, score = cow.frame[0], dry
    for _ in range(60):
        keep = first.maintenance(first.shrunk_weight(frame, score, E), 10.0, E, suckling=True)
        balance = 70.0 - one(keep) - one(first.milk(8.0, 10.0, E))
        score = one(first.score_after(frame, score, balance * first.body_per_me(balance, 10.0, E), False, E))
    return 3.5 - float(score)


def feed(name: str, what: str) -> float:
    return float(getattr(RULES.book_feeds[name], what))


PATTERNS: dict[str, Callable[..., float]] = {
    r"A_NRC_(\d+)_(\d)": lambda lb, n: between(float(lb) * POUND, float(n) - 1, float(n), as_1996=True),
    r"A_FAT_(\d)": lambda n: 100 * one(first.fat_share(float(n), E)),
    r"A_DENS_(\d)": lambda n: per_empty_kg(float(n) - 1, float(n)) * E.empty / E.joules,
    r"A_F96_(\d)": lambda n: 100 * one(first.weight_factor_1996(float(n), E)),
    r"A_F16_(\d)": lambda n: 100 * one(first.weight_factor(float(n), E)),
    r"A_MAP_([\d.]+)": lambda b: one(first.nine_of(float(b), E)),
    r"A_STEP_(\d+)_([\d.]+)_([\d.]+)": lambda kg, low, high: one(
        first.body_change(first.frame_of(float(kg), 3.0, E), float(low), float(high), False, E)
    ),
    r"A_UNIT_(\d+)": lambda kg: one(first.body_change(first.frame_of(float(kg), 3.0, E), 2.5, 3.5, False, E)),
    r"B_FERRELL_(\d+)": lambda t: one(first.pregnancy(float(t), 35.7, E)) / E.joules * 1000,
    r"B_UNLPREG_([\d.]+)": lambda t: one(first.pregnancy(float(t), 40.0, E)) * E.pregnancy_net / E.joules,
    r"B_NEM_([\d.]+)": lambda me: one(first.net_energy(float(me), E)),
    r"B_K_([\d.]+)": lambda me: one(first.net_share(float(me), E)),
    r"B_KM_([\d.]+)": lambda me: one(second.for_maintenance(float(me), E)),
    r"B_KF_([\d.]+)": lambda me: one(second.for_gain(float(me), E)),
    r"B_MN_(\d+)": lambda kg: one(first.maintenance(E.shrunk * float(kg), 10.2, E)),
    r"B_MA_(\d+)": lambda kg: one(second.maintenance(float(kg), 10.2, E)),
    r"B_CBW_(\d+)": lambda kg: one(second.calf_of_dam(float(kg), E)),
    r"B_PN_(\d+)": lambda t: one(first.pregnancy(float(t), 40.0, E)),
    r"B_PA_(\d+)": lambda t: one(second.pregnancy(float(t), 40.0, E)),
    r"B_PNM_(\d)": lambda m: float(first.pregnancy(month(int(m)), 42.0, E).mean()),
    r"B_PAM_(\d)": lambda m: float(second.pregnancy(month(int(m)), 42.0, E).mean()),
    r"B_CONC_(\d+)": lambda t: one(first.conceptus(float(t), 40.0, E)),
    r"B_REQN_(\d+)": lambda d: mean_need(285 - int(d), 285 - int(d)),
    r"B_REQA_(\d+)": lambda d: mean_need(285 - int(d), 285 - int(d), other=True),
    r"B_VIC_(\d+)_(LO|HI)": lambda kg, end: (
        one(first.maintenance(E.shrunk * float(kg), 10.2, E))
        + one(first.pregnancy(183.0 if end == "LO" else 280.0, 40.0, E))
    ),
    r"B_SUCK_(\d+)": lambda kg: (
        one(first.maintenance(E.shrunk * 650.0, 10.5, E, suckling=True)) + one(first.milk(float(kg), 10.5, E))
    ),
    r"E_SIL_(\d+)": lambda dmd: one(me_of_dmd(float(dmd), F)),
    r"E_DMI_NRC_([\d.]+)": lambda me: eaten(float(me)) * 6.5,
    r"G_PROJ_([\d.]+)": lambda me: projected(float(me)),
    r"G_DEFF(\d+)": lambda d: one(first.effective_days(float(d), 21, E)),
    r"G_THIN_TOT_g([\d.]+)": lambda g: daily(2.0, 2.5, 1, float(g)),
    r"G_THIN_DAY84_g([\d.]+)": lambda g: daily(2.0, 2.5, 84, float(g)),
    r"G_THIN_PLATEAU_g([\d.]+)": lambda g: daily(2.0, 2.5, 52.5, float(g)),
    r"G_THIN_BARLEY_g([\d.]+)": lambda g: one(first.extra_feed(daily(2.0, 2.5, 84, float(g)), 13.2)),
    r"G_THIN_BARLEY_ADLIB_g([\d.]+)": lambda g: one(
        first.extra_feed(daily(2.0, 2.5, 84, float(g)), 13.2, 10.2, F.displaced)
    ),
}


def month(number: int) -> np.ndarray:
    start = {7: 183, 8: 213, 9: 243}[number]
    return np.arange(start, start + 30, dtype=float)


def eaten(me: float) -> float:
    """Capacity on grass silage of this energy, % of live weight."""
    silage = book_feeds([RULES.book_feeds["Grass silage, 65 DMD"]])
    silage.me[:] = me
    return float(eaten_of(silage, F)[0])


def ceiling(element: str) -> float:
    return 11 * ceilings_per_kg(M)[element]


def selenium_of_mineral() -> float:
    feeds = usual_feeds(se=[0.0, 0.0, 60.0, 0.0])
    return mineral_sums(feeds, np.array([0.0, 0.0, 0.1, 0.0]), M)[1].amount


def second_gain() -> float:
    return one(second.me_of_weight_change(weight_change(2.0, 2.5), 10.2, E)) / 84


SINGLE: dict[str, Callable[[], float]] = {
    "A_NRC_1100_5": lambda: between(1100 * POUND, 4, 5, as_1996=True),
    "A_CONST_96": lambda: E.energy_of_gain_1996,
    "A_WAF_16": lambda: 100 * E.weight_per_nine,
    "A_WAF_HEIFER_UP": lambda: E.first_calver_gain,
    "A_WAF_HEIFER_DOWN": lambda: E.first_calver_loss,
    "A_BIF": lambda: 100 * E.weight_per_nine,
    "A_E5": lambda: one(first.energy_of_kg(5.0, E)),
    "A_WR_BEEF": lambda: change(2.5, 3.5, 650 * 0.92895),
    "A_WR_BF": lambda: change(2.5, 3.5, 650 * 0.92895),
    "A_WR_EBW300": lambda: per_empty_kg(2, 3),
    "A_WR_EBW600": lambda: per_empty_kg(5, 6),
    "B_MAINT_DRY": lambda: one(first.maintenance(1170 * POUND, 10.2, E) * first.net_share(10.2, E)) / E.joules,
    "B_MAINT_LACT": lambda: (
        one(first.maintenance(1170 * POUND, 10.2, E, suckling=True) * first.net_share(10.2, E)) / E.joules
    ),
    "B_077": lambda: E.maintenance,
    "B_KGAIN_FERRELL": lambda: one(first.body_per_me(1.0, 10.2, E)),
    "B_KMAINT_FERRELL": lambda: one(first.net_share(10.2, E)),
    "B_LOSS08": lambda: E.loss_saves,
    "B_GAIN1": lambda: one(first.net_share(10.2, E) / first.body_per_me(1.0, 10.2, E, 1.0)),
    "B_CONC_RULE": lambda: one(first.conceptus(283.0, 40.0, E)) / 40,
    "B_FIEMS_ME": lambda: E.maintenance * E.joules * E.shrunk**E.maintenance_power * 0.569 / 0.332,
    "B_FIEMS_NE": lambda: E.maintenance * E.joules * E.shrunk**E.maintenance_power,
    "B_AFBI": lambda: one(first.maintenance(E.shrunk, 10.2, E)),
    "B_WELSH_ME": lambda: mean_need(229, 284, weight=630, me=9.87) - 0.3 * 30,
    "B_BIRTHMAX": lambda: mean_need(201, 284, weight=500),
    "B_HILL_LOSS": hill_cow,
    "B_TWINS": lambda: 100 * (E.twins - 1),
    "B_UFL63": lambda: one(second.as_ufl(mean_need(229, 284), E)),
    "B_UFL_MJ": lambda: 0.87 * feed("Barley, rolled", "me"),
    "B_MILKNE": lambda: first.milk_net(E),
    "C_IFJ10": lambda: 100 * (one(first.weight_factor(6, E)) - one(first.weight_factor(4, E))),
    "C_IFJ_HALF_LO": lambda: half_unit_kg(),
    "C_IFJ_HALF_HI": lambda: half_unit_kg(),
    "C_IFJ2_LO": lambda: half_unit_kg(),
    "C_IFJ2_HI": lambda: half_unit_kg(),
    "C_MAFF": lambda: -one(second.me_of_weight_change(-1.0, 10.2, E)),
    "C_ARC": lambda: -one(second.me_of_weight_change(-1.0, 10.2, E)),
    "C_NZ_GAIN": lambda: daily(2.0, 2.5, 1) / weight_change(2.0, 2.5),
    "C_NZ_LOSS": lambda: daily(3.5, 3.0, 1) / weight_change(3.5, 3.0),
    "C_HOLSTEIN": lambda: 600 * 2 * E.weight_per_nine,
    "C_AFRC19": lambda: E.weight_change,
    "C_13PCT": lambda: 100 * 2 * E.weight_per_nine,
    "D_HALF_LO": lambda: RULES.limits.refused_gain_days / 7,
    "D_HALF_HI": lambda: RULES.limits.refused_loss_days / 7,
    "D_WINDOW": lambda: RULES.limits.lead_days / 7,
    "D_LOSS_KG": lambda: RULES.limits.planning_loss * 630 * 2 * E.weight_per_nine / 0.94,
    "D_DMI_FLOOR": lambda: F.dm_floor,
    "D_NOGAIN": lambda: RULES.limits.freeze_days / 7,
    "D_68_8": lambda: fed_for(56, 10.08, 10.5, 575, 2.75, 56),
    "D_68_14": lambda: fed_for(98, 10.08, 10.5, 575, 2.75, 98),
    "D_FREEZE": lambda: RULES.limits.freeze_days,
    "D_STEP": lambda: F.concentrate_step,
    "E_BARLEY_ME": lambda: feed("Barley, rolled", "me"),
    "E_OATS_ME": lambda: feed("Oats, rolled", "me"),
    "E_OATS_ME2": lambda: feed("Oats, rolled", "me"),
    "E_MAIZE_ME": lambda: feed("Maize", "me"),
    "E_HAY_ME": lambda: feed("Hay", "me"),
    "E_STRAW_ME": lambda: feed("Barley straw", "me"),
    "E_WSTRAW_ME": lambda: feed("Wheat straw", "me"),
    "E_CONC_ME": lambda: feed("Coarse ration, 14-16 %", "me"),
    "E_BARLEY_CP": lambda: feed("Barley, rolled", "cp"),
    "E_BARLEY_CP2": lambda: feed("Barley, rolled", "cp"),
    "E_MAIZE_CP": lambda: feed("Maize", "cp"),
    "E_SOYAHULL_ME": lambda: feed("Soya hulls", "me"),
    "E_SUBST_HAY9": lambda: F.displaced,
    "E_DOMD": lambda: F.dmd_to_me,
    "E_DMI_FR": lambda: 6.5 * eaten(9.8),
    "E_DMI_IE": lambda: 6.5 * eaten(9.8),
    "E_DMI_LOW": lambda: F.capacity_poor,
    "E_DMI_AVG": lambda: F.capacity_average,
    "F_CU_REQ": lambda: F.copper_wanted,
    "F_CU_MTL": lambda: M.copper_tolerable,
    "F_SE_REQ": lambda: F.selenium_wanted,
    "F_SE_MTL": lambda: M.selenium_tolerable,
    "F_I_REQ": lambda: F.iodine_wanted,
    "F_I_MTL": lambda: M.iodine_tolerable,
    "F_MG_MTL": lambda: M.magnesium_tolerable,
    "F_MG_REQ": lambda: F.magnesium_wanted / 10,
    "F_MG_REQL": lambda: F.magnesium_wanted_suckling / 10,
    "F_SE_EU": lambda: M.selenium_feed,
    "F_CU_EFSA": lambda: M.copper_feed,
    "F_CU_EU": lambda: M.copper_feed,
    "F_I_EU": lambda: M.iodine_feed,
    "F_MG_DRY": lambda: M.magnesium_dry,
    "F_MG_LACT": lambda: M.magnesium_milk,
    "F_MG_LACT_K": lambda: M.magnesium_milk_potassium,
    "F_CALMAG": lambda: M.magnesite_grams,
    "F_DOSE_LO": lambda: M.label_low,
    "F_DOSE_HI": lambda: M.label_high,
    "F_WEEKS_LO": lambda: M.latest_mineral_days / 7,
    "F_WEEKS_HI": lambda: M.dry_mineral_days / 7,
    "F_CEIL_SE": lambda: ceiling("se"),
    "F_CEIL_CU": lambda: ceiling("cu"),
    "F_CEIL_I": lambda: ceiling("i"),
    "F_CALMAG_MG": lambda: M.magnesite_grams * M.magnesite_share,
    "F_SE_100G": selenium_of_mineral,
    "G_THIN_SBW5": lambda: one(first.frame_of(650.0, 2.0, E)),
    "G_THIN_DLW": lambda: weight_change(2.0, 2.5),
    "G_THIN_DE": lambda: change(2.0, 2.5),
    "G_THIN_AFRC19": second_gain,
    "G_THIN_AFRC_BARLEY": lambda: one(first.extra_feed(second_gain(), 13.2)),
    "G_FAT_SBW5": lambda: one(first.frame_of(650.0, 3.5, E)),
    "G_FAT_DLW": lambda: weight_change(3.5, 3.0),
    "G_FAT_DE": lambda: change(3.5, 3.0),
    "G_FAT_TOT": lambda: daily(3.5, 3.0, 1),
    "G_FAT_DAY84": lambda: daily(3.5, 3.0, 84),
    "G_FAT_PLATEAU": lambda: daily(3.5, 3.0, 52.5),
    "G_FAT_AFRC28": lambda: one(second.me_of_weight_change(weight_change(3.5, 3.0), 10.2, E)) / 84,
    "G_FAT_AFRC_KT": lambda: (
        weight_change(3.5, 3.0) * E.weight_change * E.kt / one(second.for_maintenance(10.2, E)) / 84
    ),
    "G_REQ84_NRC": lambda: mean_need(201, 284),
    "G_REQ84_AFRC": lambda: mean_need(201, 284, other=True),
    "G_REQ_PREFREEZE": lambda: mean_need(201, 263),
    "G_FAT_RATIO": lambda: 1 + daily(3.5, 3.0, 52.5) / mean_need(201, 263),
    "G_FAT_MAX": lambda: 0.5 * 0.25 * mean_need(201, 263) / -daily(3.5, 3.0, 52.5),
}


def half_unit_kg() -> float:
    return 650 * E.weight_per_nine


def program_says(name: str) -> float | None:
    """The program's own figure for a row of the table."""
    if name in SINGLE:
        return SINGLE[name]()
    for pattern, work in PATTERNS.items():
        found = re.fullmatch(pattern, name)
        if found:
            return work(*found.groups())
    return None


@pytest.mark.parametrize("name", sorted(ROWS.keys() - PUBLISHED_ELSEWHERE.keys() - NOT_IN_PROGRAM.keys()))
def test_that_the_program_says_what_its_source_says(name: str) -> None:
    row, said = ROWS[name], program_says(name)
    assert said is not None, "nothing works this row out"
    digit = 0.5 * 10.0 ** -len(row["value"].partition(".")[2])
    assert said == pytest.approx(float(row["value"]), abs=max(float(row["tolerance"]), min(digit, 1e-9))), row["source"]


@pytest.mark.parametrize("name", sorted(PUBLISHED_ELSEWHERE))
def test_that_where_published_figures_differ_the_programs_own_place_is_known(name: str) -> None:
    said = program_says(name)
    assert said is not None
    assert said == pytest.approx(PUBLISHED_ELSEWHERE[name], rel=0.01)


def test_that_every_row_of_the_table_is_worked_out_or_named_as_left_out() -> None:
    assert {name for name in ROWS if program_says(name) is None} == set(NOT_IN_PROGRAM)
    assert len(ROWS) == 320


def test_that_every_row_names_its_source_and_what_it_rests_on() -> None:
    for row in ROWS.values():
        assert row["source"].strip()
        assert row["rests_on"] in ("published", "worked out", "from memory", "common practice")
