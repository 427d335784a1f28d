"""Numbers of ear tags in every form a reader says them, and what is refused."""

from __future__ import annotations

import doctest
import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdscore.domain import eid
from herdscore.domain.eid import (
    COUNTRIES,
    LARGEST_NATIONAL,
    Kind,
    Misread,
    Reading,
    check_digit,
    eid_of,
    is_code,
    read,
    show,
    to_dot_hex,
    to_hex,
)
from herdscore.domain.lookup import clash_chance

TEST_TAG = "999123456789012"
# The forms of the ISO11784Tools read-me (R package); the hex forms worked out again from the layout of ISO 11784.
FORMS = {
    "15 digits": "999123456789012",
    "a blank": "999 123456789012",
    "a leading zero": "0999123456789012",  # from memory
    "a leading flag": "1999123456789012",  # from memory
    "dot hex": "3E7.1CBE991A14",
    "64 bits in hex": "8000F9DCBE991A14",
    "64 bits in hex, last bit first": "2858997D3B9F0001",
    "small letters": "8000f9dcbe991a14",
    "an underscore": "999_123456789012",
    "a hyphen": "999-123456789012",
    "a point": "999.123456789012",
    "groups": "999 1234 5678 9012",
    "a label": "EID: 999 123456789012",
    "a label of letters that are hex digits too": "LF999123456789012",
    "0x": "0x8000F9DCBE991A14",
    "STX, a time and CR LF": "\x022026-10-03 14:22:05 999123456789012\r\n",  # ISO 24631-6: lines begin with STX
    "STX and ETX": "\x02999123456789012\x03",
    "NUL at the end": "999123456789012\x00\x00",
    "flag, retag counter and user field before it": "1 0 00 999 123456789012",
    "an extra field after it": "999 123456789012 000",
    "blanks about it": "  999123456789012  ",
}

countries, nationals = st.integers(1, 999), st.integers(0, LARGEST_NATIONAL)


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS.keys())
def test_that_every_form_of_a_reader_gives_the_same_fifteen_digits(form: str) -> None:
    assert read(form) == Reading(Kind.EID, TEST_TAG)


@pytest.mark.parametrize(
    ("herd_mark", "serial", "digit"),
    # Published examples of UK tags; the formula, (11 digits mod 7) + 1, was fitted to them.
    [
        ("123450", "00001", 6),
        ("123450", "00002", 7),
        ("123450", "00003", 1),
        ("284205", "00015", 6),
        ("284205", "00016", 7),
        ("284205", "00017", 1),
    ],
)
def test_that_the_check_digit_is_that_of_published_tags(herd_mark: str, serial: str, digit: int) -> None:
    assert check_digit(herd_mark, serial) == digit
    assert read(f"UK {herd_mark} {digit}{serial}") == Reading(Kind.UK_TAG, f"UK{herd_mark}{digit}{serial}", True)


def test_that_a_wrong_check_digit_is_said_and_the_tag_is_taken_all_the_same() -> None:
    assert read("UK 123450 500001") == Reading(Kind.UK_TAG, "UK123450500001", False)


@given(st.integers(0, 10**11 - 1), st.integers(0, 10), st.integers(0, 9))
def test_that_one_wrong_figure_of_a_uk_tag_is_caught_unless_it_is_seven_off(number: int, place: int, to: int) -> None:
    digits = f"{number:011d}"
    other = digits[:place] + str(to) + digits[place + 1 :]
    same = check_digit(digits[:6], digits[6:]) == check_digit(other[:6], other[6:])
    assert same == ((int(digits[place]) - to) % 7 == 0)


def test_that_hex_forms_are_those_of_the_read_me_and_of_the_layout() -> None:
    # 999 ...: ISO11784Tools read-me. 276 ...: worked out from the layout of ISO 11784.
    assert to_hex(TEST_TAG) == "8000F9DCBE991A14"
    assert to_hex(TEST_TAG, reversed_bits=True) == "2858997D3B9F0001"
    assert to_dot_hex(TEST_TAG) == "3E7.1CBE991A14"
    assert to_hex("276000312312345") == "80004500129D8219"


def test_that_the_largest_number_is_that_of_38_bits() -> None:
    assert LARGEST_NATIONAL == 274_877_906_943  # ISO 11784: 38 bits
    assert eid_of("826274877906943") == "826274877906943"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("826700000100001", "more than a tag can hold"),
        ("826274877906944", "more than a tag can hold"),
        ("000123456789012", "code 0"),
        ("0" * 16, "not the number of an animal"),
        ("3E8.1CBE991A14", "code 1000"),
        ("3E7.FFFFFFFFFF", "more than a tag can hold"),
        ("0000F9DCBE991A14", "not the number of an animal"),
        (f"{(1 << 63) | (1000 << 38) | 5:016X}", "not the number of an animal"),
        ("", "nothing was said"),
        ("\x02\r\n", "nothing was said"),
        ("?????", "not the number of a tag"),
        ("999123456789012276000312312345", "not the number of a tag"),  # two run together
    ],
)
def test_that_a_number_that_cannot_be_is_refused_with_the_reason(text: str, says: str) -> None:
    found = read(text)
    assert isinstance(found, Misread)
    assert says in found.why
    assert eid_of(text) is None


def test_that_sixteen_characters_with_a_blank_are_taken() -> None:
    assert eid_of("276 000312312345") == "276000312312345"  # ICAR identifier list


@pytest.mark.parametrize(
    ("text", "fits"),
    # Reg. (EU) 2021/520 Art. 12: two letters or three digits, and at most twelve digits.
    [
        ("UK123450600001", True),
        ("EL 1", True),
        ("XI 123456789012", True),
        ("899123456789012", True),
        ("FR 12 3456 7890", True),
        ("UK1234506000012", False),
        ("DEU123", False),
        ("AB", False),
        ("826", False),
    ],
)
def test_that_a_tag_code_has_the_form_of_the_regulation(text: str, fits: bool) -> None:
    assert is_code(text) == fits


@pytest.mark.parametrize(("cows", "chance"), [(80, 0.27), (150, 0.67), (300, 0.99)])
def test_that_last_fours_clash_as_often_as_birthdays(cows: int, chance: float) -> None:
    # Worked out here, and by the product over the cows beside it.
    assert clash_chance(cows) == pytest.approx(chance, abs=0.01)
    exact = 1 - math.prod(1 - k / 10_000 for k in range(cows))
    assert clash_chance(cows) == pytest.approx(exact, abs=0.01)


def test_that_the_country_of_a_uk_tag_is_826() -> None:
    assert COUNTRIES["UK"] == 826  # ISO 3166-1
    assert (COUNTRIES["XI"], "EL" in COUNTRIES, "GR" in COUNTRIES) == (899, True, False)  # Reg. (EU) 2021/520 Art. 12


@pytest.mark.parametrize(
    ("text", "kind", "number"),
    [
        ("UK 123450 600001", Kind.UK_TAG, "UK123450600001"),
        ("uk123450-600001", Kind.UK_TAG, "UK123450600001"),
        ("TAG UK 123450 600001", Kind.UK_TAG, "UK123450600001"),
        ("FR 12 3456 7890", Kind.TAG, "FR1234567890"),
        ("NL 6802 5082 9", Kind.TAG, "NL680250829"),  # ICAR identifier list
        ("UK AB1234 00012", Kind.TAG, "UKAB123400012"),  # letters inside, until June 2000
        ("A12", Kind.PLAIN, "A12"),
        ("0512", Kind.PLAIN, "0512"),
        ("8000450012345678", Kind.EID, None),
    ],
)
def test_that_a_printed_number_is_told_from_an_electronic_one(text: str, kind: Kind, number: str | None) -> None:
    found = read(text)
    assert isinstance(found, Reading)
    assert found.kind is kind
    assert number is None or found.number == number


@pytest.mark.parametrize(
    ("number", "shown"),
    [
        ("UK123450600001", "UK 123450 600001"),
        ("uk 1234 50600001", "UK 123450 600001"),
        ("826123450600001", "826 123450 600001"),
        ("999123456789012", "999 1234 5678 9012"),
        ("FR1234567890", "FR 12 3456 7890"),
        ("NL680250829", "NL 6802 5082 9"),
        ("0512", "0512"),
        ("Daisy 7", "Daisy 7"),
        ("ZZ 100 9", "ZZ 100 9"),
    ],
)
def test_that_a_number_is_shown_in_groups(number: str, shown: str) -> None:
    assert show(number) == shown


@given(countries, nationals)
def test_that_every_form_of_every_tag_gives_it_back(country: int, national: int) -> None:
    number = f"{country:03d}{national:012d}"
    for form in (
        number,
        f"0{number}",
        f"{number[:3]} {number[3:]}",
        f"\x02{number}\r\n",
        to_dot_hex(number),
        show(number),
    ):
        assert eid_of(form) == number, form


def test_that_hex_is_read_from_the_right_end_but_for_a_few_in_ten_thousand() -> None:
    """Turned round, a value may look like a tag, or be all figures: nothing in it says which was meant."""
    drawn = random.Random(11784)
    wrong = 0
    for _ in range(10_000):
        number = f"{drawn.randint(1, 999):03d}{drawn.randrange(LARGEST_NATIONAL + 1):012d}"
        wrong += eid_of(to_hex(number)) != number
        wrong += eid_of(to_hex(number, reversed_bits=True)) != number
    assert wrong <= 6


@given(st.text(max_size=40))
def test_that_any_text_is_understood_or_refused_and_an_eid_is_always_in_range(text: str) -> None:
    found = read(text)
    if isinstance(found, Reading) and found.kind is Kind.EID:
        assert len(found.number) == 15
        assert 1 <= int(found.number[:3]) <= 999
        assert int(found.number[3:]) <= LARGEST_NATIONAL
    elif isinstance(found, Reading):
        assert found.number
        assert found.number == "".join(found.number.split()).upper()


@given(st.text("0123456789ABCDEFUKX .:-\x02\x03\r\n", min_size=1, max_size=40))
def test_that_random_bursts_never_give_an_eid_whose_digits_were_not_said(text: str) -> None:
    found = read(text)
    if isinstance(found, Reading) and found.kind is Kind.EID:
        upper = text.upper()
        digits = "".join(letter for letter in upper if letter.isdigit())
        codes = {to_hex(found.number)[-14:], to_hex(found.number, reversed_bits=True)[:11]}
        assert found.number in digits or any(code in upper for code in codes) or "." in text


def test_that_the_examples_in_the_texts_hold() -> None:
    assert doctest.testmod(eid).failed == 0
