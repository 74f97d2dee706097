"""The skyline beside GRASS r.horizon 8.2.1 on real ground: matplotlib's sample of SRTM, 3″.

Kept outputs and the commands that made them: tests/outside/authorities/make_r_horizon.py.

r.horizon reads the nearest cell instead of the surface between cells, steps by whole cells,
takes the eye at the ground, and bends no light (k = 0). A height is so up to half a cell out of
place: next to the eye one cell stands as a block of half the sky's width, and at ten cells a 30°
slope turns the angle by more than a degree. The two are compared where no cell nearer than ten
could be what blocks, and by the height that their angles differ by at what blocks.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pyproj import Geod
from tests.benchmarks.horizon_rays import Floats, jacksboro

from backbearing.models.skyline import skyline
from backbearing.records import Grid, Skyline

HERE = Path(__file__).parent / "authorities"
SPOTS = [tuple(map(int, path.stem.split("_")[2:])) for path in sorted(HERE.glob("r_horizon_*"))]
NEAR_CELLS = 10
HALF_A_CELL_UP_M = 46.0 * np.tan(np.radians(30.0))  # half a cell of the sample's steep ground


def both(row: int, column: int) -> tuple[Grid, Floats, Skyline]:
    """The sample, r.horizon's altitudes for the centre of a cell, and ours."""
    kept = np.loadtxt(HERE / f"r_horizon_{row}_{column}.csv", delimiter=",", skiprows=1)
    kept = kept[np.argsort(kept[:, 0])]
    grid = jacksboro()
    latitude = grid.y_first + row * grid.y_step
    longitude = grid.x_first + column * grid.x_step
    seen = skyline([grid], latitude, longitude, eye_height_m=0.0, refraction_k=0.0)
    assert kept[:, 0] == pytest.approx(seen.azimuth_deg)
    return grid, kept[:, 1], seen


def blocks_deg(grid: Grid, row: int, column: int, azimuth_deg: Floats) -> Floats:
    """The skyline that near cells make where each stands as a block as wide as its diagonal."""
    over = np.arange(-NEAR_CELLS, NEAR_CELLS + 1)
    columns, rows = (part.ravel() for part in np.meshgrid(column + over, row + over))
    other = (columns != column) | (rows != row)
    columns, rows = columns[other], rows[other]
    azimuth, _, distance = Geod(ellps="WGS84").inv(
        np.full(rows.size, grid.x_first + column * grid.x_step),
        np.full(rows.size, grid.y_first + row * grid.y_step),
        grid.x_first + columns * grid.x_step,
        grid.y_first + rows * grid.y_step,
    )
    rise = grid.height_m[rows, columns] - grid.height_m[row, column]
    altitude = np.degrees(np.arctan(rise / distance))
    half_width = np.degrees(np.arcsin(np.minimum(0.5 * np.hypot(92.5, 74.4) / distance, 1.0)))
    off = np.abs((azimuth_deg[:, None] - azimuth + 180.0) % 360.0 - 180.0)
    return np.where(off <= half_width, altitude, -90.0).max(axis=1)


def test_there_are_kept_outputs() -> None:
    assert len(SPOTS) == 3


@pytest.mark.parametrize(("row", "column"), SPOTS)
def test_the_skyline_is_that_of_r_horizon_where_no_near_cell_blocks(row: int, column: int) -> None:
    grid, theirs, seen = both(row, column)
    far = seen.distance_m > NEAR_CELLS * 92.5
    far &= blocks_deg(grid, row, column, seen.azimuth_deg) < np.minimum(theirs, seen.altitude_deg)
    assert far.sum() >= 200
    apart_deg = np.abs(theirs - seen.altitude_deg)[far]
    assert np.median(apart_deg) < 0.07
    assert np.percentile(apart_deg, 95) < 0.4
    assert abs(np.mean((theirs - seen.altitude_deg)[far])) < 0.07
    assert (np.radians(apart_deg) * seen.distance_m[far]).max() < HALF_A_CELL_UP_M


@pytest.mark.parametrize(("row", "column"), SPOTS)
def test_azimuths_run_from_true_north_as_theirs_do(row: int, column: int) -> None:
    """Turned by two steps of 0.5° either way, or mirrored, the two agree less."""
    _, theirs, seen = both(row, column)

    def apart(altitudes: Floats) -> float:
        return float(np.median(np.abs(theirs - altitudes)))

    as_is = apart(seen.altitude_deg)
    assert apart(np.roll(seen.altitude_deg, 2)) > 1.3 * as_is
    assert apart(np.roll(seen.altitude_deg, -2)) > 1.3 * as_is
    assert apart(seen.altitude_deg[::-1]) > 5 * as_is
