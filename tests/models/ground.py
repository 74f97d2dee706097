"""Terrain in closed form, on grids of any projection, for the tests of the skyline."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from pyproj import CRS, Geod, Transformer

from backbearing.records import Grid, GroundKind

LATITUDE, LONGITUDE = 47.0, -21.0  # on the central meridian of UTM zone 27
UTM = "EPSG:32627"
Floats = NDArray[np.float64]


def grid_around(
    height: Callable[[Floats, Floats], Floats],
    *,
    crs: str = UTM,
    latitude_deg: float = LATITUDE,
    longitude_deg: float = LONGITUDE,
    cell: float = 10.0,
    half_width: int = 200,
    off_cell: tuple[float, float] = (0.0, 0.0),
    geodesic: bool = False,
    vertical_error_m: float = 5.0,
    ground: GroundKind = "bare ground",
) -> Grid:
    """A grid about a spot, its heights a function of what lies east and north of it [m].

    cell: in units of the projection. off_cell: the spot's place in its cell, −0.5 … 0.5.
    geodesic: east and north by azimuth and distance on the ellipsoid, not by the grid's axes.
    """
    x0, y0 = Transformer.from_crs(4326, crs, always_xy=True).transform(longitude_deg, latitude_deg)
    steps = np.arange(-half_width, half_width + 1)
    x = x0 + (steps - off_cell[0]) * cell
    y = y0 - (steps - off_cell[1]) * cell
    east, north = np.meshgrid(x - x0, y - y0)
    if geodesic:
        back = Transformer.from_crs(crs, 4326, always_xy=True)
        longitudes, latitudes = back.transform(*np.meshgrid(x, y))
        azimuth, _, distance = Geod(ellps="WGS84").inv(
            np.full(east.shape, longitude_deg),
            np.full(east.shape, latitude_deg),
            longitudes,
            latitudes,
        )
        angle = np.radians(azimuth)
        east, north = distance * np.sin(angle), distance * np.cos(angle)
    degrees = CRS.from_user_input(crs).is_geographic
    return Grid(
        height_m=np.asarray(height(east, north), dtype=np.float32),
        x_first=float(x[0]),
        y_first=float(y[0]),
        x_step=cell,
        y_step=-cell,
        crs=crs,
        cell_m=cell * 111_000.0 if degrees else cell,
        vertical_error_m=vertical_error_m,
        ground=ground,
    )
