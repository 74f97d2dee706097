"""The chance of having seen a thing while walking past it.

   what is walked in an area, times how wide one sees       sweep width × length
   ─────────────────────────────────────────────────   =   ───────────────────── = coverage
                    the area                                       area

Search theory's words (coverage, POD, POS) stay in code; on screens it is 'chance I would have
seen it'.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

    from backbearing.records import Floats

DetectionLaw = Literal["random", "inverse cube"]
Conspicuous = Literal["easily", "fairly", "hardly"]

# Sweep width over the range at which the thing is just seen, walking towards and around it:
# Koester et al. 2014, Wilderness Environ. Med. (doi 10.1016/j.wem.2013.09.016), for objects of
# high, medium and low visibility.
SWEEP_TO_RANGE: dict[Conspicuous, float] = {"easily": 1.8, "fairly": 1.6, "hardly": 1.1}
# The same eyes on the same ground again: this share of the coverage counts as new; common
# practice says repeated looks are not independent, no source for the number.
REPEAT_SHARE = 0.5
# The same the other way round: from the other end one sees what a wall or a bend hid before;
# common practice, no source.
OTHER_WAY_SHARE = 0.75
# A low thing under snow: half the width; common practice, no source.
SNOW_SHARE = 0.5


def sweep_width_m(range_m: ArrayLike, conspicuous: Conspicuous = "fairly") -> Floats:
    """How wide a strip does a walker effectively search who just sees the thing at a range?

    range_m: of first sight, any shape. Raises BadInput where it is not above 0.
    """
    seen = np.asarray(range_m, dtype=float)
    if not np.all(seen > 0.0):
        raise BadInput("a range of sight must be above 0 m", where="range", remedy="give metres")
    return np.asarray(SWEEP_TO_RANGE[conspicuous] * seen)


def chance_seen(coverage: ArrayLike, law: DetectionLaw = "random") -> Floats:
    """How likely was the thing seen, were it there, at a coverage (POD)?

    coverage: sweep width × length walked ÷ area, 0 or more, any shape. 'random': 1 − exp(−C)
    (Koopman 1946), the careful choice for one person on foot. 'inverse cube':
    erf(√π C / 2), for even parallel tracks.
    Raises BadInput for a coverage below 0.
    """
    covered = np.asarray(coverage, dtype=float)
    if np.any(covered < 0.0):
        raise BadInput("a coverage is below 0", where="coverage", remedy="give 0 or more")
    if law == "random":
        return np.asarray(-np.expm1(-covered))
    from scipy.special import erf

    return np.asarray(erf(np.sqrt(np.pi) * covered / 2.0))


def seen_by_looks(
    coverages: ArrayLike, laws: Sequence[DetectionLaw], travel: ArrayLike | None = None
) -> Floats:
    """How likely was a thing seen on any of several looks by the same eyes?

    coverages: (looks, n), of each look on each piece of ground. laws: of each look; each keeps its
    own, and the chances to have missed it are multiplied. travel: (looks, n, 2), the mean direction
    of travel there, as a vector of length 1 where it was all one way and 0 where it was both ways;
    None where all looks went the same way.

    On a piece the best look counts in full. Every other is damped once by each better one: by
    REPEAT_SHARE where both went the same way, by OTHER_WAY_SHARE where they went opposite ways,
    and between those by how far the two directions lie apart (common practice, no source).
    """
    cover = np.asarray(coverages, dtype=float)
    count = len(cover)
    missed = np.ones(cover.shape[1:])
    often = np.flatnonzero((cover > 0.0).sum(axis=0) > 1)  # the rest needs no damping
    damped = cover.copy()
    if len(often):
        some = cover[:, often]
        order = np.argsort(-some, axis=0, kind="stable")
        rank = np.empty_like(order)
        np.put_along_axis(rank, order, np.arange(count)[:, None], axis=0)
        way = None if travel is None else np.asarray(travel, dtype=float)[:, often]
        for one in range(count):
            share = np.ones(len(often))
            for other in range(count):
                better = (rank[other] < rank[one]) & (some[other] > 0.0)
                apart = 0.0 if way is None else np.hypot(*(way[one] - way[other]).T) / 2.0
                repeat = REPEAT_SHARE + (OTHER_WAY_SHARE - REPEAT_SHARE) * np.minimum(apart, 1.0)
                share *= np.where(better, repeat, 1.0)
            damped[one, often] = some[one] * share
    for covered, law in zip(damped, laws, strict=True):
        missed *= 1.0 - chance_seen(covered, law)
    return np.asarray(1.0 - missed)
