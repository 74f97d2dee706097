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


def seen_again(coverages: ArrayLike, *, repeat_share: float = REPEAT_SHARE) -> Floats:
    """What do several looks by the same eyes come to, as one coverage?

    coverages: (looks, …), one look a row. The best of them counts in full, the others by
    `repeat_share` of each, the next by its square, and so on: the tenth look adds next to nothing.
    """
    looks = -np.sort(-np.asarray(coverages, dtype=float), axis=0)
    shares = repeat_share ** np.arange(len(looks), dtype=float)
    return np.asarray(np.tensordot(shares, looks, axes=(0, 0)))
