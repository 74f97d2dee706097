"""Cast shadow against brute force: a ray from every cell, in steps of a tenth of a cell, over the
bilinear surface. The bounds are those the project set itself: at most 1.5 % of cells differ, and
0.05 % lie more than 1.5 cells from the true shadow's edge."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from backbearing.models.castshadow import in_sun
from backbearing.records import Grid

CELLS, CELL_M = 120, 10.0
DIFFER, FAR_OFF = 0.015, 0.0005


def fractal(seed: int, roughness: float) -> NDArray[np.float64]:
    """Made ground: amplitudes falling with the wave number's power, 300 m from low to high."""
    rng = np.random.default_rng(seed)
    k = np.hypot(*np.meshgrid(np.fft.fftfreq(CELLS), np.fft.fftfreq(CELLS)))
    k[0, 0] = 1.0
    height = np.fft.ifft2(np.exp(2j * np.pi * rng.random((CELLS, CELLS))) * k**-roughness).real
    height -= height.min()
    return np.asarray((height / height.max() * 300.0).astype(np.float32).astype(np.float64))


def area(height_m: NDArray[np.float64]) -> Grid:
    half = CELL_M * (CELLS - 1) / 2
    return Grid(
        height_m=height_m.astype(np.float32),
        x_first=-half,
        y_first=half,
        x_step=CELL_M,
        y_step=-CELL_M,
        crs="+proj=aeqd +lat_0=47 +lon_0=-21 +datum=WGS84",  # metres and true north in its middle
        cell_m=CELL_M,
        vertical_error_m=1.0,
        ground="bare ground",
    )


def rays(
    height_m: NDArray[np.float64], azimuth_deg: float, altitude_deg: float
) -> NDArray[np.bool_]:
    """Which cells' rays meet no ground higher than themselves.

    The sun's altitude is that in the middle; a cell nearer to the sun has it higher by
    0.87 / R a metre, and the ground drops by D² 0.87 / 2R (k = 0.13).
    """
    east, north = math.sin(math.radians(azimuth_deg)), math.cos(math.radians(azimuth_deg))
    row, column = np.mgrid[:CELLS, :CELLS].astype(float)
    middle = (CELLS - 1) / 2
    nearer_m = CELL_M * ((column - middle) * east - (row - middle) * north)
    bend = 0.87 / 6_371_000.0
    slope = math.tan(math.radians(altitude_deg)) + bend * nearer_m
    lit = np.ones(height_m.shape, dtype=bool)
    relief = float(np.ptp(height_m))
    for step in range(1, 20 * CELLS):
        out = 0.1 * step
        c, r = column + out * east, row - out * north
        inside = lit & (c >= 0) & (c <= CELLS - 1) & (r >= 0) & (r <= CELLS - 1)
        distance = out * CELL_M
        if not inside.any() or distance * slope.min() > relief:
            break
        c, r = c[inside], r[inside]
        left, upper = np.minimum(c.astype(int), CELLS - 2), np.minimum(r.astype(int), CELLS - 2)
        x, y = c - left, r - upper
        top = height_m[upper, left] * (1 - x) + height_m[upper, left + 1] * x
        low = height_m[upper + 1, left] * (1 - x) + height_m[upper + 1, left + 1] * x
        ground = top * (1 - y) + low * y - bend / 2.0 * distance**2
        lit[inside] = ground <= height_m[inside] + distance * slope[inside]
    return lit


def far_from_edge(lit: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Cells with no cell of the other kind within 1.5 cells: none among the eight around."""
    edged = np.pad(lit, 1, mode="edge")
    same = np.ones(lit.shape, dtype=bool)
    for down in range(3):
        for right in range(3):
            same &= edged[down : down + CELLS, right : right + CELLS] == lit
    return same


@pytest.mark.parametrize("altitude_deg", [5.0, 12.0, 30.0])
@pytest.mark.parametrize("roughness", [2.2, 1.9])  # smooth hills; rough and broken ground
def test_few_cells_differ_and_those_at_the_shadows_edge(
    roughness: float, altitude_deg: float
) -> None:
    for seed, azimuth_deg in enumerate((20.0, 62.0, 135.0, 250.0, 311.0)):
        height_m = fractal(seed, roughness)
        expected = rays(height_m, azimuth_deg, altitude_deg)
        found = in_sun(area(height_m), azimuth_deg, altitude_deg)
        assert 0.05 < expected.mean() < 0.99
        differs = found != expected
        assert differs.mean() <= DIFFER
        assert (differs & far_from_edge(expected)).mean() <= FAR_OFF
