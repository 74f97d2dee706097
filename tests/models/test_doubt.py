"""How far a skyline may be off, and that the minutes made from it hold nine times in ten."""

from dataclasses import replace

import numpy as np
import pytest

from backbearing.models.doubt import CREST_BLUR_CELLS, skyline_error_deg
from backbearing.models.skyline import skyline
from backbearing.models.sun import sun_position
from backbearing.models.sunlight import (
    above_skyline_deg,
    flat_skyline,
    semidiameter_deg,
    skyline_altitude_deg,
)
from backbearing.models.wanted import SpotMinutes, conditions
from backbearing.models.windows import find_windows
from backbearing.records import Grid, Skyline, WantedLight

LATITUDE, LONGITUDE = 47.0, -21.0  # on the central meridian of UTM zone 27: grid north is true
EAST_M, NORTH_M = 500_000.0, 5_205_164.6
DAY = np.datetime64("2026-03-10", "m")
CELL_M, VERTICAL_ERROR_M, POSITION_ERROR_M = 10.0, 5.0, 20.0


def wall(distance_m: float, altitude_deg: float) -> Skyline:
    flat = flat_skyline()
    at = np.full(flat.azimuth_deg.shape, 1.0)
    return replace(
        flat,
        altitude_deg=altitude_deg * at,
        distance_m=distance_m * at,
        cell_m=CELL_M * at,
        vertical_error_m=VERTICAL_ERROR_M * at,
    )


def test_a_plain_has_no_error_of_its_own() -> None:
    assert (skyline_error_deg(flat_skyline()) == 0.0).all()


def test_a_low_edge_is_off_by_its_height_error_over_its_distance() -> None:
    """Closed form: an angle of atan(√(5² + (10/4)²) / 1000) for an edge near the horizontal."""
    off = skyline_error_deg(wall(1000.0, 0.5))
    height_m = np.hypot(VERTICAL_ERROR_M, CREST_BLUR_CELLS * CELL_M)
    assert off == pytest.approx(np.degrees(np.arctan(height_m / 1000.0)), rel=1e-3)


def test_a_steep_near_edge_counts_along_the_line_of_sight() -> None:
    """At 60° the same height error turns the sight by a quarter: cos² of its altitude."""
    low, steep = (skyline_error_deg(wall(1000.0, a)).max() for a in (0.0, 60.0))
    assert steep == pytest.approx(low / 4.0, rel=0.01)


def test_the_skylines_beside_the_spot_add_what_they_differ_by() -> None:
    here = wall(1000.0, 10.0)
    alone = skyline_error_deg(here)
    beside = skyline_error_deg(here, [wall(1000.0, 12.0), wall(1000.0, 9.5)])
    assert beside == pytest.approx(np.hypot(alone, 2.0))


# ---------------------------------------------------------------- the stated band holds


def ridge(noise_m: np.ndarray | float = 0.0) -> Grid:
    """A ridge 60 to 140 m high, 300 m to the south-east, with notches, on 10 m cells."""
    x = EAST_M + np.arange(-1500.0, 1501.0, CELL_M)
    y = NORTH_M + np.arange(1500.0, -1501.0, -CELL_M)
    east, north = np.meshgrid(x - EAST_M, y - NORTH_M)
    out = (east - north) / np.sqrt(2.0)
    along = (east + north) / np.sqrt(2.0)
    height = (100.0 + 40.0 * np.sin(along / 90.0)) * np.exp(-(((out - 300.0) / 80.0) ** 2))
    return Grid(
        height_m=(height + noise_m).astype(np.float32),
        x_first=float(x[0]),
        y_first=float(y[0]),
        x_step=CELL_M,
        y_step=-CELL_M,
        crs="EPSG:32627",
        cell_m=CELL_M,
        vertical_error_m=VERTICAL_ERROR_M,
        ground="bare ground",
    )


def smooth_noise(rng: np.random.Generator) -> np.ndarray:
    """Height errors with neighbours alike over some 50 m, 95 % within the stated error."""
    raw = rng.normal(size=(301, 301))
    kernel = np.exp(-0.5 * (np.arange(-7, 8) / 2.5) ** 2)
    for axis in (0, 1):
        raw = np.apply_along_axis(np.convolve, axis, raw, kernel, mode="same")
    return np.asarray(raw / raw.std() * VERTICAL_ERROR_M / 1.96)


def seen(grid: Grid, east_m: float = 0.0, north_m: float = 0.0) -> Skyline:
    latitude = LATITUDE + north_m / 111_170.0
    longitude = LONGITUDE + east_m / (111_320.0 * np.cos(np.radians(LATITUDE)))
    return skyline([grid], latitude, longitude, reach_m=2_000.0)


def spot_minutes(sky: Skyline, error_deg: np.ndarray | None, lift_deg: float = 0.0) -> SpotMinutes:
    minute = np.arange(24 * 60)
    time = (DAY + minute).astype("datetime64[ms]")
    sun = sun_position(time, LATITUDE, LONGITUDE)
    altitude = sun.altitude_deg + lift_deg
    limb = altitude + semidiameter_deg(sun.distance_au)
    return SpotMinutes(
        time=time,
        azimuth_deg=sun.azimuth_deg,
        altitude_deg=altitude,
        sunlit=above_skyline_deg(sky, sun.azimuth_deg, limb) >= 0.0,
        day=np.zeros(len(minute), dtype=np.int64),
        clock_min=minute,
        longitude_deg=LONGITUDE,
        skyline=sky,
        skyline_error_deg=error_deg,
    )


def test_the_stated_minutes_hold_first_sun_nine_times_in_ten() -> None:
    """Terrain within its stated accuracy, positions within their error, refraction that varies."""
    rng = np.random.default_rng(27)
    stated = seen(ridge())
    around = [seen(ridge(), *at) for at in ((0, 20), (20, 0), (0, -20), (-20, 0))]
    error = skyline_error_deg(stated, around)
    minutes = spot_minutes(stated, error)
    wish = WantedLight(direct_sun=True)
    windows = find_windows(
        minutes,
        conditions(minutes, wish, None),
        inside=np.ones(len(minutes.time), dtype=np.bool_),
        minimum_min=10.0,
    )
    first, plus_minus = int(windows.start[0]), float(windows.plus_minus_min[0])
    assert 3.0 <= plus_minus <= 60.0  # a figure that says something
    held = []
    for _ in range(60):
        east_m, north_m = rng.normal(scale=POSITION_ERROR_M / 2.4477, size=2)
        truth = seen(ridge(smooth_noise(rng)), east_m, north_m)
        real = spot_minutes(truth, None, lift_deg=rng.normal(scale=0.05))
        held.append(abs(int(np.flatnonzero(real.sunlit)[0]) - first) <= np.ceil(plus_minus))
    assert np.mean(held) >= 0.9


def test_an_edge_of_ground_is_slower_where_the_sun_runs_along_it() -> None:
    """The same error in degrees is more minutes where the skyline rises with the sun."""
    flat = flat_skyline()
    azimuth = flat.azimuth_deg
    level = replace(flat, altitude_deg=np.full(720, 12.0), cell_m=np.full(720, 10.0))
    slope = np.where(azimuth < 180.0, np.clip(0.6 * (azimuth - 90.0), 0.0, 60.0), 12.0)
    rising = replace(level, altitude_deg=slope)
    own = np.full(720, 0.5)
    taken = []
    for sky in (level, rising):
        minutes = spot_minutes(sky, own)
        windows = find_windows(
            minutes,
            conditions(minutes, WantedLight(direct_sun=True), None),
            inside=np.ones(1440, dtype=np.bool_),
            minimum_min=1.0,
        )
        taken.append(float(windows.plus_minus_min[0]))
    assert taken[1] > 1.5 * taken[0]
    assert skyline_altitude_deg(level, 120.0) == pytest.approx(12.0)
