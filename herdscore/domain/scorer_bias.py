"""How far each scorer scores from the cows' condition, by the biases the model finds for every session."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from herdscore.domain.assess import Assessment

Places = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class ScorerBias:
    """One scorer of the last year: name (None when nobody is named), sessions, scores, and bias with its spread.

    The bias is the mean over the scorer's scores, above 0 when she or he scores higher than the cows are.
    """

    name: str | None
    is_reference: bool
    sessions: int
    scores: int
    bias: float
    spread: float


def scorer_biases(assessment: Assessment) -> tuple[ScorerBias, ...]:
    """Every scorer with a score the model used, the reference first, then by scores."""
    a = assessment
    first = len(a.course.line.prior) - a.scores.session_count
    used = np.bincount(a.scores.score_session, minlength=a.scores.session_count).astype(np.float64)
    codes = np.unique(a.sessions.session_scorer[used > 0]).tolist()
    found = (_of_scorer(a, code, first, used) for code in codes)
    return tuple(sorted(found, key=lambda one: (not one.is_reference, -one.scores, one.name or "")))


def _of_scorer(a: Assessment, code: int, first: int, used: npt.NDArray[np.float64]) -> ScorerBias:
    mine = np.flatnonzero((a.sessions.session_scorer == code) & (used > 0))
    weight = used[mine] / used[mine].sum()
    # Sessions are known through the same cows, so their errors go together: the spread is that of the weighted mean.
    spread = np.linalg.norm(a.course.line.root[:, first + mine] @ weight)
    return ScorerBias(
        name=a.sessions.scorers[code],
        is_reference=code == 0,
        sessions=len(mine),
        scores=int(used[mine].sum()),
        bias=float(a.course.session_bias[mine] @ weight),
        spread=float(spread),
    )
