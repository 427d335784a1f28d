"""The cow in hand comes back after a crash as she was, and only when she was not saved."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from herdscore.desk.cow_in_hand import CowInHand, InHand
from herdscore.domain import asides
from herdscore.domain.changes import adding, applied
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import Cow
from herdscore.domain.scoring_entry import Entry, Outcome, open_entry, press, score_of
from tests.domain.herds import RULES, TODAY

HERD = Snapshot.from_records([Cow("a", "0512"), Cow("b", "0513")])


def entered(keys: str, entry: Entry | None = None) -> Entry:
    made = entry or open_entry("a")
    for key in keys:
        made, _ = press(made, "enter" if key == "\r" else key, RULES.verdicts)
    return made


def hand(folder: Path, herd: str = "herd-1") -> CowInHand:
    return CowInHand(folder / "of this person", herd)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text("12345+-=*FTUO\r", max_size=20))
def test_that_what_was_entered_comes_back_key_for_key(tmp_path: Path, keys: str) -> None:
    entry = open_entry("a")
    kept = hand(tmp_path)
    for key in keys:
        entry, outcome = press(entry, "enter" if key == "\r" else key, RULES.verdicts)
        if outcome is not Outcome.STAY:
            break
        assert kept.keep(entry, TODAY, "Ann")
    back = hand(tmp_path).offered(HERD)
    if not entry.is_changed:
        assert back is None
    else:
        assert back == InHand(
            replace(entry, asks=None, answered=frozenset(), notice=None),
            TODAY,
            "Ann",
        )
    kept.forget()


def test_that_a_saved_cow_is_not_offered_even_when_the_file_was_left_behind(tmp_path: Path) -> None:
    entry = entered("2\r3\r2F")
    hand(tmp_path).keep(entry, TODAY, "Ann")
    saved = applied(HERD, adding("score", [score_of(entry, TODAY, "ann")]))
    assert hand(tmp_path).offered(HERD) is not None
    assert hand(tmp_path).offered(saved) is None
    assert hand(tmp_path).offered(HERD) is None  # and is gone for good


def test_that_an_old_score_half_mended_is_offered_as_a_mending(tmp_path: Path) -> None:
    first = score_of(entered("2\r3\r2"), TODAY, "Ann")
    herd = applied(HERD, adding("score", [first]))
    hand(tmp_path).keep(entered("3", open_entry("a", first, on_purpose=True)), TODAY, "Ann")
    back = hand(tmp_path).offered(herd)
    assert back is not None
    assert (back.entry.before, back.entry.sites, back.entry.on_purpose) == (first, (12, 12, 8), True)


def test_that_an_unknown_tag_comes_back_with_it_unless_it_is_kept_to_one_side(tmp_path: Path) -> None:
    entry = entered("2\r3", open_entry(""))
    hand(tmp_path).keep(entry, TODAY, "Ann", tag="0700")
    back = hand(tmp_path).offered(HERD)
    assert back is not None
    assert (back.tag, back.entry.sites) == ("0700", (8, 12, None))
    kept = applied(HERD, asides.keeping(HERD, asides.aside_of(entry, "0700", TODAY, "Ann")))
    assert hand(tmp_path).offered(kept) is None


def test_that_nothing_entered_and_a_cow_left_on_purpose_are_forgotten(tmp_path: Path) -> None:
    kept = hand(tmp_path)
    kept.keep(entered("2"), TODAY, "Ann")
    kept.keep(open_entry("a"), TODAY, "Ann")
    assert not kept.path.exists()
    kept.keep(entered("2"), TODAY, "Ann")
    kept.keep(None, TODAY, "Ann")
    kept.forget()
    assert hand(tmp_path).offered(HERD) is None


def test_that_each_herd_has_its_own(tmp_path: Path) -> None:
    hand(tmp_path, "one").keep(entered("2"), TODAY, "Ann")
    assert hand(tmp_path, "two").offered(HERD) is None
    assert hand(tmp_path, "one").offered(HERD) is not None


def test_that_a_cow_no_longer_in_the_herd_is_not_offered(tmp_path: Path) -> None:
    hand(tmp_path).keep(entered("2", open_entry("z")), TODAY, "Ann")
    assert hand(tmp_path).offered(HERD) is None


@pytest.mark.parametrize("text", ["", "{", "[]", "{}", '{"entry": {}}', '{"entry": {"cow_id": "a", "sites": [1]}}'])
def test_that_a_file_cut_off_or_foreign_offers_nothing(tmp_path: Path, text: str) -> None:
    kept = hand(tmp_path)
    kept.keep(entered("2"), TODAY, "Ann")
    kept.path.write_text(text, encoding="utf-8")
    assert hand(tmp_path).offered(HERD) is None


def test_that_what_a_newer_version_keeps_beside_it_does_no_harm(tmp_path: Path) -> None:
    kept = hand(tmp_path)
    kept.keep(entered("2"), TODAY, "Ann")
    more = json.loads(kept.path.read_text(encoding="utf-8"))
    more["entry"]["colour"] = "red"
    kept.path.write_text(json.dumps(more), encoding="utf-8")
    back = hand(tmp_path).offered(HERD)
    assert back is not None
    assert back.entry.sites == (8, None, None)


def test_that_a_disk_that_takes_nothing_does_not_stop_the_work(tmp_path: Path) -> None:
    (tmp_path / "of this person").write_text("a file where the folder should be", encoding="utf-8")
    kept = hand(tmp_path)
    assert not kept.keep(entered("2"), TODAY, "Ann")
    assert kept.offered(HERD) is None
    kept.forget()


def test_that_the_file_is_whole_at_every_moment(tmp_path: Path) -> None:
    kept, entry = hand(tmp_path), open_entry("a")
    for key in "2+\r3-\r4FTUO":
        entry = entered(key, entry)
        kept.keep(entry, TODAY, "Ann")
        json.loads(kept.path.read_text(encoding="utf-8"))
        assert [file.name for file in kept.path.parent.iterdir()] == [kept.path.name]


def test_that_keeping_does_not_hold_up_a_key(tmp_path: Path) -> None:
    kept, times = hand(tmp_path), []
    for count in range(60):
        entry = entered("12345"[count % 5])
        began = time.perf_counter()
        kept.keep(entry, TODAY, "Ann")
        times.append(time.perf_counter() - began)
    assert sorted(times)[len(times) // 2] < 0.025  # half of what a key may take
