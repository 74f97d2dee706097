"""What sun a spot gets, day by day: first and last sun, how often it comes, and the season.

     day   ▁▁▁▁████▁▁▁██▁▁▁▁     two appearances: first sun … last sun
     day   ▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁     none: behind the ridge all day
     …     the runs of days with sun make the season: 'from 3 March to 9 October'

With an error of the skyline the same is asked of a lowered and a raised one. What lies between
the two is in doubt, also where the sun only grazes an edge and no rate would tell.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.arguments import as_times
from backbearing.models.edges import refraction_error_deg
from backbearing.models.sunlight import spans_over_each

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from backbearing.records import Floats, Skyline, Times

    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]

_MS_PER_MIN = 60_000.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SunDays:
    """The sun of n days, in m appearances; instants are datetime64[ms] in UTC."""

    spans: Times  # (m, 2): first and last sun of each appearance, cut at the days' ends
    day: Ints  # (m,) the day it belongs to, 0 … n − 1
    error_min: Floats  # (m, 2) how far both may be off, 95 %; nan where nothing was stated
    sure: Bools  # (m,) whether it comes even over the raised skyline
    first: Times  # (n,) first sun of the day, NaT on days without sun
    last: Times  # (n,)
    appearances: Ints  # (n,)
    sun_min: Floats  # (n,) how long the sun is over the skyline [minutes]
    surely: Bools  # (n,) days with sun over the raised skyline
    perhaps: Bools  # (n,) days with sun over the lowered one

    @property
    def reached(self) -> Bools:
        """Days on which the sun comes (n,)."""
        return self.appearances > 0


def sun_days(
    skyline: Skyline,
    latitude_deg: float,
    longitude_deg: float,
    midnights: Times,
    *,
    height_m: float = 0.0,
    error_deg: Floats | None = None,
) -> SunDays:
    """What sun does a spot get on each of some days?

    skyline: as seen from the spot. midnights (n + 1,): ascending instants in UTC between which
    the n days lie, as the local clock has them. height_m: as `sun_position`.
    error_deg: 95 % error of the skyline in each of its azimuths (`doubt.skyline_error_deg`);
    refraction's own is added.
    Sun or shade of less than a minute can be missed, as `sunlit_spans` says.
    Raises BadInput for midnights that do not ascend, an error of another length, and as
    `sunlit_spans` does.
    """
    bounds = as_times(midnights, "midnights").astype("datetime64[ms]")
    if bounds.ndim != 1 or bounds.size < 2 or not (np.diff(bounds) > np.timedelta64(0)).all():
        raise BadInput("two instants or more are wanted, each after the last", where="midnights")
    skylines = [skyline]
    if error_deg is not None:
        if error_deg.shape != skyline.altitude_deg.shape:
            raise BadInput("one error for each azimuth is wanted", where="error_deg")
        off = np.hypot(error_deg, refraction_error_deg(skyline.altitude_deg))
        skylines += [
            replace(skyline, altitude_deg=skyline.altitude_deg + sign * off) for sign in (-1, 1)
        ]
    found = spans_over_each(
        skylines, latitude_deg, longitude_deg, bounds[0], bounds[-1], height_m=height_m
    )
    spans, day = _cut(found[0], bounds)
    count = np.bincount(day, minlength=bounds.size - 1)
    reached = count > 0
    if error_deg is None:
        error_min, sure = np.full(spans.shape, np.nan), np.ones(day.shape, dtype=bool)
        surely, perhaps = reached, reached
    else:
        (low, low_day), (high, high_day) = (_cut(each, bounds) for each in found[1:])
        error_min, sure = _errors(spans, low, high)
        surely = np.bincount(high_day, minlength=count.size) > 0
        perhaps = np.bincount(low_day, minlength=count.size) > 0
    first = np.full(count.shape, np.datetime64("NaT", "ms"))
    last = first.copy()
    ends = np.cumsum(count)
    first[reached] = spans[(ends - count)[reached], 0]
    last[reached] = spans[ends[reached] - 1, 1]
    length_min = (spans[:, 1] - spans[:, 0]).astype(np.int64) / _MS_PER_MIN
    return SunDays(
        spans=spans,
        day=day,
        error_min=error_min,
        sure=sure,
        first=first,
        last=last,
        appearances=count,
        sun_min=np.bincount(day, weights=length_min, minlength=count.size).astype(np.float64),
        surely=surely,
        perhaps=perhaps,
    )


def seasons(reached: Bools, *, round_the_year: bool = False) -> list[tuple[int, int]]:
    """From which day to which does the sun come?

    reached (n,): days with sun, as `SunDays.reached`, `.surely` or `.perhaps`.
    round_the_year: the days are a whole year, and a run that ends it goes on at its beginning.
    Returns first and last day of each run, in order of its first day; with round_the_year the
    last run may end at a smaller day than it begins. (0, n − 1) is every day.
    """
    step = np.diff(np.concatenate(([0], reached.astype(np.int8), [0])))
    runs = list(
        zip(
            np.flatnonzero(step == 1).tolist(),
            (np.flatnonzero(step == -1) - 1).tolist(),
            strict=True,
        )
    )
    if round_the_year and len(runs) > 1 and reached[0] and reached[-1]:
        runs = [*runs[1:-1], (runs[-1][0], runs[0][1])]
    return runs


def _cut(spans: Times, bounds: Times) -> tuple[Times, Ints]:
    """Spans cut where one day ends and the next begins, and the day of each."""
    inside = bounds[1:-1]
    held_by = np.searchsorted(spans[:, 0], inside, side="left") - 1
    cuts = inside[(held_by >= 0) & (inside < spans[:, 1][held_by])] if len(spans) else inside[:0]
    both: Times = np.stack(
        (
            np.sort(np.concatenate((spans[:, 0], cuts))),
            np.sort(np.concatenate((spans[:, 1], cuts))),
        ),
        axis=1,
    )
    return both, np.searchsorted(bounds, both[:, 0], side="right") - 1


def _errors(spans: Times, low: Times, high: Times) -> tuple[Floats, Bools]:
    """How far first and last sun of each span may be off [minutes], and whether it surely comes.

         low skyline      ├──────────────────┤
         the skyline         ├──────────┤
         high skyline           ├────┤           no such span: it may not come at all

    A span that the low skyline joins to its neighbour can begin no earlier than that one ends.
    """
    begin, end = (spans[:, side].astype(np.int64) for side in (0, 1))
    low_of = np.maximum(np.searchsorted(low[:, 0], spans[:, 0], side="right") - 1, 0)
    earliest, latest = (low[low_of, side].astype(np.int64) for side in (0, 1))
    earliest[1:] = np.maximum(earliest[1:], end[:-1])
    latest[:-1] = np.minimum(latest[:-1], begin[1:])
    first_high = np.searchsorted(high[:, 1], spans[:, 0], side="right")
    last_high = np.searchsorted(high[:, 0], spans[:, 1], side="left") - 1
    sure = first_high <= last_high
    begins_by, ends_from = end.copy(), begin.copy()
    begins_by[sure] = high[first_high[sure], 0].astype(np.int64)
    ends_from[sure] = high[last_high[sure], 1].astype(np.int64)
    off = np.stack(
        (
            np.maximum(begin - earliest, begins_by - begin),
            np.maximum(latest - end, end - ends_from),
        ),
        axis=1,
    )
    return off / _MS_PER_MIN, sure
