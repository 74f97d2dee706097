"""From latitude and longitude to a flat sheet, and round numbers for its grid and scale."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, cos, degrees, floor, hypot, log10, radians, sin, sqrt

RADIUS_M = 6_371_009.0  # mean sphere: a drawing a few hundred pixels wide needs no ellipsoid

Spot = tuple[float, float]  # latitude, longitude in degrees
Point = tuple[float, float]  # x to the right, y down, in units of the drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A rectangle of paper over a piece of ground, north up at its centre.

    Azimuthal equidistant about `centre`: direction and distance from it are true, poles and
    the antimeridian are ground like any other. Source: Snyder, Map Projections: A Working
    Manual (USGS Professional Paper 1395, 1987), chapter 25, the sphere (equation numbers not
    quoted: written from memory).
    """

    centre: Spot
    width: float
    height: float
    metres_a_unit: float
    east_m: float = 0.0  # where the middle of the paper lies from `centre`
    north_m: float = 0.0

    def at(self, spot: Spot) -> Point:
        """Where a spot lies on the paper."""
        east, north = _east_north_m(spot, self.centre)
        return (
            self.width / 2 + (east - self.east_m) / self.metres_a_unit,
            self.height / 2 - (north - self.north_m) / self.metres_a_unit,
        )

    def spot(self, point: Point) -> Spot:
        """Which spot lies under a point of the paper."""
        east = self.east_m + (point[0] - self.width / 2) * self.metres_a_unit
        north = self.north_m - (point[1] - self.height / 2) * self.metres_a_unit
        return _spot(east, north, self.centre)

    def holds(self, point: Point) -> bool:
        """Whether a point lies on the paper."""
        return 0 <= point[0] <= self.width and 0 <= point[1] <= self.height


def sheet_over(
    spots: list[Spot], *, width: float, height: float, margin: float, least_m: float
) -> Sheet:
    """The sheet that shows all `spots` inside a margin, at least `least_m` from top to bottom."""
    centre = middle(spots)
    flat = [_east_north_m(spot, centre) for spot in spots]
    west, east = min(p[0] for p in flat), max(p[0] for p in flat)
    south, north = min(p[1] for p in flat), max(p[1] for p in flat)
    scale = max(
        (east - west) / (width - 2 * margin),
        (north - south) / (height - 2 * margin),
        least_m / height,
    )
    return Sheet(
        centre=centre,
        width=width,
        height=height,
        metres_a_unit=scale,
        east_m=(west + east) / 2,
        north_m=(south + north) / 2,
    )


def middle(spots: list[Spot]) -> Spot:
    """The middle of spots on the sphere; the first of them where they cancel out."""
    x = y = z = 0.0
    for latitude, longitude in spots:
        x += cos(radians(latitude)) * cos(radians(longitude))
        y += cos(radians(latitude)) * sin(radians(longitude))
        z += sin(radians(latitude))
    if sqrt(x * x + y * y + z * z) < 1e-6 * len(spots):
        return spots[0]
    return degrees(atan2(z, hypot(x, y))), degrees(atan2(y, x))


def away_m(spot: Spot, centre: Spot) -> float:
    """How far a spot is from another over the mean sphere [m]."""
    return hypot(*_east_north_m(spot, centre))


def round_step(least: float) -> float:
    """The smallest of 1, 2 or 5 times a power of ten that is at least `least`."""
    power = 10.0 ** floor(log10(least))
    return next(step for step in (power, 2 * power, 5 * power, 10 * power) if step >= least * 0.999)


def _east_north_m(spot: Spot, centre: Spot) -> tuple[float, float]:
    latitude, latitude0 = radians(spot[0]), radians(centre[0])
    turn = radians(spot[1] - centre[1])
    east = cos(latitude) * sin(turn)
    north = cos(latitude0) * sin(latitude) - sin(latitude0) * cos(latitude) * cos(turn)
    away = sin(latitude0) * sin(latitude) + cos(latitude0) * cos(latitude) * cos(turn)
    sine = hypot(east, north)
    angle = atan2(sine, away)  # well-conditioned near and far, where an arc cosine is not
    stretch = RADIUS_M * (angle / sine if sine > 1e-12 else 1.0)
    return east * stretch, north * stretch


def _spot(east_m: float, north_m: float, centre: Spot) -> Spot:
    rho = hypot(east_m, north_m)
    if rho < 1e-9:
        return centre
    angle, latitude0 = rho / RADIUS_M, radians(centre[0])
    sine = cos(angle) * sin(latitude0) + north_m * sin(angle) * cos(latitude0) / rho
    turn = atan2(
        east_m * sin(angle),
        rho * cos(latitude0) * cos(angle) - north_m * sin(latitude0) * sin(angle),
    )
    return degrees(asin(max(-1.0, min(1.0, sine)))), centre[1] + degrees(turn)
