"""Two rays to hold the skyline against: a plain quick one, and a fine slow one taken as truth.

Both read the bilinear surface and share no line with the model. Neither is meant to be good code
for the job: the plain one is what a reader of the formula writes first.
"""

from __future__ import annotations

from functools import lru_cache

import matplotlib.cbook
import numpy as np
from numpy.typing import NDArray
from pyproj import Geod, Transformer

from backbearing.records import Grid

Floats = NDArray[np.float64]
EARTH_RADIUS_M = 6_371_000.0
NEAREST_CELLS = 0.3  # from there on the ground counts, for the fine ray as for the model


@lru_cache
def projection(crs: str) -> Transformer:
    return Transformer.from_crs(4326, crs, always_xy=True)


def bilinear(heights: NDArray[np.floating], column: Floats, row: Floats) -> Floats:
    rows, columns = heights.shape
    inside = (column >= 0) & (column <= columns - 1) & (row >= 0) & (row <= rows - 1)
    i = np.clip(column, 0, columns - 2).astype(int)
    j = np.clip(row, 0, rows - 2).astype(int)
    f, g = column - i, row - j
    value = (heights[j, i] * (1 - f) + heights[j, i + 1] * f) * (1 - g)
    value += (heights[j + 1, i] * (1 - f) + heights[j + 1, i + 1] * f) * g
    return np.where(inside, value, np.nan)


def cells_of(grid: Grid, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    return (x - grid.x_first) / grid.x_step, (y - grid.y_first) / grid.y_step


def plain_ray(
    grid: Grid,
    latitude_deg: float,
    longitude_deg: float,
    azimuth_deg: Floats,
    reach_m: float,
    *,
    eye_height_m: float = 1.5,
    refraction_k: float = 0.13,
) -> Floats:
    """Altitudes by half-cell steps, all azimuths and distances in one array.

    Azimuths are laid on the grid's own axes, scaled at the spot: no bend, no convergence beyond.
    """
    into = projection(grid.crs)
    ahead = Geod(ellps="WGS84").fwd([longitude_deg] * 2, [latitude_deg] * 2, [90.0, 0.0], [1.0] * 2)
    x, y = into.transform([longitude_deg, *ahead[0]], [latitude_deg, *ahead[1]])
    column, row = cells_of(grid, np.array(x), np.array(y))
    angle = np.radians(azimuth_deg)[:, None]
    per_m = [
        (at[1] - at[0]) * np.sin(angle) + (at[2] - at[0]) * np.cos(angle) for at in (column, row)
    ]
    cell_m = 1.0 / np.hypot(*per_m).max()
    distance = np.arange(0.5 * cell_m, reach_m, 0.5 * cell_m)
    height = bilinear(grid.height_m, column[0] + per_m[0] * distance, row[0] + per_m[1] * distance)
    eye = bilinear(grid.height_m, column[:1], row[:1])[0] + eye_height_m
    tangent = (height - eye) / distance - (1 - refraction_k) * distance / (2 * EARTH_RADIUS_M)
    return np.degrees(np.arctan(np.nanmax(tangent, axis=1)))


def fine_ray(
    grid: Grid,
    latitude_deg: float,
    longitude_deg: float,
    azimuth_deg: Floats,
    reach_m: float,
    *,
    eye_height_m: float = 1.5,
    refraction_k: float = 0.13,
) -> tuple[Floats, Floats]:
    """Altitudes and distances by steps of 0.1 cell (0.02 within 8 cells), every step a geodesic.

    From 0.3 cell on, as the model does: nearer than that a grid has nothing to say.
    """
    into = projection(grid.crs)
    ellipsoid = Geod(ellps="WGS84")
    curve = (1 - refraction_k) / (2 * EARTH_RADIUS_M)
    start = cells_of(grid, *(np.array([v]) for v in into.transform(longitude_deg, latitude_deg)))
    eye = bilinear(grid.height_m, *start)[0] + eye_height_m
    altitude, far = np.empty(azimuth_deg.size), np.empty(azimuth_deg.size)
    for index, azimuth in enumerate(azimuth_deg):
        ahead = ellipsoid.fwd(longitude_deg, latitude_deg, azimuth, 1.0)
        column, row = cells_of(grid, *into.transform(*ahead[:2]))
        cell_m = 1.0 / np.hypot(column - start[0][0], row - start[1][0])
        cells = np.concatenate(
            (np.arange(NEAREST_CELLS, 8.0, 0.02), np.arange(8.0, reach_m / cell_m, 0.1))
        )
        distance = cells * cell_m
        many = np.ones(distance.size)
        longitudes, latitudes, _ = ellipsoid.fwd(
            longitude_deg * many, latitude_deg * many, azimuth * many, distance
        )
        height = bilinear(grid.height_m, *cells_of(grid, *into.transform(longitudes, latitudes)))
        tangent = (height - eye) / distance - curve * distance
        top = np.nanargmax(tangent)
        altitude[index], far[index] = np.degrees(np.arctan(tangent[top])), distance[top]
    return altitude, far


def jacksboro() -> Grid:
    """matplotlib's sample of SRTM, 3″ cells near Jacksboro, Tennessee (public domain).

    Its rows run from north to south, and its `ymin` is the northern edge.
    """
    with matplotlib.cbook.get_sample_data("jacksboro_fault_dem.npz") as sample:
        heights = sample["elevation"].astype(np.float32)
        step, west, north = (float(sample[key]) for key in ("dx", "xmin", "ymin"))
    return Grid(
        height_m=heights,
        x_first=west + step / 2,
        y_first=north - step / 2,
        x_step=step,
        y_step=-step,
        crs="EPSG:4326",
        cell_m=92.5,  # from south to north; 74 m from west to east
        vertical_error_m=16.0,  # SRTM's specification, 90 %; from memory
        ground="surface",
        name="jacksboro",
    )


def rolling(size: int, cell_m: float, *, seed: int = 1, relief_m: float = 1200.0) -> Grid:
    """Invented hills about 47 N 21 W: noise whose power falls with the fourth of the frequency."""
    rng = np.random.default_rng(seed)
    frequency = np.hypot(np.fft.fftfreq(size)[:, None], np.fft.rfftfreq(size)[None]) * size
    frequency[0, 0] = np.inf
    spectrum = np.fft.rfft2(rng.standard_normal((size, size))) / np.maximum(frequency, 3.0) ** 2.0
    heights = np.fft.irfft2(spectrum, (size, size))
    heights *= relief_m / np.ptp(heights)
    x, y = Transformer.from_crs(4326, 32627, always_xy=True).transform(-21.0, 47.0)
    half = (size - 1) / 2 * cell_m
    return Grid(
        height_m=(heights - heights.min()).astype(np.float32),
        x_first=x - half,
        y_first=y + half,
        x_step=cell_m,
        y_step=-cell_m,
        crs="EPSG:32627",
        cell_m=cell_m,
        vertical_error_m=5.0,
        ground="bare ground",
        name="rolling",
    )
