"""The skyline beside a brute-force ray: steps of a tenth of a cell, each laid by its own geodesic.

The fine ray (tests/benchmarks/horizon_rays.py) shares no line with the model. Bounds: the
project's own, 0.01° in the middle and 0.1° at the 95th percentile (the sun's disc is 0.53° wide).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pyproj import Transformer
from tests.benchmarks.horizon_rays import fine_ray, jacksboro, rolling

from backbearing.models.skyline import skyline
from backbearing.records import Grid

MIDDLE_DEG, MOST_DEG = 0.01, 0.1
EVERY = 16  # of 720 azimuths


def hold(grid: Grid, spots: list[tuple[float, float]], reach_m: float) -> None:
    missed = []
    for latitude, longitude in spots:
        seen = skyline([grid], latitude, longitude, reach_m=reach_m)
        truth, _ = fine_ray(grid, latitude, longitude, seen.azimuth_deg[::EVERY], reach_m)
        # where the data end above a valley the sea's horizon is the floor; the ray has none
        ruled = np.isfinite(seen.distance_m[::EVERY])
        assert (truth[~ruled] <= seen.altitude_deg[::EVERY][~ruled]).all()
        missed.append((seen.altitude_deg[::EVERY] - truth)[ruled])
    miss = np.abs(np.concatenate(missed))
    assert np.median(miss) <= MIDDLE_DEG
    assert np.percentile(miss, 95) <= MOST_DEG
    assert miss.max() <= 5 * MOST_DEG


def test_real_ground_in_degrees_of_longitude() -> None:
    """SRTM 3″ sample of matplotlib; spots anywhere in their cells, 20 % of the way in at least."""
    grid = jacksboro()
    part = np.random.default_rng(3).uniform(0.2, 0.8, (5, 2))
    rows, columns = grid.height_m.shape
    hold(
        grid,
        [
            (grid.y_first + a * rows * grid.y_step, grid.x_first + b * columns * grid.x_step)
            for a, b in part
        ],
        30_000.0,
    )


def test_invented_hills_of_ten_metre_cells() -> None:
    hold(rolling(800, 10.0, seed=4, relief_m=500.0), [(47.0, -21.0), (47.011, -21.02)], 5_000.0)


@pytest.mark.parametrize(
    ("crs", "latitude_deg", "longitude_deg"),
    [
        # north of the grid 14° off true north, and no shape kept
        ("+proj=aea +lat_1=29.5 +lat_2=45.5 +lat_0=37.5 +lon_0=-96 +ellps=WGS84", 37.46, -119.2),
        ("EPSG:32627", 60.0, -15.0),  # 6° off the zone's meridian, in the neighbour's zone
        ("EPSG:3413", 78.2, 15.6),  # polar, the grid's north 60° off
        ("EPSG:3031", -89.9, 0.0),
    ],
)
def test_true_azimuths_in_any_projection(
    crs: str, latitude_deg: float, longitude_deg: float
) -> None:
    hills = rolling(700, 30.0, seed=6)
    x, y = Transformer.from_crs(4326, crs, always_xy=True).transform(longitude_deg, latitude_deg)
    grid = replace(hills, crs=crs, x_first=x - 10_005.0, y_first=y + 10_215.0)
    hold(grid, [(latitude_deg, longitude_deg)], 15_000.0)
