"""Hillshade and contours: planes and cones, voids, levels, and what is refused."""

import math

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings
from numpy.typing import NDArray

from backbearing.errors import BadInput
from backbearing.models.relief import contour_levels_m, contours, hillshade
from backbearing.records import Grid


def area(height_m: NDArray[np.float64], cell_m: float = 10.0, crs: str = "") -> Grid:
    rows, columns = height_m.shape
    return Grid(
        height_m=height_m.astype(np.float32),
        x_first=-cell_m * (columns - 1) / 2,
        y_first=cell_m * (rows - 1) / 2,
        x_step=cell_m,
        y_step=-cell_m,
        crs=crs or "+proj=aeqd +lat_0=47 +lon_0=-21 +datum=WGS84",
        cell_m=cell_m,
        vertical_error_m=1.0,
        ground="bare ground",
    )


Y, X = np.mgrid[50:-51:-1, -50:51] * 10.0
CONE = 500.0 - np.hypot(X, Y)


# ---------------------------------------------------------------- hillshade


@settings(max_examples=40, derandomize=True)
@given(
    slope=st.floats(0.0, 70.0),
    falls_to=st.floats(0.0, 360.0),
    azimuth=st.floats(0.0, 360.0),
    altitude=st.floats(0.0, 90.0),
)
def test_a_plane_is_lit_by_the_cosine_of_incidence(
    slope: float, falls_to: float, azimuth: float, altitude: float
) -> None:
    s, f, a, h = (math.radians(angle) for angle in (slope, falls_to, azimuth, altitude))
    plane = -math.tan(s) * (X * math.sin(f) + Y * math.cos(f))
    cosine = math.sin(h) * math.cos(s) + math.cos(h) * math.sin(s) * math.cos(a - f)
    shade = hillshade(area(plane), light_azimuth_deg=azimuth, light_altitude_deg=altitude)
    assert shade == pytest.approx(max(cosine, 0.0), abs=3e-4)


def test_drawn_out_heights_are_a_steeper_plane() -> None:
    plane = X * 0.2
    drawn_out = hillshade(area(plane), exaggerate=3.0)
    assert drawn_out == pytest.approx(hillshade(area(plane * 3.0)), abs=1e-6)
    assert hillshade(area(plane), exaggerate=0.0) == pytest.approx(math.sin(math.pi / 4), abs=1e-6)


def test_in_degrees_a_cell_is_as_wide_as_on_the_ground() -> None:
    """A slope of 1 in 5 to the east at 60°N, where a degree of longitude is half as wide."""
    longitude = np.arange(-21.0, -20.95, 0.0005)
    east_m = (longitude + 21.0) * 55_800.0  # metres a degree at 60°N on WGS 84: FACTS 7
    latitude = np.arange(60.02, 59.98, -0.0005)
    grid = Grid(
        height_m=(np.ones(latitude.size)[:, None] * east_m * 0.2).astype(np.float32),
        x_first=float(longitude[0]),
        y_first=float(latitude[0]),
        x_step=0.0005,
        y_step=-0.0005,
        crs="EPSG:4326",
        cell_m=30.0,
        vertical_error_m=1.0,
        ground="bare ground",
    )
    slope = math.atan(0.2)
    for azimuth, sign in ((90.0, -1.0), (270.0, 1.0)):
        expected = math.sin(math.pi / 4 + sign * slope)
        shade = hillshade(grid, light_azimuth_deg=azimuth, light_altitude_deg=45.0)
        assert np.median(shade) == pytest.approx(expected, abs=2e-3)


def test_a_void_and_what_leans_on_it_are_nan() -> None:
    ground = np.zeros((9, 9))
    ground[4, 4] = np.nan
    shade = hillshade(area(ground))
    assert np.argwhere(np.isnan(shade)).tolist() == [[3, 4], [4, 3], [4, 4], [4, 5], [5, 4]]


# ---------------------------------------------------------------- contours


def test_contours_of_a_cone_are_rings() -> None:
    for contour in contours(area(CONE), contour_levels_m(area(CONE), 100.0)[2:-1]):
        (line,) = contour.lines
        assert (line[0] == line[-1]).all()
        radius = np.hypot(line[:, 0], line[:, 1])
        assert radius == pytest.approx(500.0 - contour.height_m, abs=0.3)


def test_higher_ground_lies_on_the_right() -> None:
    for ground, way in ((CONE, -1.0), (-CONE, 1.0)):
        (contour,) = contours(area(ground), [math.copysign(200.0, -way)])
        x, y = contour.lines[0].T
        twice_area = (x[:-1] * y[1:] - x[1:] * y[:-1]).sum()  # positive: anticlockwise
        assert math.copysign(1.0, twice_area) == way


@settings(max_examples=20, derandomize=True)
@given(seed=st.integers(0, 999), height=st.floats(-20.0, 20.0))
def test_every_point_of_a_line_has_its_height_on_a_cells_edge(seed: int, height: float) -> None:
    ground = np.random.default_rng(seed).normal(scale=20.0, size=(12, 15)).astype(np.float32)
    grid = area(ground.astype(np.float64))
    for line in contours(grid, [height])[0].lines:
        column = (line[:, 0] - grid.x_first) / grid.x_step
        row = (line[:, 1] - grid.y_first) / grid.y_step
        left, upper = np.floor(column + 1e-9).astype(int), np.floor(row + 1e-9).astype(int)
        x, y = column - left, row - upper
        on_edge = (np.abs(x) < 1e-6) | (np.abs(y) < 1e-6)
        right, lower = np.minimum(left + 1, 14), np.minimum(upper + 1, 11)
        found = np.where(
            np.abs(x) < 1e-6,
            ground[upper, left] * (1 - y) + ground[lower, left] * y,
            ground[upper, left] * (1 - x) + ground[upper, right] * x,
        )
        assert found[on_edge] == pytest.approx(height, abs=1e-3)
        # the rest are middles of ambiguous squares: none, where lines run from edge to edge
        assert on_edge.all()


def test_a_void_breaks_a_line() -> None:
    ground = CONE.copy()
    ground[50, 50:] = np.nan
    (whole,) = contours(area(CONE), [300.0])[0].lines
    (broken,) = contours(area(ground), [300.0])[0].lines
    assert (whole[0] == whole[-1]).all()
    assert not (broken[0] == broken[-1]).all()
    assert np.isfinite(broken).all()


def test_levels_are_whole_multiples_within_the_ground() -> None:
    ground = np.array([[-12.0, 3.0], [np.nan, 27.0]])
    assert contour_levels_m(area(ground), 10.0) == [-10.0, 0.0, 10.0, 20.0]
    assert contour_levels_m(area(ground), 100.0) == [0.0]
    assert contour_levels_m(area(np.full((3, 3), np.nan)), 10.0) == []
    assert contours(area(np.full((3, 3), np.nan)), [0.0])[0].lines == ()


def test_a_height_that_no_ground_has_is_there_with_no_line() -> None:
    (high,) = contours(area(CONE), [9_000.0])
    assert (high.height_m, high.lines) == (9_000.0, ())


def test_bad_input_is_refused() -> None:
    with pytest.raises(BadInput, match="interval_m"):
        contour_levels_m(area(CONE), 0.0)
    with pytest.raises(BadInput, match="take at least"):
        contour_levels_m(area(CONE), 0.01)
    with pytest.raises(BadInput, match="2 × 2"):
        contours(area(np.zeros((1, 4))), [0.0])
    with pytest.raises(BadInput, match="must be a number"):
        contours(area(CONE), [math.nan])
    with pytest.raises(BadInput, match="2 × 2"):
        hillshade(area(np.zeros((4, 1))))
    with pytest.raises(BadInput, match="light_altitude_deg"):
        hillshade(area(CONE), light_altitude_deg=-1.0)
