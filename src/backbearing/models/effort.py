"""Where the next hour of looking does most good.

Pieces are taken in the order of what the first minute in them yields, and each is left when its
next minute yields no more than the first in the next piece: water filled into a basin of steps.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from backbearing.records import Floats


def best_effort(share: ArrayLike, yield_rate: ArrayLike, total: float) -> Floats:
    """How is an effort best split between pieces, for random-search detection?

    share: (n,) chance that it is in each piece. yield_rate: (n,) coverage for one unit of effort
    there: sweep width ÷ area for effort as length, × speed for effort as time. total: effort to
    be spent, in that unit. Returns (n,) efforts that sum to total.

    Method: Koopman; Charnes & Cooper 1958; Stone, Theory of Optimal Search, 1975: maximises
    Σ p (1 − exp(−a x)). Raises BadInput for negative numbers or nothing to look for.
    """
    chance, rate = np.asarray(share, dtype=float), np.asarray(yield_rate, dtype=float)
    if np.any(chance < 0.0) or np.any(rate < 0.0) or not total >= 0.0:
        raise BadInput(
            "shares, rates and effort must be 0 or more", where="effort", remedy="give 0 or more"
        )
    first = chance * rate  # what the first unit yields
    worth = first > 0.0
    answer = np.zeros(chance.shape)
    if not worth.any():
        raise BadInput(
            "no piece is worth an effort: each has no chance or cannot be looked at",
            where="shares",
            remedy="add ground",
        )
    order = np.argsort(-first[worth], kind="stable")
    a, log_first = rate[worth][order], np.log(first[worth][order])
    # with the k best pieces in use: Σ (ln(p a) − ln λ) / a = total gives λ
    inverse = np.cumsum(1.0 / a)
    log_lambda = (np.cumsum(log_first / a) - total) / inverse
    in_use = int(np.count_nonzero(log_first > log_lambda))  # holds for a leading run of pieces
    level = log_lambda[in_use - 1] if in_use else log_first[0]
    spent = np.maximum(0.0, (log_first - level) / a)
    placed = np.zeros(len(order))
    placed[order] = spent
    answer[worth] = placed
    return answer
