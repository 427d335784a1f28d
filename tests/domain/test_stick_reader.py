"""A reader that types is told from a hand by the time between keys, and never does what a hand does."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdscore.domain.eid import Kind
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Cow
from herdscore.domain.scoring_flow import Event, ScoringFlow
from herdscore.domain.stick_reader import Heard, Said, Spoken, StickReader
from tests.domain.herds import RULES
from tests.domain.test_eid import FORMS, TEST_TAG

GAP = RULES.crush.reader_gap_ms
HAND_MS = 120.0


class Typist:
    """Sends keys to a reader's ear at chosen times; keeps what is typed and what is said, as a page would get them."""

    def __init__(self) -> None:
        self.ear = StickReader(RULES.crush)
        self.now = 1000.0
        self.typed = ""
        self.spoken: list[Spoken] = []
        self._waiting = ""

    def keys(self, text: Iterable[str], gap: float) -> None:
        for character in text:
            self.now += gap
            heard = self.ear.press(character, self.now)
            if character in "\r\t":
                self._take(heard)
                self.typed += "" if heard.swallowed else character
            else:
                self._take(heard)
                self._waiting += character

    def wait(self, ms: float) -> None:
        self.now += ms
        self._take(self.ear.pause(self.now))

    def _take(self, heard: Heard) -> None:
        if heard.spoken is not None:
            self.spoken.append(heard.spoken)
            self._waiting = ""
        self.typed += self._waiting[: heard.typed]
        self._waiting = self._waiting[heard.typed :]

    @property
    def numbers(self) -> list[str]:
        return [one.number for one in self.spoken if one.said is Said.NUMBER]


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS.keys())
@pytest.mark.parametrize("end", ["\r", "\t", ""], ids=["Enter", "Tab", "a pause"])
def test_that_a_burst_in_every_form_is_a_number_and_types_nothing(form: str, end: str) -> None:
    typist = Typist()
    typist.keys(form.replace("\r\n", "") + end, gap=8)
    typist.wait(GAP)
    assert (typist.numbers, typist.typed) == ([TEST_TAG], "")
    assert typist.ear.held == 0


def test_that_nine_characters_are_typed_and_ten_are_read() -> None:
    nine, ten = Typist(), Typist()
    nine.keys("123456789", gap=GAP - 1)
    ten.keys("1234567890", gap=GAP - 1)
    for typist in (nine, ten):
        typist.wait(GAP)
    assert (nine.typed, nine.spoken) == ("123456789", [])
    assert (ten.typed, [one.said for one in ten.spoken]) == ("", [Said.NUMBER])


def test_that_keys_forty_milliseconds_apart_are_a_hand() -> None:
    typist = Typist()
    typist.keys("999123456789012\r", gap=GAP)
    assert (typist.typed, typist.spoken) == ("999123456789012\r", [])


def test_that_a_hand_waits_no_longer_than_the_gap_for_each_key() -> None:
    typist = Typist()
    for count, key in enumerate("0512", 1):
        typist.keys(key, gap=HAND_MS)
        assert len(typist.typed) == count - 1
        typist.wait(GAP - 1)
        assert len(typist.typed) == count - 1
        typist.wait(1)
        assert len(typist.typed) == count


def test_that_enter_right_after_a_typed_key_keeps_its_order() -> None:
    typist = Typist()
    typist.keys("3", gap=HAND_MS)
    typist.keys("\r", gap=15)
    assert typist.typed == "3\r"


@pytest.mark.parametrize("wait", [1.0, 39.0, 40.0, 149.0])
def test_that_an_enter_that_comes_late_or_twice_is_still_the_readers(wait: float) -> None:
    typist = Typist()
    typist.keys(TEST_TAG, gap=5)
    typist.keys("\r", gap=wait)
    typist.keys("\r", gap=2)
    assert (typist.numbers, typist.typed) == ([TEST_TAG], "")


def test_that_an_enter_of_a_hand_after_a_reader_counts() -> None:
    typist = Typist()
    typist.keys(TEST_TAG + "\r", gap=5)
    typist.keys("\r", gap=RULES.crush.reader_enter_ms)
    assert typist.typed == "\r"


def test_that_the_same_tag_within_five_seconds_is_a_repeat_however_often_and_in_any_form() -> None:
    typist = Typist()
    for form in (TEST_TAG, "0" + TEST_TAG, "999 123456789012", TEST_TAG):
        typist.keys(form + "\r", gap=4)
        typist.wait(4000)
    assert [one.said for one in typist.spoken] == [Said.NUMBER, *[Said.REPEAT] * 3]
    typist.wait(1500)
    typist.keys(TEST_TAG + "\r", gap=4)
    assert typist.numbers == [TEST_TAG, TEST_TAG]


def test_that_another_tag_in_between_is_no_repeat() -> None:
    typist = Typist()
    for form in (TEST_TAG, "276000312312345", TEST_TAG):
        typist.keys(form + "\r", gap=4)
    assert typist.numbers == [TEST_TAG, "276000312312345", TEST_TAG]


def test_that_two_tags_one_after_the_other_are_two() -> None:
    typist = Typist()
    typist.keys(TEST_TAG, gap=6)
    typist.keys("276000312312345", gap=6)
    typist.wait(GAP)
    assert [one.said for one in typist.spoken] == [Said.GARBLED]  # thirty digits in one breath are no tag
    typist.keys(TEST_TAG + "\r276000312312345\r", gap=6)
    assert typist.numbers == [TEST_TAG, "276000312312345"]


def test_that_a_tag_out_of_range_is_said_with_its_reason() -> None:
    typist = Typist()
    typist.keys("826700000100001\r", gap=6)
    assert typist.typed == ""
    assert typist.spoken[0].said is Said.GARBLED
    assert "more than a tag can hold" in typist.spoken[0].why


def test_that_a_printed_tag_is_told_from_an_electronic_one() -> None:
    typist = Typist()
    typist.keys("UK 123450 600001\r", gap=6)
    assert [(one.number, one.kind) for one in typist.spoken] == [("UK123450600001", Kind.UK_TAG)]


def test_that_a_cable_that_never_stops_is_garbled_and_not_kept() -> None:
    typist = Typist()
    typist.keys("7" * 5000, gap=1)
    typist.wait(GAP)
    assert [one.said for one in typist.spoken] == [Said.GARBLED]
    assert len(typist.spoken[0].text) <= 200


def test_that_an_arrow_lets_go_what_is_held() -> None:
    ear = StickReader(RULES.crush)
    ear.press("3", 0)
    assert ear.interrupt() == Heard(typed=1)
    assert ear.interrupt() == Heard()


HERD = Snapshot.from_records([Cow("a", "0512"), Cow("b", "0513")])
LETTERS = "0123456789ABCDEFabcdef.-_ +=*FTUOXPx\x02\x03"
bursts = st.binary(min_size=20, max_size=60)
"""A burst: every other byte a character, the others the times between."""


@settings(max_examples=200)
@given(st.lists(bursts, min_size=50, max_size=50), st.sampled_from(["\r", "\t", ""]), st.integers(0, 2))
def test_that_ten_thousand_random_bursts_never_change_a_score(drawn: list[bytes], end: str, site: int) -> None:
    """200 draws of 50 bursts, each sent to a cow half scored."""
    for raw in drawn:
        flow = ScoringFlow(HERD, RULES.verdicts)
        flow.feel("a")
        flow.press("2")
        for _ in range(site):
            flow.press("enter")
        before = flow.entry
        ear, now, waiting = StickReader(RULES.crush), 0.0, ""
        keys = [LETTERS[byte % len(LETTERS)] for byte in raw[::2]] + [end] * bool(end)
        gaps = [byte % GAP for byte in raw[1::2]] + [0.0] * 2
        handed = []
        for key, gap in zip(keys, gaps, strict=False):
            now += gap
            heard = ear.press(key, now)
            handed += list(waiting[: heard.typed]) + ([key] if key in "\r\t" and not heard.swallowed else [])
            waiting = waiting[heard.typed :] + key
        handed += list(waiting[: ear.pause(now + GAP).typed])
        outcomes = [flow.press("enter" if key == "\r" else key) for key in handed]
        assert handed == []
        assert flow.entry is before
        assert Event.SAVE not in outcomes
        assert ear.held == 0


@given(st.lists(st.tuples(st.sampled_from("12345+-=ftux\r"), st.integers(0, 400)), max_size=60))
def test_that_every_typed_key_is_handed_on_in_its_order_or_is_the_readers(keys: list[tuple[str, int]]) -> None:
    typist, sent = Typist(), ""
    for key, gap in keys:
        typist.keys(key, gap)
        sent += key
    typist.wait(GAP)
    if not typist.spoken:
        assert typist.typed == sent
    rest = iter(sent)
    assert all(key in rest for key in typist.typed)
