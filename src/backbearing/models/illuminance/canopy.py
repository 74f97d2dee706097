"""How many stops a roof of trees takes, by the month."""

from __future__ import annotations

from typing import Literal

from backbearing.errors import BadInput, quoted

Canopy = Literal["none", "leafy", "evergreen"]
CANOPIES: tuple[Canopy, ...] = ("none", "leafy", "evergreen")

# Common practice, no source: stops taken, and how far that may be off.
BARE_BRANCHES = (1.5, 0.5)
_HALF_LEAF = (2.5, 1.0)
_FULL_LEAF = (4.0, 1.0)
_EVERGREEN = (4.0, 1.0)
_NORTHERN_LEAF_MONTHS = (5, 6, 7, 8, 9, 10)


def canopy_stops(
    canopy: str,
    month: int,
    *,
    southern: bool = False,
    leaf_months: tuple[int, ...] | None = None,
) -> tuple[float, float]:
    """How many stops less light comes through a closed canopy in a month, and ± how many?

    canopy: "none", "leafy" (bare in winter) or "evergreen". month: 1 … 12. leaf_months: those
    in which the trees are in leaf; None means May to October, six months on where `southern`.
    The month before the first and the month after the last count as half in leaf.
    Common practice, no source: bare branches 1½ ± ½ stops, half in leaf 2½ ± 1, full leaf and
    evergreens 4 ± 1. Under an open wood it is less, under old spruce more.

    Raises BadInput for an unknown canopy or a month that is none.
    """
    if canopy not in CANOPIES:
        raise BadInput(
            f"{quoted(canopy)} is no kind of canopy", where="canopy", remedy=", ".join(CANOPIES)
        )
    if leaf_months is None:
        leaf_months = tuple((m + 5) % 12 + 1 if southern else m for m in _NORTHERN_LEAF_MONTHS)
    for each in (month, *leaf_months):
        if not 1 <= each <= 12:
            raise BadInput(f"{each} is no month", where="month", remedy="1 to 12")
    if canopy == "none":
        return 0.0, 0.0
    if canopy == "evergreen":
        return _EVERGREEN
    if month in leaf_months:
        return _FULL_LEAF
    if {month % 12 + 1, (month - 2) % 12 + 1} & set(leaf_months):
        return _HALF_LEAF
    return BARE_BRANCHES
