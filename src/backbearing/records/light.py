"""The skyline of a spot and the times of good light under it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from math import nan
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from backbearing.records.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Skyline:
    """The terrain's altitude angle in each azimuth as seen from a spot: arrays of one length."""

    azimuth_deg: Floats  # ascending, 0 ≤ a < 360
    altitude_deg: Floats
    distance_m: Floats  # to what blocks; nan where nothing does
    reach_m: Floats  # how far the data go
    basis: str  # "flat horizon assumed", "terrain of 10 m cells, bare ground …"
    # of a skyline worked out from terrain; None or nan where there was none
    eye_height_m: float = nan  # above sea level: the ground's height and the eye's over it
    cell_m: Floats | None = None  # of the grid that holds what blocks
    vertical_error_m: Floats | None = None  # 95 %, of the height of what blocks
    void_m: Floats | None = None  # ground within reach of which nothing is known


@dataclass(frozen=True, slots=True, kw_only=True)
class LightWindow:
    """A contiguous time in which the wanted light is met."""

    subject: str
    camera_position: str
    day: date  # local civil day
    zone: str  # IANA name of the local clock, "Atlantic/Azores"
    start: datetime
    best: datetime
    end: datetime
    plus_minus_min: float
    score: float  # 0 … 1, only for ordering
    sky: Literal["clear", "overcast"]
    sun_azimuth_deg: float  # at the best minute
    sun_altitude_deg: float
    delta_deg: float | None  # |sun azimuth − camera bearing|, None without a bearing
    lit_from: str  # "side-lit from the left", "no bearing on record", …
    why: str  # one sentence
    rests_on: tuple[str, ...]  # "flat horizon assumed", "position ± 40 m (assumed: under walls)"
    alike: tuple[date, date] | None = None  # the days around with much the same window
    doubtful: bool = False  # shorter than twice its own error: it may not be there at all
