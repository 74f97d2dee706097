"""Grids laid into one: the finest where it reaches, and never from one cell in many."""

from __future__ import annotations

import numpy as np
import pytest

from backbearing.models.mosaic import joined, laid_together
from backbearing.records import Grid


def grid(
    height_m: np.ndarray, *, x: float = 500_000.0, y: float = 5_200_000.0, cell: float
) -> Grid:
    """Ground in UTM 27 N, x and y the outer corner of its north-western cell."""
    return Grid(
        height_m=height_m.astype(np.float32),
        x_first=x + cell / 2,
        y_first=y - cell / 2,
        x_step=cell,
        y_step=-cell,
        crs="EPSG:32627",
        cell_m=cell,
        vertical_error_m=1.0,
        ground="bare ground",
    )


def test_the_finest_rules_where_it_reaches_and_the_coarser_beyond() -> None:
    fine = grid(np.full((20, 20), 1.0), x=500_200.0, y=5_199_800.0, cell=10.0)
    coarse = grid(np.full((20, 20), 2.0), cell=30.0)
    onto = grid(np.zeros((100, 100)), cell=10.0)  # 1 km; the coarser covers 600 m of it
    height = laid_together([fine, coarse], onto).height_m
    assert (height[21:39, 21:39] == 1.0).all()
    assert (height[5:15, 5:15] == 2.0).all()
    assert np.isnan(height[70:, 70:]).all()


def test_a_void_of_the_finer_is_filled_from_the_coarser() -> None:
    fine = grid(np.where(np.eye(60) > 0, np.nan, 1.0), cell=10.0)
    coarse = grid(np.full((20, 20), 2.0), cell=30.0)
    height = laid_together([fine, coarse], grid(np.zeros((60, 60)), cell=10.0)).height_m
    assert height[30, 30] == 2.0
    assert not np.isnan(height[5:55, 5:55]).any()


def test_a_slope_comes_out_the_same_in_another_projection() -> None:
    rows, columns = np.mgrid[0:100, 0:100]
    slope = grid(0.3 * 10.0 * columns + 0.1 * 10.0 * rows, cell=10.0)
    # UTM 27 N and 28 N are turned against each other by some 4.4° here
    from pyproj import Transformer

    x, y = Transformer.from_crs("EPSG:32627", "EPSG:32628", always_xy=True).transform(
        500_400.0, 5_199_600.0
    )
    onto = Grid(
        height_m=np.empty((40, 40), dtype=np.float32),
        x_first=x,
        y_first=y,
        x_step=5.0,
        y_step=-5.0,
        crs="EPSG:32628",
        cell_m=5.0,
        vertical_error_m=1.0,
        ground="bare ground",
    )
    height = laid_together([slope], onto).height_m
    back = Transformer.from_crs("EPSG:32628", "EPSG:32627", always_xy=True)
    east, north = back.transform(*np.meshgrid(x + 5.0 * np.arange(40), y - 5.0 * np.arange(40)))
    true = 0.3 * (east - 500_005.0) + 0.1 * (5_199_995.0 - north)
    assert np.abs(height - true).max() < 0.01


def test_joined_cells_hold_the_mean_of_what_is_known() -> None:
    cells = np.arange(36.0).reshape(6, 6)
    cells[0, 0] = np.nan
    cells[2:4, 2:4] = np.nan
    one = joined(grid(cells, cell=10.0), 2)
    assert one.height_m.shape == (3, 3)
    assert one.height_m[0, 0] == pytest.approx((1 + 6 + 7) / 3)
    assert np.isnan(one.height_m[1, 1])
    assert (one.cell_m, one.x_step, one.y_step) == (20.0, 20.0, -20.0)
    assert one.x_first == 500_010.0, "the corner stays where it was"
