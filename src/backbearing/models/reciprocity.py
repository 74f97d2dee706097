"""Reciprocity failure: how much longer a weak light must act than a meter says.

Power law (Schwarzschild 1900): needed = metered^(1/p), seconds, from 1 s up.
A maker's or user's own table is read between its points on logarithmic axes.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

_NONE_TO_S = 1.0  # up to here the law holds without correction


def check_table(table: Sequence[tuple[float, float]], *, where: str = "reciprocity table") -> None:
    """Raises BadInput unless both columns are above 0 and rise, and no time is shortened."""
    for metered_s, needed_s in table:
        if not (0.0 < metered_s < math.inf and 0.0 < needed_s < math.inf):
            raise BadInput("a time in it is not above 0", where=where)
        if needed_s < metered_s:
            raise BadInput(
                f"{metered_s:g} s metered needs only {needed_s:g} s, which is shorter",
                where=where,
                remedy="give pairs as metered seconds, needed seconds",
            )
    for (before_s, less_s), (after_s, more_s) in pairwise(table):
        if not (before_s < after_s and less_s < more_s):
            raise BadInput(
                f"it does not rise from {before_s:g} s to {after_s:g} s",
                where=where,
                remedy="list the times from short to long, each longer than the one before",
            )


def needed_s(
    metered_s: float,
    *,
    p: float | None = None,
    table: Sequence[tuple[float, float]] = (),
) -> float:
    """How many seconds must be given where the meter says metered_s?

    p: Schwarzschild's exponent, 0 < p ≤ 1. table: (metered, needed) seconds, which rules where
    given; past its last point its last slope goes on (`past_table` says so), below its first
    point there is no correction up to 1 s. Neither: no correction.
    Raises BadInput for a time, p or table that cannot be.
    """
    _above_0(metered_s)
    if table:
        check_table(table)
        return _along([(m, n) for m, n in _from_none(table)], metered_s)
    if p is None or metered_s <= _NONE_TO_S:
        _checked(p)
        return metered_s
    return float(metered_s ** (1.0 / _checked(p)))


def metered_s(
    needed: float, *, p: float | None = None, table: Sequence[tuple[float, float]] = ()
) -> float:
    """The reading for which this time was needed: the inverse of `needed_s`."""
    _above_0(needed)
    if table:
        check_table(table)
        return _along([(n, m) for m, n in _from_none(table)], needed)
    if p is None or needed <= _NONE_TO_S:
        _checked(p)
        return needed
    return float(needed ** _checked(p))


def past_table(metered: float, table: Sequence[tuple[float, float]]) -> bool:
    """Whether a reading lies past the last point of a table: carried on, not known."""
    return bool(table) and metered > table[-1][0]


def _checked(p: float | None) -> float:
    if p is not None and not 0.0 < p <= 1.0:
        raise BadInput(f"{p:g} is no reciprocity exponent", remedy="p is above 0, at most 1")
    return 1.0 if p is None else p


def _above_0(seconds: float) -> None:
    if not 0.0 < seconds < math.inf:
        raise BadInput("an exposure must last longer than 0 s")


def _from_none(table: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """The table with a point of no correction before it, at 1 s or below its first."""
    first_s, first_needed_s = table[0]
    if first_needed_s <= first_s:
        return list(table)
    start_s = _NONE_TO_S if first_s > _NONE_TO_S else first_s / 2.0
    return [(start_s, start_s), *table]


def _along(points: list[tuple[float, float]], at: float) -> float:
    """Straight lines on logarithmic axes; the time itself before the first point."""
    if at <= points[0][0]:
        return at * points[0][1] / points[0][0]
    if len(points) == 1:
        return at * points[0][1] / points[0][0]
    legs = list(pairwise(points))
    (x0, y0), (x1, y1) = next((leg for leg in legs if at <= leg[1][0]), legs[-1])
    slope = math.log(y1 / y0) / math.log(x1 / x0)
    return float(y0 * (at / x0) ** slope)
