"""Where a quantity that changes with time passes zero: the search, without the physics."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from backbearing.records import Floats, Times


_HALVINGS_AT_ONCE, _FEW = 3, 16


def crossings(
    quantity: Callable[[Times], Floats], times: Times, values: Floats, *, to_ms: int = 50
) -> tuple[Times, NDArray[np.bool_]]:
    """When does the quantity pass zero, and is it on the way up?

    quantity: datetime64[ms] → float, element by element. times: ascending samples, close
    enough that no two crossings hide between neighbours. values: the quantity at them.
    Returns instants (n,), each the first found at or after the crossing to within `to_ms`,
    and whether it rises there. Zero counts as risen. nan values never cross.

    Bisection of all brackets at once: slower than a secant by a few calls, and it cannot fail
    where the quantity has a kink, as a skyline has.
    """
    risen = values >= 0.0
    known = np.isfinite(values)
    at = np.flatnonzero((risen[1:] != risen[:-1]) & known[1:] & known[:-1])
    low = times[at].astype("datetime64[ms]").astype(np.int64)
    high = times[at + 1].astype("datetime64[ms]").astype(np.int64)
    rising = risen[at + 1]
    # of few brackets what several halvings may ask is asked at once: a call costs more than times
    halvings = _HALVINGS_AT_ONCE if low.size <= _FEW else 1
    while low.size and int((high - low).max()) > to_ms:
        edges = np.stack((low, high))
        for _ in range(halvings):
            finer = np.repeat(edges, 2, axis=0)[:-1]
            finer[1::2] = (edges[:-1] + edges[1:]) // 2
            edges = finer
        asked = edges[1:-1]
        values = quantity(asked.ravel().astype("datetime64[ms]")).reshape(asked.shape)
        beyond = (values >= 0.0) == rising
        each, at_low = np.arange(low.size), np.zeros(low.size, dtype=np.int64)
        for halving in reversed(range(halvings)):
            if int((high - low).max()) <= to_ms:
                break
            at_middle = at_low + (1 << halving)
            middle, here = edges[at_middle, each], beyond[at_middle - 1, each]
            high = np.where(here, middle, high)
            low = np.where(here, low, middle)
            at_low = np.where(here, at_low, at_middle)
    return high.astype("datetime64[ms]"), rising


def with_extremes(times: Times, values: Floats) -> Times:
    """The samples, with the vertex of a parabola added at each high and low among them.

    So a smooth quantity that only just reaches zero between two samples is not missed.
    """
    before, here, after = values[:-2], values[1:-1], values[2:]
    turns = np.flatnonzero((here - before) * (after - here) <= 0.0)
    bend = before[turns] - 2.0 * here[turns] + after[turns]
    with np.errstate(divide="ignore", invalid="ignore"):
        shift = 0.5 * (before[turns] - after[turns]) / bend
    shift = np.clip(np.nan_to_num(shift), -1.0, 1.0)
    step = (times[turns + 2] - times[turns + 1]).astype(np.int64)
    vertices = times[turns + 1] + np.round(shift * step).astype("timedelta64[ms]")
    together = np.sort(np.concatenate((times, vertices)))
    # not np.unique: it loads numpy.ma, 20 ms
    once: Times = together[np.append(True, together[1:] > together[:-1])]
    return once
