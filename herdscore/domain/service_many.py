"""One service, bull run or check entered for many cows at once: what each of them gets, or why she is left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from herdscore.domain.assess import Assessment
from herdscore.domain.herd import Snapshot
from herdscore.domain.records import EMPTY, IN_CALF, Service
from herdscore.domain.service_form import CHECKS, ServiceFacts, why_not_hers
from herdscore.domain.tag_list import ListedCow


@dataclass(frozen=True, slots=True)
class PlannedService:
    """What is entered for one cow (None when she is left out), and why she is left out."""

    cow: int
    row: Service | None
    why_not: str = ""


def plan_services(snapshot: Snapshot, cows: Sequence[ListedCow], read: ServiceFacts) -> list[PlannedService]:
    """The same entry for each cow; what was found of a cow alone goes before what was found of all."""
    planned = []
    for one in cows:
        row, wrong = _row(snapshot, one, read)
        wrong = wrong or (why_not_hers(snapshot, one.cow, row) if row is not None else "")
        planned.append(PlannedService(one.cow, None if wrong else row, wrong))
    return planned


def _row(snapshot: Snapshot, one: ListedCow, read: ServiceFacts) -> tuple[Service | None, str]:
    cow_id = str(snapshot.cows.id[one.cow])
    if read.kind not in CHECKS:
        return read.record(cow_id), ""
    age = one.foetal_age if one.foetal_age is not None else read.facts["foetal_age"]
    result = one.result if one.result is not None else read.facts["result"]
    if result == EMPTY and one.foetal_age is not None and one.result is None:
        result = IN_CALF
    if result == EMPTY:
        age = None
    if age is None and result is None:
        return None, "Nothing found is said: an age, calf, empty or twins."
    return read.record(cow_id, foetal_age=age, result=result or IN_CALF), ""


def cows_of_block(assessment: Assessment, block: int) -> list[ListedCow]:
    """The living cows of a block, by tag."""
    return _listed(assessment, ~assessment.facts.gone & (assessment.block == block))


def cows_of_group(assessment: Assessment, group: str | None) -> list[ListedCow]:
    """The living cows that stand in a group, by tag; None those in none."""
    if group not in assessment.groups.names:
        return []
    place = assessment.groups.names.index(group)
    return _listed(assessment, ~assessment.facts.gone & (assessment.groups.now == place))


def _listed(assessment: Assessment, those: np.ndarray) -> list[ListedCow]:
    tags = assessment.snapshot.cows.tag
    return [ListedCow(cow, str(tags[cow])) for cow in np.flatnonzero(those).tolist()]
