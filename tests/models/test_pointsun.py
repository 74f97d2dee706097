"""Places in sun and ground that sight lines meet: held to closed forms and to the area's shadow."""

from __future__ import annotations

import math

import numpy as np
import pytest

from backbearing.models.castshadow import in_sun
from backbearing.models.gridframe import centre_deg, grid_frame, places_at
from backbearing.models.pointsun import first_met_m, places_in_sun, ray_distances_m
from backbearing.records import Grid


def grid(height_m: np.ndarray, *, cell: float = 10.0) -> Grid:
    return Grid(
        height_m=height_m.astype(np.float32),
        x_first=500_000.0,
        y_first=5_200_000.0,
        x_step=cell,
        y_step=-cell,
        crs="EPSG:32627",
        cell_m=cell,
        vertical_error_m=1.0,
        ground="bare ground",
    )


def test_a_wall_shades_as_far_as_its_height_over_the_tangent() -> None:
    heights = np.zeros((101, 101))
    heights[:, 50] = 80.0  # a wall from north to south
    ground = grid(heights)
    columns = np.arange(5.0, 50.0)
    latitude, longitude = places_at(ground, columns, np.full(columns.shape, 50.0))
    for altitude in (15.0, 30.0, 50.0):
        lit = places_in_sun([ground], latitude, longitude, 90.0, altitude)
        away_m = (50 - columns) * 10.0
        reach_m = 80.0 / math.tan(math.radians(altitude))
        clear = np.abs(away_m - reach_m) > 10.0  # within a cell its bilinear flank tells
        assert (lit == (away_m > reach_m))[clear].all()


def test_it_agrees_with_the_shadow_of_the_area() -> None:
    rows, columns = np.mgrid[0:120, 0:120]
    heights = 120 * np.sin(rows / 9.0) * np.cos(columns / 13.0) + 60 * np.sin(columns / 5.0)
    ground = grid(heights)
    inner = np.arange(20, 100, 4)
    column, row = (each.ravel() for each in np.meshgrid(inner, inner))
    latitude, longitude = places_at(ground, column.astype(float), row.astype(float))
    for azimuth, altitude in ((130.0, 12.0), (200.0, 25.0), (300.0, 8.0)):
        area = in_sun(ground, azimuth, altitude)[row, column]
        lit = places_in_sun([ground], latitude, longitude, azimuth, altitude)
        assert 0.1 < area.mean() < 0.9, "a check that could not fail is none"
        # both are within a cell of the edge; the rays here are half a cell apart
        assert (lit != area).mean() < 0.06


def test_what_no_grid_knows_is_not_in_sun() -> None:
    ground = grid(np.zeros((50, 50)))
    latitude, longitude = centre_deg(ground)
    far = np.array([latitude, latitude + 1.0]), np.array([longitude, longitude])
    assert places_in_sun([ground], *far, 180.0, 30.0).tolist() == [True, False]
    assert grid_frame(ground, latitude, longitude, reach_m=100.0).column == pytest.approx(24.5)


def test_sight_lines_meet_a_slope_where_trigonometry_says() -> None:
    # ground level for 1 km, then rising at 30°: a line at altitude a from 2 m up meets it where
    # (d − 1000) tan 30° = 2 + d tan a
    distance = ray_distances_m(5.0, 20_000.0)
    ground = np.maximum(0.0, distance - 1_000.0) * math.tan(math.radians(30.0))
    altitude = np.array([0.5, 5.0, 15.0, 25.0, 35.0])
    met = first_met_m(ground, distance, 2.0, altitude)
    tan = np.tan(np.radians(altitude))
    true = (2.0 + 1_000.0 * math.tan(math.radians(30.0))) / (math.tan(math.radians(30.0)) - tan)
    assert met[:4] == pytest.approx(true[:4], rel=0.02)  # read every hundredth of the way
    assert np.isnan(met[4]), "steeper than the slope it goes into the sky"


def test_beyond_the_curve_a_level_line_meets_only_what_stands_high_enough() -> None:
    # drop over 30 km with k = 0.13: 0.87 · 30² / 12.742 = 61.5 m
    distance = ray_distances_m(30.0, 40_000.0)
    for peak, meets in ((55.0, False), (70.0, True)):
        ground = np.where(np.abs(distance - 30_000.0) < 400.0, peak, -10.0)
        met = first_met_m(ground, distance, 0.0, np.array([0.0]))
        assert bool(np.isfinite(met[0])) is meets
