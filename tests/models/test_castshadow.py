"""The shadow ground throws: walls, cones, voids, ground outside, and the round Earth."""

import math
from dataclasses import replace

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings
from numpy.typing import NDArray

from backbearing.errors import BadInput
from backbearing.models.castshadow import in_sun, shadow_reach_m
from backbearing.models.gridframe import centre_deg, grid_frame
from backbearing.records import Grid

HERE = (47.0, -21.0)
AROUND_HERE = "+proj=aeqd +lat_0=47 +lon_0=-21 +datum=WGS84"


def area(height_m: NDArray[np.float64], cell_m: float = 10.0, *, crs: str = AROUND_HERE) -> Grid:
    """Ground whose middle cell stands at 47°N 21°W."""
    rows, columns = height_m.shape
    return Grid(
        height_m=height_m.astype(np.float32),
        x_first=-cell_m * (columns - 1) / 2,
        y_first=cell_m * (rows - 1) / 2,
        x_step=cell_m,
        y_step=-cell_m,
        crs=crs,
        cell_m=cell_m,
        vertical_error_m=1.0,
        ground="bare ground",
    )


def plain(cells: int = 101) -> NDArray[np.float64]:
    return np.zeros((cells, cells))


@pytest.mark.parametrize("azimuth_deg", [0.0, 17.0, 90.0, 133.0, 180.0, 225.0, 301.0, 359.9])
def test_a_plain_is_all_in_sun(azimuth_deg: float) -> None:
    assert in_sun(area(plain()), azimuth_deg, 0.5).all()


@pytest.mark.parametrize(
    ("azimuth_deg", "steps"), [(180.0, (-1, 0)), (0.0, (1, 0)), (90.0, (0, -1)), (270.0, (0, 1))]
)
def test_a_tower_throws_its_height_over_the_suns_slope(
    azimuth_deg: float, steps: tuple[int, int]
) -> None:
    ground = plain()
    ground[50, 50] = 100.0
    lit = in_sun(area(ground), azimuth_deg, 20.0)
    long_m = 100.0 / math.tan(math.radians(20.0))
    for cells in range(1, 50):
        at = (50 + cells * steps[0], 50 + cells * steps[1])
        assert lit[at] == (cells * 10.0 > long_m), cells
    assert lit[50, 50]


@settings(max_examples=30, derandomize=True)
@given(azimuth=st.floats(0.0, 360.0), altitude=st.floats(4.0, 25.0))
def test_a_cone_throws_a_shadow_as_long_as_it_should(azimuth: float, altitude: float) -> None:
    """The farthest shade stands where the ray over the summit comes down."""
    tall_m, cell_m, steep = 60.0, 10.0, math.tan(math.radians(30.0))
    y, x = np.mgrid[100:-101:-1, -100:101] * cell_m
    ground = np.maximum(0.0, tall_m - np.hypot(x, y) * steep)
    shade = ~in_sun(area(ground, cell_m), azimuth, altitude)
    long_m = tall_m / math.tan(math.radians(altitude))
    angle = math.radians(azimuth + 180.0)
    along = x * math.sin(angle) + y * math.cos(angle)
    aside = np.abs(y * math.sin(angle) - x * math.cos(angle))
    assert aside[shade].max() <= tall_m / steep + 1.5 * cell_m
    assert along[shade].max() <= long_m + 1.5 * cell_m
    # its tip is lost where the cone is narrower than three cells
    tip_m = 1.5 * cell_m * steep / math.tan(math.radians(altitude))
    assert along[shade].max() >= long_m - tip_m - 1.5 * cell_m


@settings(max_examples=25, derandomize=True)
@given(azimuth=st.floats(0.0, 359.0), altitude=st.floats(3.0, 60.0), seed=st.integers(0, 99))
def test_turning_ground_and_sun_together_turns_the_shadow(
    azimuth: float, altitude: float, seed: int
) -> None:
    ground = np.random.default_rng(seed).uniform(0.0, 40.0, (25, 31))
    straight = in_sun(area(ground), azimuth, altitude)
    for quarter in (1, 2, 3):
        turned = in_sun(
            area(np.rot90(ground, -quarter)), azimuth + 90.0 * quarter - 360.0, altitude
        )
        # rounding of the direction can tip a cell that the ray only just grazes
        assert (np.rot90(turned, quarter) != straight).mean() <= 0.003


@settings(max_examples=25, derandomize=True)
@given(azimuth=st.floats(0.0, 360.0), seed=st.integers(0, 99))
def test_a_higher_sun_lights_more(azimuth: float, seed: int) -> None:
    ground = area(np.random.default_rng(seed).uniform(0.0, 40.0, (25, 31)))
    low, high = in_sun(ground, azimuth, 10.0), in_sun(ground, azimuth, 30.0)
    assert not (low & ~high).any()


def test_a_slope_turned_away_from_a_low_sun_shades_itself() -> None:
    falling_north = np.repeat(np.linspace(300.0, 0.0, 61)[::-1, None], 61, axis=1)  # 26.6°
    assert in_sun(area(falling_north), 180.0, 28.0).all()
    assert not in_sun(area(falling_north), 180.0, 25.0)[:-1].any()


def test_a_void_is_not_lit_and_shades_nothing() -> None:
    ground = plain(41)
    ground[20, 20] = 100.0
    ground[25:28, 3:30] = np.nan
    lit = in_sun(area(ground), 180.0, 10.0)
    assert not lit[25:28, 3:30].any()
    assert not lit[:20, 20].any()
    clear = np.isfinite(ground)
    clear[:, 20] = False
    assert lit[clear].all()


def test_all_void_is_all_dark() -> None:
    assert not in_sun(area(np.full((5, 5), np.nan)), 180.0, 10.0).any()
    assert not in_sun(area(np.full((5, 5), np.nan)), 180.0, -1.0).any()


@pytest.mark.parametrize("azimuth_deg", [183.0, 140.0, 95.0, 265.0, 2.0])
@pytest.mark.parametrize("coarse", [1, 3])
def test_ground_outside_shades_as_if_it_were_inside(azimuth_deg: float, coarse: int) -> None:
    """A ridge ring outside the area: cut out and told around, or all in one area."""
    y, x = np.mgrid[150:-151:-1, -150:151] * 10.0
    whole = 260.0 * np.exp(-(((np.hypot(x, y) - 1_000.0) / 150.0) ** 2)) + 0.02 * x
    inside = (slice(90, 211), slice(90, 211))
    inner = area(whole[inside])
    wide = area(whole[::coarse, ::coarse], 10.0 * coarse)
    expected = in_sun(area(whole), azimuth_deg, 14.0)[inside]
    assert 0.05 < expected.mean() < 0.95
    assert (in_sun(inner, azimuth_deg, 14.0, around=[wide]) != expected).mean() < 0.01
    assert (in_sun(inner, azimuth_deg, 14.0) != expected).mean() > 0.05


def test_the_finest_ground_around_is_believed() -> None:
    """A coarse grid's hill does not stand where a finer one knows a plain."""
    hill = plain(101)
    hill[90:, :] = 300.0
    inner, coarse, finer = area(plain(21)), area(hill, 20.0), area(plain(301))
    assert not in_sun(inner, 180.0, 10.0, around=[coarse]).any()
    assert in_sun(inner, 180.0, 10.0, around=[finer, coarse]).all()


def test_ground_around_in_another_projection() -> None:
    """The same far ridge, told in degrees of latitude and longitude."""
    latitude = np.arange(47.05, 46.9, -0.0005)
    longitude = np.arange(-21.1, -20.9, 0.0005)
    ridge = np.where(latitude < 46.98, 400.0, 0.0)[:, None] * np.ones(longitude.size)
    wide = Grid(
        height_m=ridge.astype(np.float32),
        x_first=float(longitude[0]),
        y_first=float(latitude[0]),
        x_step=0.0005,
        y_step=-0.0005,
        crs="EPSG:4326",
        cell_m=50.0,
        vertical_error_m=5.0,
        ground="bare ground",
    )
    inner = area(plain(101))
    # 46.98°N is 2,223 m south of the middle: 400 m there are 10.2° high
    lit = in_sun(inner, 180.0, 10.2, around=[wide])
    edge_m = 400.0 / math.tan(math.radians(10.2)) - 2_223.0
    rows_m = 500.0 - 10.0 * np.arange(101)
    assert lit[rows_m > edge_m + 60.0].all()
    assert not lit[rows_m < edge_m - 60.0].any()


def test_true_azimuths_in_a_grid_that_is_turned() -> None:
    """2.9° of longitude from the middle of UTM zone 27 grid north is 2.1° off."""
    ground = plain(201)
    ground[95:106, 95:106] = 300.0
    grid = replace(area(ground, crs="EPSG:32627"), x_first=280_000.0, y_first=5_210_000.0)
    shade = ~in_sun(grid, 200.0, 15.0)
    frame = grid_frame(grid, *centre_deg(grid), reach_m=100.0)
    column, row = (float(terms[0, 0]) for terms in frame.along(np.array([20.0])))
    rows, columns = np.nonzero(shade)
    far = np.hypot(rows - 100, columns - 100) > 40.0
    found = np.degrees(np.arctan2((columns - 100)[far].mean(), -(rows - 100)[far].mean()))
    assert found == pytest.approx(math.degrees(math.atan2(column, -row)), abs=0.3)
    assert abs(found - 20.0) > 1.0  # the grid's own north would have given that


def test_the_round_earth_drops_a_far_ridge() -> None:
    """Seen from D away it stands D² 0.87 / 2R lower (FACTS 1.4), 109 m at 40 km; and the sun
    is D 0.87 / R lower over the horizon of a place D farther from it."""
    ground = np.zeros((401, 5))
    ground[-2:] = 1_000.0
    away_m = 39_900.0 - np.arange(399) * 100.0  # of rows 0 … 398 from the ridge's near edge
    lit = in_sun(area(ground, 100.0), 180.0, 1.4)[:399, 2]
    slope = math.tan(math.radians(1.4)) + (19_900.0 - away_m) * 0.87 / 6_371_000.0
    ridge = (1_000.0 - 0.87 * away_m**2 / (2 * 6_371_000.0)) / away_m
    clear = np.abs(ridge - slope) * away_m > 10.0  # metres over or under the ray
    assert clear.mean() > 0.9
    assert (lit == (slope > ridge))[clear].all()


def test_below_the_level_only_summits_have_sun() -> None:
    """From 2,000 m the sea's horizon lies 1.34° down (with k = 0.13)."""
    ground = plain(41)
    ground[20, 20] = 2_000.0
    grid = area(ground, 100.0)
    assert np.argwhere(in_sun(grid, 180.0, -1.25)).tolist() == [[20, 20]]
    assert not in_sun(grid, 180.0, -1.45).any()


@settings(max_examples=50, derandomize=True)
@given(rise=st.floats(0.1, 4_000.0), altitude=st.floats(-0.5, 80.0))
def test_the_reach_of_a_shadow_is_where_the_ray_comes_down(rise: float, altitude: float) -> None:
    far = shadow_reach_m(rise, altitude)
    climbed = far * math.tan(math.radians(altitude)) + 0.87 / (2 * 6_371_000.0) * far * far
    assert climbed == pytest.approx(rise, rel=1e-6)


def test_nothing_higher_shades_nothing_under_a_risen_sun() -> None:
    assert shadow_reach_m(-5.0, 3.0) == 0.0


def test_bad_input_is_refused() -> None:
    with pytest.raises(BadInput, match="2 × 2"):
        in_sun(area(np.zeros((1, 5))), 180.0, 10.0)
    with pytest.raises(BadInput, match="sun_altitude_deg"):
        in_sun(area(plain(3)), 180.0, 91.0)
    with pytest.raises(BadInput, match="sun_azimuth_deg"):
        in_sun(area(plain(3)), np.nan, 10.0)
    with pytest.raises(BadInput, match="projection"):
        in_sun(area(plain(3), crs="nowhere"), 180.0, 10.0)
