"""Did a walk go through a passage, or only come near it?

          wall │
     ────●─────┼─────●────   through   within the error of the place, and plainly on one side
               ○                       before and on the other after
     ──╮       │
     ──╯       │             near      within the error, but it leaves on the side it came
               │                       from, or ends there

The sides are those of a line on record that runs through the passage; where none does, a walk that
leaves more than a right angle from where it came went through. A track tells no more than that.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np
from shapely import LineString, distance, get_num_geometries, intersection, is_empty, points

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.records import Floats

Passed = Literal["through", "near", "away"]
CLEAR = 2.0  # times the error off the place: with no line, so far off the way is plain
BESIDE = 8.0  # times the error off the place, no farther, it must be plainly off the line again


def passed(
    runs: Sequence[tuple[Floats, Floats]], error_m: float, line_m: Floats | None = None
) -> Passed:
    """How did a walk pass a passage at the origin of a plane?

    runs: points (n,) of each unbroken run of the walk, x and y in metres, a few metres apart.
    error_m: of the walk and of the passage's place together. line_m: (k, 2), what it leads
    through, None for no line. A walk counts as through where any of its runs does.
    """
    line = None if line_m is None else LineString(line_m)
    found: Passed = "away"
    for x, y in runs:
        away = np.hypot(x, y)
        near = away <= error_m
        if not near.any():
            continue
        found = "near"
        if line is None:
            plain = away > CLEAR * error_m
        else:
            plain = (distance(points(x, y), line) > error_m) & (away <= BESIDE * error_m)
        # the plain points before and after each stretch within the error
        for at in np.flatnonzero(near & ~np.append(False, near[:-1])).tolist():
            before, after = np.flatnonzero(plain[:at]), at + np.flatnonzero(plain[at:])
            if not len(before) or not len(after):
                continue
            ends = [(float(x[each]), float(y[each])) for each in (before[-1], after[0])]
            if line is None:
                (east, north), (east_too, north_too) = ends
                through = east * east_too + north * north_too < 0.0
            else:
                met = intersection(LineString(ends), line)
                through = not is_empty(met) and bool(get_num_geometries(met) % 2)
            if through:
                return "through"
    return found
