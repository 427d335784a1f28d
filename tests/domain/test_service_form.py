"""Services, bull runs and checks read from a form, and what they give before they are written."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from herdscore.domain.change_effect import date_preview, dates_summary, effect, effect_words
from herdscore.domain.changes import adding, applied
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import BULL_RUN, SCAN, SERVICE, WINTER_FEED, Calving, Diet, Record, Service
from herdscore.domain.service_form import add_services, edit_service, read_service, typed_of, why_not_hers
from tests.domain.herds import calving, cow, score
from tests.domain.recorded_herds import RULES, TODAY, ahead, assessed

NONE = {"day": "", "until": "", "foetal_age": "", "result": "", "sire": "", "sire_breed": ""}


def problems(kind: str, **typed: str) -> dict[str, str]:
    return dict(read_service({**NONE, "kind": kind, **typed}, RULES, TODAY).problems)


def test_that_a_bull_run_is_read_with_its_last_day_ahead() -> None:
    read = read_service({**NONE, "kind": BULL_RUN, "day": "1 Dec", "until": "2 Feb", "sire": " K4 "}, RULES, TODAY)
    row = read.record("c")
    assert (row.day, row.until, row.sire, row.foetal_age) == (date(2026, 12, 1), date(2027, 2, 2), "K4", None)
    assert typed_of(row)["until"] == "2 Feb 2027"


def test_that_fields_of_another_kind_count_nothing() -> None:
    read = read_service({**NONE, "kind": SERVICE, "day": "1 Dec", "foetal_age": "soon", "until": "?"}, RULES, TODAY)
    assert read.problems == {}
    assert set(read.facts) == {"day", "sire", "sire_breed"}


def test_that_an_age_alone_says_in_calf() -> None:
    assert read_service({**NONE, "kind": SCAN, "day": "1 Dec", "foetal_age": "52"}, RULES, TODAY).facts["result"] == (
        "in calf"
    )


@pytest.mark.parametrize(
    ("kind", "typed", "field", "sentence"),
    [
        ("", {}, "kind", "Choose what was done: AI, service, bull run, scan or hand check."),
        (SCAN, {}, "day", "On which day? Write it as 18 Apr 2027."),
        (SERVICE, {"day": "1 Mar"}, "day", "1 Mar 2027 is still ahead. Enter it when it is done."),
        (
            BULL_RUN,
            {"day": "1 Mar"},
            "day",
            "1 Mar 2027 is still ahead. Enter it when it is done. A date ahead belongs on the herd calendar, "
            "as bull in.",
        ),
        (
            BULL_RUN,
            {"day": "1 Dec", "until": "1 Nov"},
            "until",
            "The bull cannot leave on 1 Nov 2026, before he came.",
        ),
        (
            BULL_RUN,
            {"day": "1 Dec 2025", "until": "2 Jan 2027"},
            "until",
            "From 1 Dec 2025 to 2 Jan 2027 is over a year. Check the years.",
        ),
        (SCAN, {"day": "1 Dec", "foetal_age": "0"}, "foetal_age", "Age of the foetus in whole days, from 1 to 300."),
        (
            SCAN,
            {"day": "1 Dec", "foetal_age": "52", "result": "empty"},
            "foetal_age",
            "An empty cow has no foetus: leave the age out, or choose in calf.",
        ),
        (
            SCAN,
            {"day": "1 Dec"},
            "result",
            "What was found? In calf, empty or twins; with the age of the foetus if it was told.",
        ),
    ],
)
def test_that_what_is_wrong_is_a_sentence_at_its_field(
    kind: str, typed: dict[str, str], field: str, sentence: str
) -> None:
    assert problems(kind, **typed)[field] == sentence


def test_that_a_check_cannot_be_hers_when_the_foetus_is_older_than_her_last_calf() -> None:
    hers = cow(born=date(2020, 3, 1))
    rows: list[Record] = [hers, calving(hers, ahead(-40)), Service("s", hers.id, SERVICE, ahead(-10))]
    herd = Snapshot.from_records(rows)
    assert why_not_hers(herd, 0, Service("n", hers.id, SCAN, TODAY, foetal_age=60)).startswith(
        "She calved on 3\u00a0Dec"
    )
    assert why_not_hers(herd, 0, Service("n", hers.id, SCAN, TODAY, foetal_age=30)) == ""
    assert why_not_hers(herd, 0, Service("n", hers.id, SERVICE, ahead(-10))).endswith("is entered for her already.")
    assert why_not_hers(herd, 0, Service("s", hers.id, SERVICE, ahead(-10))) == ""
    assert why_not_hers(herd, 0, Service("n", hers.id, SERVICE, date(2019, 1, 1))) == "She was born on 1 Mar 2020."


def test_that_a_service_written_anew_keeps_its_identity_and_drops_what_its_new_kind_has_not() -> None:
    row = Service("s", "c", BULL_RUN, ahead(-60), until=ahead(-10), sire="K4")
    assert edit_service(row, read_service(typed_of(row), RULES, TODAY)) is None
    change = edit_service(row, read_service({**typed_of(row), "kind": SERVICE}, RULES, TODAY))
    assert change is not None
    assert change.rows[0].after == Service("s", "c", SERVICE, ahead(-60), sire="K4")


# What it gives


def preview(records: list[Record], row: Service) -> tuple[str, str]:
    before = assessed(*records)
    after = assessed(*applied(before.snapshot, add_services([row])).all_records())
    told = date_preview(before, after, row.cow_id)
    return told.claim, told.words


def test_that_the_date_of_a_scan_is_shown_with_its_account_and_what_stood_before() -> None:
    hers = cow(breed="Limousin")
    run = Service("r", hers.id, BULL_RUN, date(2026, 7, 1), until=date(2026, 9, 2))
    claim, words = preview([hers, run], Service("s", hers.id, SCAN, date(2026, 8, 28), foetal_age=52))
    assert claim == "Calves 22\u00a0Apr ± 6 days"  # 7 July and the 289 days of a Limousin in breeds.toml
    assert words.startswith("Scan 28\u00a0Aug, 52 days.")
    assert "Until now " in words
    assert words.endswith("from the bull run.") or "Her verdict is then" in words


def test_that_an_empty_scan_says_she_is_not_in_calf() -> None:
    hers = cow(due=100)
    claim, words = preview([hers], Service("s", hers.id, SCAN, ahead(-1), result="empty"))
    assert claim == "Not in calf"
    assert words.startswith(
        "Checked empty 11\u00a0Jan, and no service since. Until now 22\u00a0Apr ± 8 days, from the scan."
    )


def test_that_a_scan_that_only_confirms_leaves_the_date_as_before() -> None:
    hers = cow(due=100)
    claim, _ = preview([hers], Service("s", hers.id, SCAN, ahead(-1), result="in calf"))
    assert claim == "Calves 22\u00a0Apr ± 8 days, as before"


def test_that_many_dates_are_summed_up() -> None:
    cows = [cow(f"{tag:04}") for tag in range(1, 5)] + [cow("0009", due=40)]
    before = assessed(*cows)
    rows = [Service(f"s{one.tag}", one.id, SCAN, TODAY, foetal_age=60 + at) for at, one in enumerate(cows)]
    rows[3] = Service("s", cows[3].id, SCAN, TODAY, result="empty")
    after = assessed(*applied(before.snapshot, add_services(rows)).all_records())
    said = dates_summary(before, after, np.arange(5))
    # 284 days from a conception 60 to 64 days before 12 January; the fourth is empty.
    assert said.startswith(
        "4 of 5 then calve from 20\u00a0Aug\u00a02027 to 24\u00a0Aug\u00a02027. 1 had a date over 10 days from it."
    )
    assert "another verdict" in said


def test_that_the_effect_of_a_diet_is_told_for_those_it_concerns() -> None:
    rows: list[Record] = [cow(f"{tag:04}", due=100, group="Beck side", season="spring") for tag in range(1, 4)]
    rows += [score(one, day, 2.5) for one in list(rows) for day in (-60, -20)]  # type: ignore[arg-type]
    before = assessed(*rows)
    diet = Diet("d", "Beck side", ahead(-70), WINTER_FEED)
    after = assessed(*applied(before.snapshot, adding("add diet", [diet])).all_records())
    found = effect(before, after, np.ones(3, dtype=bool))
    assert found.cows == 3
    assert found.half[1] < found.half[0]
    assert found.mean[1] < found.mean[0]
    half = float(np.mean((before.course.hi - before.course.lo) / 2))
    assert f"until now {found.mean[0]:.1f} ± {half:.2f}" in effect_words(found)
    nothing = effect(before, before, np.ones(3, dtype=bool))
    assert effect_words(nothing).endswith("on average, as before.")


def test_that_a_calving_before_the_scan_does_not_stop_a_later_scan() -> None:
    hers = cow()
    herd = Snapshot.from_records([hers, Calving("k", hers.id, ahead(-200))])
    assert why_not_hers(herd, 0, Service("n", hers.id, SCAN, TODAY, foetal_age=90)) == ""
