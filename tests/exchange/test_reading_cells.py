from __future__ import annotations

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdscore.exchange import cells
from herdscore.exchange.cells import Bad, DigitsOnly, eid, quarters, tag, yes_or_no
from herdscore.exchange.dates_in import EITHER_WAY, DateLimits, read_dates
from herdscore.exchange.drafts import DAY_FIRST, MONTH_FIRST
from herdscore.exchange.workbook_form import NUMBER, Heading
from tests.exchange.herds import LIMITS, TODAY

DAYS = DateLimits(TODAY, LIMITS, past_only=False)


@pytest.mark.parametrize(
    ("cell", "in_quarters"),
    [(2.75, 11), ("2.5", 10), ("2,25", 9), (" 3 ", 12), ("2½", 10), ("2 3/4", 11), (1.0, 4), (5.0, 20)],
)
def test_that_a_score_is_read_as_whole_quarters(cell: object, in_quarters: int) -> None:
    assert quarters(cell) == in_quarters


@pytest.mark.parametrize(
    "cell", [0.75, 5.25, 25.0, "2.3", 2.6, "thin", "", "2.5.1", True, date(2026, 5, 2), "nan", "inf"]
)
def test_that_what_is_no_score_in_quarters_from_1_to_5_is_refused(cell: object) -> None:
    assert isinstance(quarters(cell), Bad)


@given(st.integers(4, 20), st.sampled_from([".", ","]))
def test_that_every_quarter_reads_with_point_and_comma(in_quarters: int, mark: str) -> None:
    assert quarters(f"{in_quarters / 4}".replace(".", mark)) == in_quarters


@pytest.mark.parametrize("cell", ["1,250", "12,000", "1,250,000", "-1,250"])
def test_that_a_comma_that_may_part_thousands_is_not_guessed(cell: str) -> None:
    assert "thousands" in getattr(cells.as_number(cell), "wrong", "")


@pytest.mark.parametrize(("cell", "value"), [("640,5", 640.5), ("0,125", 0.125), ("−0.25", -0.25), ("1 250", 1250.0)])
def test_that_a_decimal_comma_and_a_true_minus_sign_are_read(cell: str, value: float) -> None:
    assert cells.as_number(cell) == value


def test_that_a_number_outside_its_limits_says_the_limits() -> None:
    weight = Heading("weight", "Weight", NUMBER, "kg", span=lambda limits: (limits.weight_lowest, 2000))
    bad = cells.number(12.0, weight, LIMITS)
    assert bad == Bad("not between 50 and 2000 kg", "Check the number and its unit.")


@pytest.mark.parametrize("cell", ["999000000000142", 999000000000142.0, "999 000000000142", "999-000-000000142"])
def test_that_an_eid_is_fifteen_digits_as_text_however_it_was_typed(cell: object) -> None:
    assert eid(cell) == "999000000000142"


@pytest.mark.parametrize(
    ("cell", "wrong"),
    [
        ("99900000000014", "14 digits, not 15 digits"),
        (99900000000014.0, "14 digits, not 15 digits"),
        ("9.99E+14", "the digits are lost"),
        (9990000000001428.0, "a number of more than 15 digits, the last are lost"),
        ("UK0123456789012", "not 15 digits"),
        ("999999999999999", "no tag carries so high a number"),
    ],
)
def test_that_a_damaged_eid_is_named_and_never_mended_by_guessing(cell: object, wrong: str) -> None:
    bad = eid(cell)
    assert isinstance(bad, Bad)
    assert bad.wrong == wrong


def test_that_a_tag_typed_as_a_number_is_its_digits_and_text_keeps_its_zeros() -> None:
    assert tag(142.0, all_text=False) == "142"
    assert isinstance(tag(142.0, all_text=False), DigitsOnly)
    assert tag("0142", all_text=False) == "0142"
    assert tag(560123400142.0, all_text=False) == "560123400142"
    assert isinstance(tag(datetime(2026, 1, 2), all_text=False), Bad)


@pytest.mark.parametrize(
    ("cell", "value"), [("Y", True), (True, True), (1.0, True), ("No", False), (0.0, False), ("x", True)]
)
def test_that_yes_and_no_are_read_as_people_write_them(cell: object, value: bool) -> None:
    assert yes_or_no(cell) is value


@pytest.mark.parametrize(
    "cell",
    [
        *("2026-11-03", "2026/11/3", "2026-11-03 14:05", "2026-11-03T00:00:00Z", "20261103", "3 Nov 2026", "3-Nov-26"),
        *("03 November 2026", "Nov 3, 2026", "Tue 3 Nov 2026", "3rd November 2026", "3.Nov.2026"),
        *(datetime(2026, 11, 3, 14, 5), date(2026, 11, 3), 20261103.0),
    ],
)
def test_that_a_date_that_reads_one_way_only_is_read(cell: object) -> None:
    assert read_dates([cell], DAYS, None).values == [date(2026, 11, 3)]


@pytest.mark.parametrize(
    ("cell", "wrong"),
    [
        *(("31/02/2027", "no such day"), ("13/14/2026", "no such day"), ("2026-02-30", "no such day")),
        *((46329.0, "a number, not a date"), ("soon", "not a date"), ("3 Nuv 2026", "not a date")),
        *(("1989-12-31", "before 1990"), ("2028-11-26", "more than two years ahead"), (True, "not a date")),
    ],
)
def test_that_what_is_no_date_is_named(cell: object, wrong: str) -> None:
    value = read_dates([cell], DAYS, None).values[0]
    assert isinstance(value, Bad)
    assert value.wrong == wrong


def test_that_a_column_decides_its_own_order_by_a_number_above_12() -> None:
    assert read_dates(["05/03/2026", "13/03/2026"], DAYS, None).values == [date(2026, 3, 5), date(2026, 3, 13)]
    assert read_dates(["05/03/2026", "03/13/2026"], DAYS, None).values == [date(2026, 5, 3), date(2026, 3, 13)]


def test_that_one_slip_among_many_dates_does_not_turn_the_column_round() -> None:
    column = ["05/03/2026", *[f"{day}/03/2026" for day in range(13, 25)], "12/13/2026"]
    values = read_dates(column, DAYS, None).values
    assert values[0] == date(2026, 3, 5)
    assert getattr(values[-1], "wrong", "") == "no such day"


def test_that_dates_that_read_either_way_stay_empty_until_answered() -> None:
    column = ["05/03/2026", "07/08/26", "04/04/2026", "2026-11-03"]
    dates = read_dates(column, DAYS, None)
    assert dates.values == [EITHER_WAY, EITHER_WAY, date(2026, 4, 4), date(2026, 11, 3)]
    assert (dates.example, dates.count) == (0, 2)
    assert read_dates(column, DAYS, DAY_FIRST).values[:2] == [date(2026, 3, 5), date(2026, 8, 7)]
    assert read_dates(column, DAYS, MONTH_FIRST).values[:2] == [date(2026, 5, 3), date(2026, 7, 8)]


def test_that_contrary_dates_are_asked_about_rather_than_outvoted() -> None:
    dates = read_dates(["05/03/2026", "13/03/2026", "14/03/2026", "03/14/2026"], DAYS, None)
    assert dates.values[0] == EITHER_WAY
    assert dates.count == 1


@given(st.dates(date(1990, 1, 1), date(2028, 11, 1)), st.sampled_from(["%d/%m/%Y", "%d.%m.%Y", "%Y-%m-%d", "%d %b %Y"]))
def test_that_a_date_written_day_first_reads_back_when_the_order_is_answered(day: date, form: str) -> None:
    assert read_dates([day.strftime(form)], DAYS, DAY_FIRST).values == [day]
