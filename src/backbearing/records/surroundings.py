"""What stands around a spot besides the ground: edges measured by hand, and trees."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from backbearing.records.places import Bearing

ReadingEffect = Literal["raises", "replaces"]


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeReading:
    """How high the skyline stands in one direction, by compass and clinometer."""

    azimuth: Bearing
    altitude_deg: float
    altitude_error_deg: float  # 95 %
    effect: ReadingEffect = "raises"  # of trees and walls the terrain does not know; or rules
    note: str = ""
    taken_at: datetime | None = None
    id: int | None = None
    subject_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Trees:
    """A canopy around a subject: it raises bare ground beyond a distance, never a surface model."""

    tall_m: float
    beyond_m: float  # nearer than this there are none
    leaf_months: tuple[int, ...] = ()  # in leaf; () where it is never
    evergreen: bool = False  # in leaf in every month
    note: str = ""
    id: int | None = None
    subject_id: int | None = None
