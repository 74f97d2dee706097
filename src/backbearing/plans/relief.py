"""The ground under a page's map: its relief and contours, and the shade that it throws.

All of it in one rectangle of the Mercator projection, whose cells the writers can lay under a
sliding map and, over so little ground, under a drawing in any other projection.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Literal, NamedTuple

from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    import numpy as np
    from numpy.typing import NDArray

    from backbearing.notebook import Notebook
    from backbearing.records import Floats, Grid, LightWindow

MOST_CELLS = 600_000  # of the picture
_REACH_M = 50_000.0  # ground that may throw shade, as for a skyline
_SPHERE_M = 6_378_137.0  # of the Mercator projection that sliding maps use
_FARTHEST_DEG = 84.0  # from the equator; beyond, that projection is no picture
_LEAST_M = 3_000.0  # of ground to see beyond all that is drawn, across
_ABOUT = (3.0, 2.5)  # the picture's width and height over what is drawn: screens are wide or tall
_MOST_LEVELS = 45
_MAIN_EVERY = 5
_STRAIGHT_CELLS = 0.3  # contours are drawn straight to within this
_SHORTEST_CELLS = 7.0  # of a contour; shorter ones are single cells
_LABEL_EVERY_CELLS = 90.0
_LIMBS = (1.0, -1.0)  # radii of the disc over its middle: any part of it, and all of it
_BORDER_CELLS = 3.0  # cells of the picture in one of the ground outside it
_APART = timedelta(minutes=12)  # of a whole hour from the window's own instants
_LEAST_ALTITUDE_DEG = 0.3  # of the sun; under it shade says nothing

Moment = Literal["light from", "best", "light to", ""]
_At = tuple[datetime, Moment]


class Contour(NamedTuple):
    """The lines of one height: each (n, 2) of columns and rows, from the picture's corner."""

    height_m: float
    main: bool  # every fifth, drawn heavier and with its height
    lines: tuple[Floats, ...]
    labels: tuple[tuple[float, float], ...]  # where the height may be written, column and row


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shade:
    """Which cells lie in shade at an instant."""

    at: datetime
    moment: Moment
    sun_azimuth_deg: float
    sun_altitude_deg: float  # apparent, at the middle of the picture
    dark: NDArray[
        np.uint8
    ]  # (rows, columns): 0 in the whole sun or void, 1 in part of the disc, 2 in shade


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroundPicture:
    """Relief, contours and shade of one piece of ground; its edges are parallels and meridians."""

    south_deg: float
    north_deg: float
    west_deg: float  # west < east; they may run past ±180
    east_deg: float
    cell_m: float
    light: NDArray[np.float32]  # (rows, columns) hillshade 0 … 1 from the north-west, nan in voids
    contours: tuple[Contour, ...]
    interval_m: float
    rasters: tuple[str, ...]  # file names, finest first
    finest_m: float  # cells they come in
    coarsest_m: float
    shades: tuple[Shade, ...] = ()  # in order of time
    shown: int = -1  # of the shades, the one to show first; -1 where there is none

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        rows, columns = self.light.shape
        return rows, columns


def ground_picture(
    notebook: Notebook,
    spots: Sequence[tuple[float, float]],
    *,
    window: LightWindow | None,
    day: date,
    zone: str,
) -> tuple[GroundPicture | None, str]:
    """The ground round what is drawn, from the terrain on record, or why there is no picture.

    spots: latitudes and longitudes that the picture must hold. window: whose best minute its
    shade shows; further shades are those of its edges and of the whole hours of its day, or of
    `day` where there is none. zone: whose hours.
    Raises NotebookError.
    """
    from backbearing.plans.kept import kept

    moments = tuple(_moments(window, day, zone))
    return kept(
        notebook, "ground", (*spots, moments), lambda: _ground_picture(notebook, spots, moments)
    )


def _ground_picture(
    notebook: Notebook, spots: Sequence[tuple[float, float]], moments: Sequence[_At]
) -> tuple[GroundPicture | None, str]:
    from backbearing.errors import BadInput
    from backbearing.plans.terraingrids import grids_round

    if not spots or max(abs(latitude) for latitude, _ in spots) > _FARTHEST_DEG:
        return None, say("no picture is made so near a pole")
    area = _area(spots)
    grids, why_none = grids_round(notebook, *area.middle, area.reach_m + _REACH_M)
    if not grids:
        return None, why_none
    try:
        found = _picture(area, grids)
        if found is None:
            return None, say("no terrain reaches here")
        laid, picture = found
        return _with_shades(picture, laid, grids, area, moments), ""
    except BadInput as error:  # a projection that bends too much there
        return None, say("the terrain cannot be drawn: {what}", what=error.what)


class _Area(NamedTuple):
    """A rectangle of the Mercator projection about a meridian, in its metres."""

    longitude_deg: float
    west: float
    south: float
    east: float
    north: float

    @property
    def crs(self) -> str:
        return f"+proj=webmerc +lon_0={self.longitude_deg!r} +datum=WGS84 +units=m +type=crs"

    @property
    def middle(self) -> tuple[float, float]:
        return (
            _latitude_deg((self.south + self.north) / 2),
            self.longitude_deg + math.degrees((self.west + self.east) / 2 / _SPHERE_M),
        )

    @property
    def metres(self) -> float:
        """Metres of ground in one of the projection's, in the middle."""
        return math.cos(math.radians(self.middle[0]))

    @property
    def reach_m(self) -> float:
        """From the middle to a corner."""
        return math.hypot(self.east - self.west, self.north - self.south) / 2 * self.metres


def _area(spots: Sequence[tuple[float, float]]) -> _Area:
    centre = spots[0][1]
    xs = [math.radians((lon - centre + 540.0) % 360.0 - 180.0) * _SPHERE_M for _, lon in spots]
    ys = [_northing(latitude) for latitude, _ in spots]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    least = _LEAST_M / math.cos(math.radians(spots[0][0]))
    across = max(wide * 1.5, high * _ABOUT[0], wide + least) / 2
    up = max(high * 1.5, wide * _ABOUT[1], high + least) / 2
    x, y = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2
    return _Area(centre, x - across, y - up, x + across, y + up)


def _northing(latitude_deg: float) -> float:
    return _SPHERE_M * math.asinh(math.tan(math.radians(latitude_deg)))


def _latitude_deg(northing: float) -> float:
    return math.degrees(math.atan(math.sinh(northing / _SPHERE_M)))


def _picture(area: _Area, grids: Sequence[Grid]) -> tuple[Grid, GroundPicture] | None:
    import numpy as np

    from backbearing.models.mosaic import laid_together
    from backbearing.models.relief import hillshade
    from backbearing.records import Grid

    if not grids:
        return None
    wide, high = area.east - area.west, area.north - area.south
    step = max(grids[0].cell_m / area.metres, math.sqrt(wide * high / MOST_CELLS))
    columns, rows = max(2, math.ceil(wide / step)), max(2, math.ceil(high / step))
    step_x, step_y = wide / columns, high / rows
    laid = laid_together(
        grids,
        Grid(
            height_m=np.empty((rows, columns), dtype=np.float32),
            x_first=area.west + step_x / 2,
            y_first=area.north - step_y / 2,
            x_step=step_x,
            y_step=-step_y,
            crs=area.crs,
            cell_m=max(step_x, step_y) * area.metres,
            vertical_error_m=grids[0].vertical_error_m,
            ground=grids[0].ground,
        ),
    )
    if np.isnan(laid.height_m).all():
        return None
    interval_m, lines = _contours(laid)
    own = list(dict.fromkeys((grid.name, grid.cell_m) for grid in grids))
    names = tuple(dict.fromkeys(name for name, _ in own if name))
    return laid, GroundPicture(
        south_deg=_latitude_deg(area.south),
        north_deg=_latitude_deg(area.north),
        west_deg=area.longitude_deg + math.degrees(area.west / _SPHERE_M),
        east_deg=area.longitude_deg + math.degrees(area.east / _SPHERE_M),
        cell_m=laid.cell_m,
        light=hillshade(laid),
        contours=lines,
        interval_m=interval_m,
        rasters=names,
        finest_m=own[0][1],
        coarsest_m=max(cell_m for _, cell_m in own),
    )


def _contours(laid: Grid) -> tuple[float, tuple[Contour, ...]]:
    import numpy as np

    from backbearing.models.relief import contour_levels_m, contours

    lowest, highest = (float(f.reduce(laid.height_m, axis=None)) for f in (np.fmin, np.fmax))
    interval_m = round_interval_m((highest - lowest) / _MOST_LEVELS)
    # the sea and lakes lie level at the lowest height, where a line would run wild
    levels = [level for level in contour_levels_m(laid, interval_m) if level > lowest]
    found = []
    for each in contours(laid, levels):
        lines = [line for one in each.lines if (line := _drawn(one, laid)) is not None]
        main = round(each.height_m / interval_m) % _MAIN_EVERY == 0
        labels = tuple(spot for line in lines for spot in _labels(line)) if main else ()
        if lines:
            found.append(Contour(each.height_m, main, tuple(lines), labels))
    return interval_m, tuple(found)


def round_interval_m(least_m: float) -> float:
    """The smallest of 5, 10, 20, 50, 100 … that is at least so much."""
    steps = (m * 10.0**n for n in range(4) for m in (5.0, 10.0, 20.0))
    return next((step for step in steps if step >= least_m), 5_000.0)


def _drawn(line: Floats, laid: Grid) -> Floats | None:
    """A contour in columns and rows from the picture's corner; None where it is too short."""
    import numpy as np
    import shapely

    cells = np.stack(
        (
            (line[:, 0] - laid.x_first) / laid.x_step + 0.5,
            (line[:, 1] - laid.y_first) / laid.y_step + 0.5,
        ),
        axis=1,
    )
    if np.hypot(*np.diff(cells, axis=0).T).sum() < _SHORTEST_CELLS:
        return None
    plain = shapely.simplify(shapely.LineString(cells), _STRAIGHT_CELLS, preserve_topology=False)
    drawn: Floats = shapely.get_coordinates(plain)
    return drawn if len(drawn) > 1 else None


def _labels(line: Floats) -> list[tuple[float, float]]:
    import numpy as np

    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
    spots = np.arange(_LABEL_EVERY_CELLS / 3, along[-1], _LABEL_EVERY_CELLS)
    return [
        (float(np.interp(s, along, line[:, 0])), float(np.interp(s, along, line[:, 1])))
        for s in spots
    ]


# ---------------------------------------------------------------- shade


def _with_shades(
    picture: GroundPicture,
    laid: Grid,
    grids: Sequence[Grid],
    area: _Area,
    moments: Sequence[_At],
) -> GroundPicture:
    from backbearing.models.mosaic import joined

    outside = [
        grid
        for each in grids
        if min((grid := joined(each, _factor(each, laid))).height_m.shape) >= 2
    ]
    shades = list(_shades(laid, outside, area, moments))
    best = [i for i, shade in enumerate(shades) if shade.moment == "best"]
    highest = max(range(len(shades)), key=lambda index: shades[index].sun_altitude_deg, default=-1)
    return replace(picture, shades=tuple(shades), shown=best[0] if best else highest)


def _factor(grid: Grid, laid: Grid) -> int:
    return int(_BORDER_CELLS * laid.cell_m / grid.cell_m)


def _moments(window: LightWindow | None, day: date, zone: str) -> list[_At]:
    """The window's own instants, and the whole hours of its day on its clock."""
    from backbearing.places.zones import day_bounds, local

    found: dict[datetime, Moment] = {}
    if window:
        day, zone = window.day, window.zone
        found = {window.start: "light from", window.end: "light to", window.best: "best"}
    own = list(found)
    hour, end = day_bounds(day, zone)
    while hour < end:
        # whole on the local clock, in a zone off by half an hour too
        whole = hour + timedelta(minutes=-local(hour, zone).minute % 60)
        if all(abs(whole - at) > _APART for at in own):
            found[whole.astimezone(UTC)] = ""
        hour += timedelta(hours=1)
    return sorted(found.items())


def _shades(
    laid: Grid, grids: Sequence[Grid], area: _Area, moments: Sequence[_At]
) -> Iterator[Shade]:
    """The shade at each of these moments that has a sun to throw it."""
    import numpy as np

    from backbearing.models.castshadow import in_each_sun
    from backbearing.models.sun import sun_position
    from backbearing.models.sunlight import semidiameter_deg

    instants = np.array([at.replace(tzinfo=None) for at, _ in moments], dtype="datetime64[ms]")
    sun = sun_position(instants, *area.middle)
    radii = semidiameter_deg(sun.distance_au).tolist()
    asked = [
        # the hours go by the upper limb alone
        (
            moment,
            azimuth,
            altitude,
            [altitude + limb * radius for limb in _LIMBS[: 1 + bool(moment[1])]],
        )
        for moment, azimuth, altitude, radius in zip(
            moments, sun.azimuth_deg.tolist(), sun.altitude_deg.tolist(), radii, strict=True
        )
        if altitude >= _LEAST_ALTITUDE_DEG
    ]
    suns = [(azimuth, limb) for _, azimuth, _, limbs in asked for limb in limbs]
    lit = in_each_sun(laid, suns, around=grids)
    for (at, moment), azimuth, altitude, limbs in asked:
        parts = [next(lit).astype(np.uint8) for _ in limbs]
        dark = np.uint8(2) - parts[0] - parts[-1]
        dark[np.isnan(laid.height_m)] = 0
        yield Shade(
            at=at, moment=moment, sun_azimuth_deg=azimuth, sun_altitude_deg=altitude, dark=dark
        )
