"""The words for what the hand feels."""

from __future__ import annotations

import pytest

from herdscore import shipped
from herdscore.domain.felt_words import SITES, read_felt_words
from herdscore.errors import Problem

TABLE = shipped.rule_tables()["felt_words"]


def test_that_each_site_has_nine_sentences_short_enough_for_the_crush() -> None:
    words = read_felt_words(TABLE)
    assert set(words) == set(SITES)
    for site in words.values():
        assert len(site.say) == 9
        assert len(set(site.say)) == 9
        assert max(len(sentence.split()) for sentence in site.say) <= 14  # what fits beside the drawing


def test_that_a_quarter_is_told_by_the_half_below_and_the_half_above() -> None:
    loin = read_felt_words(TABLE)["loin"]
    assert [quarters for quarters, _ in loin.around(9)] == [8, 10]
    assert [quarters for quarters, _ in loin.around(10)] == [10, 12]
    assert loin.around(20) == ((20, loin.say[8]),)
    assert loin.around(4)[0] == (4, loin.say[0])


@pytest.mark.parametrize("key", ["hand", "source", "say"])
def test_that_a_table_without_a_part_is_refused_by_name(key: str) -> None:
    broken = {**TABLE, "ribs": {name: value for name, value in TABLE["ribs"].items() if name != key}}
    with pytest.raises(Problem, match=r"felt_words.toml: \[ribs\]"):
        read_felt_words(broken)


def test_that_a_site_with_eight_sentences_is_refused() -> None:
    with pytest.raises(Problem, match="needs 9 sentences"):
        read_felt_words({**TABLE, "loin": {**TABLE["loin"], "say": TABLE["loin"]["say"][:8]}})
