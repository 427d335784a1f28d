"""Target and band of each cow at calving, and what she should be in at mating."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from herdscore.domain.calendar import AUTUMN_BLOCK, NO_BLOCK, Blocks
from herdscore.domain.rule_forms import Targets

Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True)
class CowTargets:
    """One value a cow, scores; NaN for a cow whose block nothing tells."""

    target: Numbers
    lower: Numbers
    upper: Numbers
    mating_floor: Numbers
    mating_target: Numbers


def targets_of(block: Blocks, first_calver: npt.NDArray[np.bool_], rules: Targets) -> CowTargets:
    """Targets by block; a first-calver counts as fat only above her own limit."""
    known = block != NO_BLOCK
    autumn = block == AUTUMN_BLOCK

    def by_block(of_autumn: float, of_spring: float) -> Numbers:
        return np.where(known, np.where(autumn, of_autumn, of_spring), np.nan)

    target = by_block(rules.autumn_calving, rules.spring_calving)
    target = target + np.where(first_calver, rules.first_calver_offset, 0.0)
    upper = target + rules.band
    return CowTargets(
        target=target,
        lower=target - rules.band,
        upper=np.where(first_calver, np.maximum(upper, rules.first_calver_fat), upper),
        mating_floor=by_block(rules.mating_floor_autumn, rules.mating_floor_spring),
        mating_target=by_block(rules.mating_target_autumn, rules.mating_target_spring),
    )
