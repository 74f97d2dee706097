"""What a skyline is made of: grids finest first, voids, reach, true azimuths, the very spot."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod
from tests.models.ground import LATITUDE, LONGITUDE, UTM, Floats, grid_around

from backbearing.errors import BadInput
from backbearing.models.skyline import ground_height_m, lowest_ground_m, skyline
from backbearing.models.sunlight import skyline_altitude_deg
from backbearing.records import Grid


def flat(east: Floats, north: Floats) -> Floats:
    return 0.0 * east


def hill(
    azimuth_deg: float, distance_m: float, *, tall_m: float = 300.0, wide_m: float = 60.0
) -> Callable[[Floats, Floats], Floats]:
    """A round hill on a plain, by azimuth and distance from the spot."""
    angle = np.radians(azimuth_deg)
    at = distance_m * np.sin(angle), distance_m * np.cos(angle)

    def height(east: Floats, north: Floats) -> Floats:
        off = np.hypot(east - at[0], north - at[1])
        return np.asarray(tall_m * np.exp(-((off / wide_m) ** 2)))

    return height


# ------------------------------------------------------------ true azimuths


@pytest.mark.parametrize("azimuth_deg", [10.0, 133.0, 250.0, 359.0])
@pytest.mark.parametrize(
    ("crs", "cell", "latitude_deg", "longitude_deg"),
    [
        (UTM, 20.0, 47.0, -18.05),  # at the zone's edge: grid north 2.2° off
        ("+proj=aea +lat_1=29.5 +lat_2=45.5 +lon_0=-96 +ellps=WGS84", 20.0, 37.46, -119.2),
        ("EPSG:4326", 0.0002, 65.0, -21.0),
        ("EPSG:4326", 0.0002, -16.8, 179.995),  # the grid runs on past 180°
        ("EPSG:4326", 0.0002, -16.8, -179.995),
        ("EPSG:3413", 20.0, 78.2, 15.6),
        ("EPSG:3031", 20.0, -89.9, 10.0),
        ("EPSG:2229", 65.0, 34.2, -118.1),  # US survey feet
    ],
)
def test_a_hill_stands_at_its_true_azimuth_and_distance(
    crs: str, cell: float, latitude_deg: float, longitude_deg: float, azimuth_deg: float
) -> None:
    grid = grid_around(
        hill(azimuth_deg, 2_000.0, wide_m=150.0),
        crs=crs,
        cell=cell,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        half_width=180 if cell > 1 else 280,
        geodesic=True,
        off_cell=(0.3, -0.2),
    )
    seen = skyline([grid], latitude_deg, longitude_deg, step_deg=0.25)
    top = seen.altitude_deg.argmax()
    off = (seen.azimuth_deg[top] - azimuth_deg + 180.0) % 360.0 - 180.0
    assert abs(off) <= 0.25
    # steepest a little on the near side of the top: d/dr of (300 exp(-(r/150)²) - 1.5) / (2000 - r)
    r = np.linspace(0.0, 40.0, 4_001)
    tangent = (300.0 * np.exp(-((r / 150.0) ** 2)) - 1.5) / (2_000.0 - r)
    assert seen.altitude_deg[top] == pytest.approx(np.degrees(np.arctan(tangent.max())), abs=0.12)
    assert seen.distance_m[top] == pytest.approx(2_000.0 - r[tangent.argmax()], abs=20.0)


# ------------------------------------------------------------ the very spot


def test_the_eye_stands_on_the_surface_at_the_very_spot() -> None:
    """On a slope, a third of a cell up the hill is worth its rise: no neighbour's height."""
    grid = grid_around(lambda east, north: 500.0 + 0.5 * east, cell=30.0, off_cell=(0.4, 0.1))
    east_m = 10.0
    longitude, latitude, _ = Geod(ellps="WGS84").fwd(LONGITUDE, LATITUDE, 90.0, east_m)
    here = ground_height_m([grid], LATITUDE, LONGITUDE)
    assert here == pytest.approx(500.0, abs=1e-3)
    assert ground_height_m([grid], latitude, longitude) - here == pytest.approx(5.0, abs=0.01)
    seen = skyline([grid], LATITUDE, LONGITUDE, eye_height_m=2.0)
    assert seen.eye_height_m == pytest.approx(502.0, abs=1e-3)


def test_a_height_that_is_given_counts_instead_of_the_ground() -> None:
    grid = grid_around(hill(90.0, 1_000.0))
    on_a_tower = skyline([grid], LATITUDE, LONGITUDE, height_m=298.5)
    assert on_a_tower.eye_height_m == pytest.approx(300.0)
    east = skyline_altitude_deg(on_a_tower, 90.0)
    assert east == pytest.approx(0.0, abs=0.02)


def test_a_higher_eye_sees_a_lower_skyline() -> None:
    grid = grid_around(hill(200.0, 800.0))
    low, high = (skyline([grid], LATITUDE, LONGITUDE, eye_height_m=e) for e in (1.5, 60.0))
    assert (high.altitude_deg <= low.altitude_deg).all()


def test_the_lowest_ground_around_is_where_the_water_runs() -> None:
    """A stream in a V 30 m to the west; on an even slope it is the way down times the slope."""
    valley = grid_around(lambda east, north: 300.0 + 0.8 * np.abs(east + 30.0))
    lowest = lowest_ground_m([valley], LATITUDE, LONGITUDE, within_m=40.0)
    assert lowest == pytest.approx(300.0, abs=0.1)
    slope = grid_around(lambda east, north: 300.0 + 0.5 * east, geodesic=True)
    assert lowest_ground_m([slope], LATITUDE, LONGITUDE, within_m=40.0) == pytest.approx(280.0)
    here = ground_height_m([slope], LATITUDE, LONGITUDE)
    assert lowest_ground_m([slope], LATITUDE, LONGITUDE, within_m=0.0) == here
    assert np.isnan(lowest_ground_m([slope], LATITUDE + 1, LONGITUDE, within_m=40.0))


# ------------------------------------------------------------ several grids


def test_a_coarser_grid_answers_only_where_no_finer_one_knows() -> None:
    """The coarse grid has a hill that is not there 500 m off, and the wall that is, 6 km off."""
    fine = grid_around(flat, cell=10.0, half_width=150)
    false_hill = hill(90.0, 500.0, wide_m=200.0)
    coarse = grid_around(
        lambda east, north: np.where(north > 6_000.0, 900.0, false_hill(east, north)),
        cell=100.0,
        half_width=100,
        vertical_error_m=12.0,
    )
    seen = skyline([fine, coarse], LATITUDE, LONGITUDE)
    north, east = 0, 180
    assert seen.altitude_deg[east] < 0.1
    assert seen.altitude_deg[north] == pytest.approx(np.degrees(np.arctan(898.5 / 6_100)), abs=0.1)
    assert seen.cell_m is not None
    assert seen.vertical_error_m is not None
    assert (seen.cell_m[north], seen.vertical_error_m[north]) == (100.0, 12.0)
    assert seen.reach_m.min() > 9_900.0
    assert seen.basis.startswith("terrain of 10 m cells (bare ground), then 100 m cells")
    alone = skyline([coarse], LATITUDE, LONGITUDE)
    assert alone.altitude_deg[east] > 20.0


def test_a_void_of_the_finer_grid_is_filled_from_the_coarser() -> None:
    def wall(east: Floats, north: Floats) -> Floats:
        return np.where(np.abs(north - 800.0) < 60.0, 200.0, 0.0)

    whole = grid_around(wall, cell=10.0)
    steps = np.arange(-200, 201) * 10.0
    hole = np.abs(steps[::-1, None] - 800.0) < 150.0
    fine = replace(whole, height_m=np.where(hole, np.float32(np.nan), whole.height_m))
    coarse = grid_around(wall, cell=20.0, half_width=150)
    filled = skyline([fine, coarse], LATITUDE, LONGITUDE)
    expected = skyline([whole], LATITUDE, LONGITUDE)
    north = np.abs((filled.azimuth_deg + 180.0) % 360.0 - 180.0) < 40.0
    assert filled.altitude_deg[north] == pytest.approx(expected.altitude_deg[north], abs=0.6)
    assert filled.void_m is not None
    assert filled.void_m.max() == 0.0
    bare = skyline([fine], LATITUDE, LONGITUDE)
    assert bare.altitude_deg[north].max() < 0.5
    assert bare.void_m is not None
    assert bare.void_m[0] == pytest.approx(300.0, abs=30.0)
    assert "ground unknown in" in bare.basis
    assert np.isfinite(bare.altitude_deg).all()


def test_a_spot_outside_the_finest_grid_stands_on_the_coarser() -> None:
    far = grid_around(flat, cell=5.0, half_width=40, latitude_deg=LATITUDE + 0.02)
    coarse = grid_around(lambda east, north: 70.0 + 0.0 * east, cell=50.0)
    seen = skyline([far, coarse], LATITUDE, LONGITUDE)
    assert seen.eye_height_m == pytest.approx(71.5)
    assert np.isfinite(seen.altitude_deg).all()


def test_a_neighbouring_tile_is_seen_from_outside_it() -> None:
    here = grid_around(flat, cell=20.0, half_width=50)
    beside = grid_around(
        lambda east, north: np.where(east > 3_000.0, 500.0, 0.0), cell=20.0, half_width=250
    )
    columns = np.arange(-250, 251) * 20.0 > 1_000.0
    tile = replace(
        beside,
        height_m=np.ascontiguousarray(beside.height_m[:, columns]),
        x_first=beside.x_first + float(np.flatnonzero(columns)[0]) * 20.0,
    )
    seen = skyline([here, tile], LATITUDE, LONGITUDE)
    east, west = 180, 540
    assert seen.altitude_deg[east] == pytest.approx(np.degrees(np.arctan(498.5 / 3_020)), abs=0.1)
    assert seen.reach_m[west] == pytest.approx(1_000.0, abs=30.0)
    assert seen.reach_m[east] == pytest.approx(5_000.0, abs=30.0)


# ------------------------------------------------------------ where the data end


def test_a_skyline_says_how_far_its_data_go() -> None:
    """Data end 800 m off: the wall at 2 km is not seen, and reach says that it could not be."""
    grid = grid_around(flat, cell=10.0, half_width=80)
    seen = skyline([grid], LATITUDE, LONGITUDE)
    edge = 800.0 / np.maximum(
        np.abs(np.sin(np.radians(seen.azimuth_deg))), np.abs(np.cos(np.radians(seen.azimuth_deg)))
    )
    assert seen.reach_m == pytest.approx(edge, rel=0.03)
    assert (seen.reach_m <= edge + 1.0).all()
    assert "reaching 0.8 to 1.1 km" in seen.basis


def test_nothing_is_read_beyond_the_reach() -> None:
    grid = grid_around(hill(45.0, 1_500.0))
    near, far = (skyline([grid], LATITUDE, LONGITUDE, reach_m=r) for r in (1_000.0, 3_000.0))
    assert near.reach_m.max() <= 1_000.0
    assert near.altitude_deg.max() < 0.1 < 5.0 < far.altitude_deg.max()


def test_past_the_data_the_ground_is_no_lower_than_a_sea() -> None:
    """On a summit whose data end on its slope: the horizon of a sea 1000 m below, 0.95° down."""
    grid = grid_around(
        lambda east, north: 1_000.0 - 0.8 * np.hypot(east, north), cell=10.0, half_width=50
    )
    seen = skyline([grid], LATITUDE, LONGITUDE)
    dip = np.degrees(np.sqrt(2 * 1_001.5 * 0.87 / 6_371_000.0))
    assert seen.altitude_deg == pytest.approx(-dip, abs=1e-3)
    assert np.isnan(seen.distance_m).all()


# ------------------------------------------------------------ properties


@given(
    seed=st.integers(0, 10_000),
    raised_m=st.floats(-400.0, 4_000.0),
    off=st.tuples(st.floats(-0.5, 0.5), st.floats(-0.5, 0.5)),
)
def test_only_height_above_the_eye_counts(
    seed: int, raised_m: float, off: tuple[float, float]
) -> None:
    """Lifting the ground and the eye together changes no angle above the horizon of a sea."""
    ground = np.random.default_rng(seed).uniform(0.0, 300.0, (61, 61)).astype(np.float32)
    grid = grid_around(flat, half_width=30, cell=20.0, off_cell=off)
    before = skyline([replace(grid, height_m=ground)], LATITUDE, LONGITUDE)
    lifted = replace(grid, height_m=(ground + np.float32(raised_m)).astype(np.float32))
    after = skyline([lifted], LATITUDE, LONGITUDE)
    over = (before.altitude_deg > 0.1) & (after.altitude_deg > 0.1)
    assert over.any()
    assert after.altitude_deg[over] == pytest.approx(before.altitude_deg[over], abs=0.01)


@given(
    azimuth_deg=st.floats(0.0, 360.0),
    distance_m=st.floats(300.0, 1_700.0),
    tall_m=st.floats(50.0, 800.0),
)
def test_a_hill_is_found_wherever_it_stands(
    azimuth_deg: float, distance_m: float, tall_m: float
) -> None:
    grid = grid_around(hill(azimuth_deg, distance_m, tall_m=tall_m, wide_m=80.0))
    seen = skyline([grid], LATITUDE, LONGITUDE)
    there = float(skyline_altitude_deg(seen, azimuth_deg))
    least = np.degrees(np.arctan((tall_m - 1.5) / distance_m))
    # a broad hill is steepest seen on its near side, a little over the angle of its top
    assert least - 0.6 < there < least + 0.25 * least + 1.0


def test_a_grid_upside_down_or_mirrored_is_the_same_ground() -> None:
    grid = grid_around(hill(70.0, 900.0), off_cell=(0.2, 0.1))
    rows, columns = grid.height_m.shape
    turned = replace(
        grid,
        height_m=grid.height_m[::-1, ::-1],
        x_first=grid.x_first + grid.x_step * (columns - 1),
        y_first=grid.y_first + grid.y_step * (rows - 1),
        x_step=-grid.x_step,
        y_step=-grid.y_step,
    )
    a, b = (skyline([g], LATITUDE, LONGITUDE) for g in (grid, turned))
    assert a.altitude_deg == pytest.approx(b.altitude_deg, abs=1e-3)


def test_what_was_passed_in_stays_as_it_was() -> None:
    grid = grid_around(hill(70.0, 900.0))
    before = grid.height_m.copy()
    skyline([grid], LATITUDE, LONGITUDE)
    assert np.array_equal(grid.height_m, before)


# ------------------------------------------------------------ refusals


def in_a_void() -> Grid:
    grid = grid_around(flat)
    heights = grid.height_m.copy()
    heights[195:206, 195:206] = np.nan
    return replace(grid, height_m=heights)


def test_a_spot_in_a_void_or_outside_is_refused_and_never_at_sea_level() -> None:
    with pytest.raises(BadInput, match=r"no terrain has a height for 47\.00000, -21\.00000"):
        skyline([in_a_void()], LATITUDE, LONGITUDE)
    with pytest.raises(BadInput, match="lies outside, or in a void"):
        skyline([grid_around(flat)], LATITUDE + 0.1, LONGITUDE)
    assert np.isnan(ground_height_m([in_a_void()], LATITUDE, LONGITUDE))


def test_a_spot_in_a_void_whose_height_is_given_sees_the_ground_around() -> None:
    seen = skyline([in_a_void()], LATITUDE, LONGITUDE, height_m=0.0)
    assert np.isfinite(seen.altitude_deg).all()
    assert seen.reach_m.min() > 1_900.0


@pytest.mark.parametrize(
    ("changed", "where"),
    [
        ({"step_deg": 0.0}, "step_deg"),
        ({"reach_m": float("nan")}, "reach_m"),
        ({"reach_m": 1e9}, "reach_m"),
        ({"eye_height_m": -1.0}, "eye_height_m"),
        ({"height_m": float("nan")}, "height_m"),
        ({"refraction_k": 7.0}, "refraction_k"),
    ],
)
def test_arguments_out_of_range_are_named(changed: dict[str, float], where: str) -> None:
    with pytest.raises(BadInput) as told:
        skyline([grid_around(flat)], LATITUDE, LONGITUDE, **changed)
    assert told.value.where == where


def test_no_terrain_and_a_single_row_are_refused() -> None:
    with pytest.raises(BadInput, match="no terrain"):
        skyline([], LATITUDE, LONGITUDE, height_m=0.0)
    grid = grid_around(flat)
    with pytest.raises(BadInput, match="2 × 2 cells"):
        skyline([replace(grid, height_m=grid.height_m[:1])], LATITUDE, LONGITUDE)


@pytest.mark.parametrize("crs", ["", "EPSG:999999", "\x1b[31mnonsense"])
def test_a_grid_without_a_known_projection_is_refused(crs: str) -> None:
    with pytest.raises(BadInput, match="projection") as told:
        skyline([replace(grid_around(flat), crs=crs)], LATITUDE, LONGITUDE)
    assert "\x1b" not in str(told.value)


def test_degrees_of_longitude_next_to_a_pole_are_refused_not_bent() -> None:
    grid = grid_around(flat, crs="EPSG:4326", cell=0.001, latitude_deg=89.5)
    with pytest.raises(BadInput, match="too bent"):
        skyline([grid], 89.5, LONGITUDE)
