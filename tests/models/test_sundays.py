"""First and last sun by days, seasons, and how sure they are."""

from dataclasses import replace

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings
from numpy.typing import NDArray

from backbearing.errors import BadInput
from backbearing.models.doubt import skyline_error_deg
from backbearing.models.skyline import skyline
from backbearing.models.sundays import seasons, sun_days
from backbearing.models.sunlight import flat_skyline, sunlit_spans
from backbearing.records import Grid, Skyline

HERE = (47.0, -21.0)
YEAR = np.arange("2026-01-01T01:00", "2027-01-02T01:00", 1440, dtype="datetime64[m]")


def ground(altitude_deg: NDArray[np.float64] | float) -> Skyline:
    flat = flat_skyline()
    level = np.broadcast_to(np.asarray(altitude_deg, dtype=float), flat.azimuth_deg.shape)
    return replace(flat, altitude_deg=level.copy())


AZIMUTH = flat_skyline().azimuth_deg
SOUTH_WALL = np.where((AZIMUTH > 60.0) & (AZIMUTH < 300.0), 40.0, 0.0)


def test_a_year_under_a_south_wall_has_a_season() -> None:
    """40° of ridge to the south: the noon sun clears it from late March to mid September."""
    year = sun_days(ground(40.0), *HERE, YEAR)
    ((first, last),) = seasons(year.reached, round_the_year=True)
    # declination at the edge: 40 − 0.27 − 43 = −3.3°, about 12 March and 1 October
    assert (YEAR[first] - np.datetime64("2026-03-12", "m")) / np.timedelta64(1, "D") == (
        pytest.approx(0.0, abs=2.0)
    )
    assert (YEAR[last] - np.datetime64("2026-10-01", "m")) / np.timedelta64(1, "D") == (
        pytest.approx(0.0, abs=2.0)
    )
    assert np.isnat(year.first[0])
    assert np.isnat(year.last[0])
    assert year.sun_min[0] == 0.0


def test_days_are_the_spans_of_the_whole_year_cut() -> None:
    land = ground(15.0 + 10.0 * np.sin(np.radians(5.0 * AZIMUTH)))
    year = sun_days(land, *HERE, YEAR[:60])
    whole = sunlit_spans(land, *HERE, YEAR[0], YEAR[59])
    assert year.spans.tolist() == whole.tolist()
    assert year.appearances.sum() == len(whole)
    assert year.appearances.max() > 1
    for day in range(59):
        own = year.spans[year.day == day]
        assert ((own >= YEAR[day]) & (own <= YEAR[day + 1])).all()
        if len(own):
            assert (year.first[day], year.last[day]) == (own[0, 0], own[-1, 1])


def test_the_midnight_sun_is_cut_at_midnight() -> None:
    days = np.arange("2026-06-20", "2026-06-25", dtype="datetime64[D]")
    found = sun_days(flat_skyline(), 80.0, 0.0, days, error_deg=np.full(720, 0.5))
    assert found.appearances.tolist() == [1] * 4
    assert found.sun_min.tolist() == [1440.0] * 4
    assert found.sure.all()
    assert (found.error_min == 0.0).all()


def test_no_error_stated_is_none_given() -> None:
    found = sun_days(flat_skyline(), *HERE, YEAR[:3])
    assert np.isnan(found.error_min).all()


def test_a_higher_doubt_is_more_minutes() -> None:
    land = ground(12.0)
    small, large = (
        sun_days(land, *HERE, YEAR[:10], error_deg=np.full(720, off)).error_min
        for off in (0.2, 1.0)
    )
    assert (large > small).all()
    # the winter sun climbs some 8 to 9° an hour over 12° of ridge at 47°N
    assert small.mean() == pytest.approx(0.2 / 0.12, rel=0.5)


def test_a_sun_that_only_grazes_is_not_sure() -> None:
    """The noon sun of 47°N climbs over 38° of ridge in the first week of March."""
    days = np.arange("2026-03-01", "2026-03-20", dtype="datetime64[D]")
    found = sun_days(ground(38.0), *HERE, days, error_deg=np.full(720, 0.5))
    assert (found.surely <= found.reached).all()
    assert (found.reached <= found.perhaps).all()
    assert found.perhaps.sum() > found.reached.sum() > found.surely.sum()
    unsure = found.spans[~found.sure]
    assert len(unsure)
    length = (unsure[:, 1] - unsure[:, 0]).astype(np.int64) / 60_000.0
    assert (found.error_min[~found.sure].max(axis=1) >= length - 0.01).all()


@settings(max_examples=15, derandomize=True)
@given(seed=st.integers(0, 999), off=st.floats(0.05, 3.0))
def test_every_skyline_within_the_error_keeps_within_the_minutes(seed: int, off: float) -> None:
    """All raised or lowered alike by no more than the error: first and last sun stay in."""
    rng = np.random.default_rng(seed)
    rough = 12.0 + 8.0 * np.sin(np.radians(AZIMUTH * rng.integers(1, 6)) + rng.uniform(0.0, 6.0))
    days = YEAR[80:84]
    stated = sun_days(ground(rough), *HERE, days, error_deg=np.full(720, off))
    shifted = sun_days(ground(rough + rng.uniform(-off, off)), *HERE, days)
    for day in range(3):
        if not (stated.surely[day] and shifted.reached[day]):
            continue
        own = np.flatnonzero(stated.day == day)
        moved = (shifted.first[day] - stated.first[day]).astype(np.int64) / 60_000.0
        later = np.flatnonzero(stated.sure[own])[0]
        # by the first that surely comes, at the latest
        until = stated.spans[own[later], 0] - stated.spans[own[0], 0]
        assert moved <= until.astype(np.int64) / 60_000.0 + stated.error_min[own[later], 0] + 0.01
        if stated.appearances[day] == 1 and shifted.appearances[day] == 1:
            assert -moved <= stated.error_min[own[0], 0] + 0.01


@pytest.mark.parametrize(
    ("days", "plain", "round_the_year"),
    [
        ("0011100", [(2, 4)], [(2, 4)]),
        ("1100011", [(0, 1), (5, 6)], [(5, 1)]),
        ("1101011", [(0, 1), (3, 3), (5, 6)], [(3, 3), (5, 1)]),
        ("1111111", [(0, 6)], [(0, 6)]),
        ("0000000", [], []),
        ("1", [(0, 0)], [(0, 0)]),
    ],
)
def test_seasons(
    days: str, plain: list[tuple[int, int]], round_the_year: list[tuple[int, int]]
) -> None:
    reached = np.array([day == "1" for day in days])
    assert seasons(reached) == plain
    assert seasons(reached, round_the_year=True) == round_the_year


def test_bad_days_are_refused() -> None:
    with pytest.raises(BadInput, match="two instants"):
        sun_days(flat_skyline(), *HERE, YEAR[:1])
    with pytest.raises(BadInput, match="each after the last"):
        sun_days(flat_skyline(), *HERE, YEAR[:3][::-1])
    with pytest.raises(BadInput, match="each azimuth"):
        sun_days(flat_skyline(), *HERE, YEAR[:3], error_deg=np.zeros(3))


# ---------------------------------------------------------------- the stated minutes are honest

CELL_M, VERTICAL_ERROR_M, POSITION_ERROR_M = 30.0, 8.0, 20.0
EAST_M, NORTH_M = 500_000.0, 5_205_164.6  # 47°N 21°W in UTM zone 27


def grid(height_m: NDArray[np.float64], cell_m: float) -> Grid:
    rows, columns = height_m.shape
    return Grid(
        height_m=height_m.astype(np.float32),
        x_first=EAST_M - cell_m * (columns - 1) / 2,
        y_first=NORTH_M + cell_m * (rows - 1) / 2,
        x_step=cell_m,
        y_step=-cell_m,
        crs="EPSG:32627",
        cell_m=cell_m,
        vertical_error_m=VERTICAL_ERROR_M,
        ground="bare ground",
    )


def corrie(rng: np.random.Generator, cells: int = 450, cell_m: float = 10.0) -> NDArray[np.float64]:
    """Rough ground with a bowl in the middle: spectrum k⁻², 600 m of relief."""
    k = np.hypot(*np.meshgrid(np.fft.fftfreq(cells), np.fft.fftfreq(cells)))
    k[0, 0] = 1.0
    rough = np.fft.ifft2(np.exp(2j * np.pi * rng.random((cells, cells))) * k**-2.0).real
    rough *= 300.0 / (rough.max() - rough.min())
    y, x = np.mgrid[:cells, :cells] - (cells - 1) / 2
    out = np.hypot(x, y) * cell_m
    return rough * np.clip(out / 500.0, 0.2, 1.0) + 300.0 / (1.0 + np.exp(-(out - 700.0) / 120.0))


def smooth_noise(rng: np.random.Generator, cells: int, over: float) -> NDArray[np.float64]:
    k = np.hypot(*np.meshgrid(np.fft.fftfreq(cells), np.fft.fftfreq(cells)))
    raw = np.fft.ifft2(np.fft.fft2(rng.normal(size=(cells, cells))) * np.exp(-((k * over) ** 2)))
    return raw.real / raw.real.std() * VERTICAL_ERROR_M / 1.96


def seen(ground_m: Grid, east_m: float = 0.0, north_m: float = 0.0) -> Skyline:
    latitude = HERE[0] + north_m / 111_170.0
    longitude = HERE[1] + east_m / (111_320.0 * np.cos(np.radians(HERE[0])))
    return skyline([ground_m], latitude, longitude, reach_m=3_000.0, step_deg=1.0)


def test_the_stated_minutes_hold_first_sun_nine_times_in_ten() -> None:
    """The truth is on 10 m cells; what is on record are its 30 m means, off by what is stated,
    seen from a position off by its error, through air that varies."""
    rng = np.random.default_rng(8)
    days = np.arange("2026-03-08T01:00", "2026-03-10T01:00", 1440, dtype="datetime64[m]")
    held, widths = [], []
    for _ in range(40):
        true_m = corrie(rng)
        means = true_m.reshape(150, 3, 150, 3).mean(axis=(1, 3))
        recorded = grid(means + smooth_noise(rng, 150, 3.0), CELL_M)
        here = seen(recorded)
        beside = ((0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0))
        around = [seen(recorded, e * POSITION_ERROR_M, n * POSITION_ERROR_M) for e, n in beside]
        stated = sun_days(here, *HERE, days, error_deg=skyline_error_deg(here, around))
        off = rng.normal(scale=POSITION_ERROR_M / 2.4477, size=2)
        truth = seen(grid(true_m, 10.0), *off.tolist())
        # refraction of a tenth more or less, 95 %: temperature and pressure of a season
        air = 1.0 + rng.normal(scale=0.05)
        lifted = 0.16 * (air - 1.0)
        real = sun_days(replace(truth, altitude_deg=truth.altitude_deg - lifted), *HERE, days)
        if not (stated.reached[0] and real.reached[0]):
            held.append(bool(stated.perhaps[0] == real.reached[0] or not stated.surely[0]))
            continue
        moved = (real.first[0] - stated.first[0]).astype(np.int64) / 60_000.0
        # an appearance that is not sure leaves first sun to the next that is
        sure = np.flatnonzero(stated.sure)
        by = sure[0] if len(sure) else len(stated.sure) - 1
        latest = (stated.spans[by, 0] - stated.first[0]).astype(np.int64) / 60_000.0
        held.append(bool(-stated.error_min[0, 0] <= moved <= latest + stated.error_min[by, 0]))
        widths.append(float(stated.error_min[0, 0]))
    assert np.mean(held) >= 0.9
    assert len(widths) > 30
    assert 2.0 < np.median(widths) < 60.0  # figures that say something
