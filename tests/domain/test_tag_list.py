"""Lists of tags as they are typed at the desk or called out at a scan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from herdscore.domain.herd import Snapshot
from herdscore.domain.lookup import CowBook
from herdscore.domain.records import SOLD
from herdscore.domain.tag_list import TagList, read_tags, tags_text
from tests.domain.herds import cow

COWS = (cow("0201"), cow("0301"), cow("0412"), cow("UK 123456 100513"), replace(cow("0999"), status=SOLD))
HERD = Snapshot.from_records(COWS)
TAGS = HERD.cows.tag.tolist()


def read(text: str, *, scan: bool = False) -> TagList:
    return read_tags(text, HERD, CowBook(HERD), with_findings=scan)


def tags(found: TagList) -> list[str]:
    return [TAGS[place] for place in found.places]


@pytest.mark.parametrize("text", ["0201 412", "201, 412", "201;412\n", "  0201\n\n0412 "])
def test_that_blanks_commas_and_lines_part_cows(text: str) -> None:
    found = read(text)
    assert tags(found) == ["0201", "0412"]
    assert found.problems == ()


def test_that_a_whole_tag_may_hold_blanks() -> None:
    assert tags(read("UK 123456 100513, 412")) == ["UK 123456 100513", "0412"]


def test_that_what_names_no_cow_or_several_is_said_and_the_others_are_kept() -> None:
    found = read("01, 77, 0999, 0412, 0412")
    assert tags(found) == ["0412"]
    assert found.problems == (
        "2 cows end in 01: 0201, 0301. Type more of her tag.",
        "No cow ends in 77.",
        "0999 is marked sold.",
        "0412 stands in the list twice; the first is taken.",
    )


def test_that_a_near_miss_is_named_and_never_taken() -> None:
    found = read("0413")
    assert tags(found) == []
    assert found.problems == ("No cow ends in 0413. Close to it: 0412, UK 123456 100513.",)


def test_that_a_scan_list_holds_age_and_result_behind_each_tag() -> None:
    found = read("0201 52\n0301 48 twins\n0412 empty, 513 60 days calf", scan=True)
    assert [(TAGS[one.cow], one.foetal_age, one.result) for one in found.cows] == [
        ("0201", 52, None),
        ("0301", 48, "twins"),
        ("0412", None, "empty"),
        ("UK 123456 100513", 60, "in calf"),
    ]
    assert found.problems == ()


def test_that_a_second_tag_on_a_line_of_a_scan_list_is_no_age() -> None:
    found = read("0201 0412", scan=True)
    assert found.cows == ()
    assert found.problems == (
        "“0412” after 0201 is neither an age in days nor calf, empty or twins. Part cows by a comma or a new line.",
    )


def test_that_an_empty_cow_has_no_foetus() -> None:
    assert read("0201 52 empty", scan=True).problems == ("0201 cannot be empty with a foetus of 52 days.",)


def test_that_a_list_written_out_reads_back() -> None:
    text = tags_text(HERD, [COWS[2].id, COWS[0].id, COWS[3].id, "nobody"])
    assert tags(read(text)) == ["0201", "0412", "UK 123456 100513"]


def test_that_whole_tags_with_blanks_may_stand_in_a_list_parted_by_blanks_and_before_findings() -> None:
    assert tags(read("UK 123456 100513 412 0201")) == ["UK 123456 100513", "0412", "0201"]
    found = read("uk 123456 100513 52 twins\n0201 48", scan=True)
    assert [(TAGS[one.cow], one.foetal_age, one.result) for one in found.cows] == [
        ("UK 123456 100513", 52, "twins"),
        ("0201", 48, None),
    ]


def test_that_many_faults_are_told_in_a_few_sentences() -> None:
    assert read("71, 72, 73, 74, 75").sentence == "No cow ends in 71. No cow ends in 72. No cow ends in 73. And 2 more."
    assert read("0201").sentence == ""
