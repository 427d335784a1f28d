"""Tags as lists show them: shortened as at the crush, where no two cows of the herd come out alike."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from herdscore.pages.scoring_words import short_tag


def short_tags(tags: Iterable[str]) -> list[str]:
    """The short form of each tag; whole where another cow's comes out the same.

    >>> short_tags(["QX 4107 2407", "QX 4107 2306", "QX 5200 2306", "0512"])
    ['2407', 'QX 4107 2306', 'QX 5200 2306', '0512']
    """
    whole = list(tags)
    short = [short_tag(tag) for tag in whole]
    count = Counter(short)
    return [form if count[form] == 1 else tag for form, tag in zip(short, whole, strict=True)]
