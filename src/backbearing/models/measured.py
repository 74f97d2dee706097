"""A skyline with edges measured by hand in it: each reading speaks for a stretch of azimuths.

     ●───●            two readings close together: a straight line between them
▁▁▁▁▁│   │            one alone: level for 3° to either side
▒▒▒▒▒▒▒▒▒▒▒▒●▒▒▒▒     'raises': the higher of ground and reading; 'replaces': the reading
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from backbearing.records import Floats, Skyline

# Common practice, no source: an edge of trees or rock keeps its height for a few degrees; two
# readings as near as this are of one edge.
SPEAKS_FOR_DEG = 3.0
ONE_EDGE_DEG = 15.0
STRAYS_PER_DEG = 0.1  # away from a reading, on one edge; common practice, no source
FLAT, GROUND, MEASURED, TREES = 0, 1, 2, 3  # what an azimuth's edge comes from


def with_readings(
    skyline: Skyline,
    error_deg: Floats | None,
    azimuth_deg: ArrayLike,
    altitude_deg: ArrayLike,
    *,
    azimuth_error_deg: ArrayLike,
    altitude_error_deg: ArrayLike,
    replaces: ArrayLike,
) -> tuple[Skyline, Floats, NDArray[np.bool_]]:
    """What is the skyline of a spot, and how sure, once edges were measured there?

    skyline, error_deg: worked out, (n,) azimuths with its 95 % error (None over a plain, which
    is then taken as exact). azimuth_deg, altitude_deg and their 95 % errors, replaces: (m,)
    readings, true azimuths, in any order.

    Between two readings no more than 15° apart the edge runs straight; beyond the last it speaks
    for 3°. Its error is the clinometer's, the compass's times the slope of the edge, and 0.1° for
    each degree away from a reading. Where a reading replaces, or raises and is higher, distance
    and cell are not known (nan) and the position's error no longer counts.

    Returns the new skyline, its error (n,), and where the measured edge rules (n,).
    Raises BadInput for arrays of unequal length or altitudes outside −90 to 90.
    """
    azimuth, altitude, azimuth_error, altitude_error, replacing = (
        np.atleast_1d(np.asarray(each))
        for each in (azimuth_deg, altitude_deg, azimuth_error_deg, altitude_error_deg, replaces)
    )
    if (
        len({len(azimuth), len(altitude), len(azimuth_error), len(altitude_error), len(replacing)})
        > 1
    ):
        raise BadInput("readings need azimuth, altitude and errors alike", where="readings")
    if np.any(np.abs(altitude) > 90.0):
        raise BadInput("an altitude lies outside −90 to 90", where="readings")
    error = np.zeros(skyline.altitude_deg.shape) if error_deg is None else error_deg
    if not len(azimuth):
        return skyline, error, np.zeros(error.shape, dtype=bool)
    order = np.argsort(azimuth % 360.0, kind="stable")
    azimuth, altitude = azimuth[order].astype(float) % 360.0, altitude[order].astype(float)
    azimuth_error, altitude_error = azimuth_error[order], altitude_error[order]
    replacing = replacing[order].astype(bool)

    where = skyline.azimuth_deg
    after = np.searchsorted(azimuth, where, side="right") % len(azimuth)
    before = (after - 1) % len(azimuth)
    from_before = (where - azimuth[before]) % 360.0
    to_after = (azimuth[after] - where) % 360.0
    apart = from_before + to_after
    joined = (apart <= ONE_EDGE_DEG) & (len(azimuth) > 1)
    share = np.divide(from_before, apart, out=np.zeros(apart.shape), where=apart > 0.0)
    nearer = np.where(from_before <= to_after, before, after)
    away = np.minimum(from_before, to_after)
    edge = np.where(
        joined, altitude[before] * (1.0 - share) + altitude[after] * share, altitude[nearer]
    )
    slope = np.where(
        joined,
        np.abs(altitude[after] - altitude[before]) / np.maximum(apart, 1.0),
        0.0,
    )
    edge_error = np.sqrt(
        altitude_error[nearer] ** 2
        + (azimuth_error[nearer] * slope) ** 2
        + (STRAYS_PER_DEG * away) ** 2
    )
    spoken = joined | (away <= SPEAKS_FOR_DEG)
    # between two readings of unlike effect the nearer decides
    rules = spoken & (replacing[nearer] | (edge > skyline.altitude_deg))
    nothing = np.where(rules, np.nan, 0.0)
    measured = replace(
        skyline,
        altitude_deg=np.where(rules, edge, skyline.altitude_deg),
        distance_m=skyline.distance_m + nothing,
        cell_m=None if skyline.cell_m is None else skyline.cell_m + nothing,
        vertical_error_m=(
            None if skyline.vertical_error_m is None else skyline.vertical_error_m + nothing
        ),
    )
    # where a raising reading stayed below the ground, the ground is known no better than before
    return measured, np.where(rules, edge_error, error), rules


def worth_measuring(
    azimuth_deg: Floats,
    *,
    near_deg: ArrayLike,
    weight: ArrayLike,
    most: int = 8,
    apart_deg: float = 4.0,
) -> Floats:
    """Which few azimuths are worth a reading?

    azimuth_deg, near_deg, weight: (n,) candidates, how far the sun passes from the edge there,
    and how much turns on it (0: nothing). The weightiest comes first, none is within `apart_deg`
    of one taken already, and at most `most` are taken. Returns them by azimuth.
    """
    azimuth = np.asarray(azimuth_deg, dtype=float)
    worth = np.asarray(weight, dtype=float) / (1.0 + np.abs(np.asarray(near_deg, dtype=float)))
    taken: list[float] = []
    for index in np.argsort(-worth, kind="stable"):
        if worth[index] <= 0.0 or len(taken) == most:
            break
        turned = [abs((azimuth[index] - one + 180.0) % 360.0 - 180.0) for one in taken]
        if all(each >= apart_deg for each in turned):
            taken.append(float(azimuth[index]))
    return np.array(sorted(taken))
