"""Where: a position with its error, and a direction over the ground."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

SkyOpenness = Literal["open", "trees", "walls", "memory"]
POSITION_ERROR_M: dict[SkyOpenness, float] = {
    # 95 % radius where the user gives none; common practice, no source
    "open": 10.0,
    "trees": 20.0,
    "walls": 40.0,
    "memory": 100.0,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A position with its error and how it was come by."""

    latitude_deg: float
    longitude_deg: float
    height_m: float | None = None
    error_m: float
    error_basis: str  # "given", or "assumed: open sky", "scatter of 14 fixes at a stop", …
    source: str = ""  # "typed", "waypoint 012", "track 3 at 14:32 UTC", "215° 8 m from …"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing:
    """A direction over the ground, made true, with what it was made from."""

    true_deg: float
    error_deg: float  # 95 %
    as_written: str  # "215M"
    declination_deg: float | None = None  # east positive; None where it was given as true
    basis: str = "given"  # or "assumed: back bearing of the facing wall", …
