"""The ground under a page's map: from rasters on record, the finest where it reaches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest
import rasterio
from numpy.typing import NDArray
from rasterio import Affine
from tests.writers.return_pages import window

from backbearing.models.sun import sun_position
from backbearing.notebook import Notebook, open_notebook
from backbearing.plans.relief import GroundPicture, ground_picture, round_interval_m
from backbearing.plans.terrain import add_terrain
from backbearing.records import LightWindow

WEST, NORTH = 492_000.0, 5_212_000.0  # of the coarse raster, UTM 27 N
SPOT = (47.0032, -21.0006)  # in the middle of it: 499 954, 5 205 520
ZONE = "Atlantic/Azores"
DAY = date(2026, 3, 14)


def write(
    path: Path, height_m: NDArray[np.float64], cell: float, west: float, north: float
) -> Path:
    profile = {
        "driver": "GTiff",
        "dtype": "float32",
        "count": 1,
        "crs": "EPSG:32627",
        "height": height_m.shape[0],
        "width": height_m.shape[1],
        "transform": Affine(cell, 0.0, west, 0.0, -cell, north),
        "nodata": -9999.0,
    }
    with rasterio.open(path, "w", **profile) as file:
        file.write(height_m.astype(np.float32), 1)
    return path


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "island.gpkg", create=True) as opened:
        yield opened


def put(notebook: Notebook, *paths: Path) -> None:
    report = add_terrain(notebook, paths, ground="bare ground")
    assert not report.refused


def drawn(notebook: Notebook, one: LightWindow | None = None) -> GroundPicture:
    picture, why = ground_picture(notebook, [SPOT], window=one, day=DAY, zone=ZONE)
    assert picture is not None, why
    return picture


def cone(cells: int = 440, cell: float = 30.0, top_m: float = 600.0) -> NDArray[np.float64]:
    """A cone of 1 in 4 whose top stands over SPOT's corner of the raster."""
    rows, columns = np.mgrid[0:cells, 0:cells]
    x = WEST + cell * (columns + 0.5) - 499_954.4
    y = NORTH - cell * (rows + 0.5) - 5_205_519.7
    height_m: NDArray[np.float64] = np.maximum(0.0, top_m - np.hypot(x, y) / 4.0)
    return height_m


def test_a_cone_comes_out_round_and_lit_from_the_north_west(
    notebook: Notebook, tmp_path: Path
) -> None:
    put(notebook, write(tmp_path / "cone.tif", cone(), 30.0, WEST, NORTH))
    picture = drawn(notebook)
    rows, columns = picture.shape
    middle = rows // 2, columns // 2
    away = int(600.0 / picture.cell_m)
    light = picture.light
    assert light[middle[0] - away, middle[1] - away] > 0.8 > 0.6
    assert light[middle[0] + away, middle[1] + away] < 0.6
    contour = next(c for c in picture.contours if c.height_m == 400.0)
    (line,) = contour.lines
    radius_m = np.hypot(*(line - (line.min(axis=0) + line.max(axis=0)) / 2).T) * picture.cell_m
    assert radius_m == pytest.approx(800.0, rel=0.03), "4 × 200 m from the top all round"
    assert all(c.height_m > 0.0 for c in picture.contours), "no line runs wild over the level sea"


def test_the_picture_lies_where_it_says(notebook: Notebook, tmp_path: Path) -> None:
    put(notebook, write(tmp_path / "cone.tif", cone(), 30.0, WEST, NORTH))
    picture = drawn(notebook)
    (line,) = next(c for c in picture.contours if c.height_m == 400.0).lines
    column, row = (line.min(axis=0) + line.max(axis=0)) / 2
    rows, columns = picture.shape
    north, south = (
        np.arctanh(np.sin(np.radians(x))) for x in (picture.north_deg, picture.south_deg)
    )
    latitude = np.degrees(np.arcsin(np.tanh(north + (south - north) * row / rows)))
    longitude = picture.west_deg + (picture.east_deg - picture.west_deg) * column / columns
    assert (latitude, longitude) == pytest.approx(SPOT, abs=2e-4), "within a cell, 20 m"


def test_the_finest_raster_rules_where_it_reaches(notebook: Notebook, tmp_path: Path) -> None:
    put(
        notebook,
        write(tmp_path / "flat.tif", np.full((440, 440), 50.0), 30.0, WEST, NORTH),
        write(
            tmp_path / "step.tif",
            np.where(np.arange(100) < 50, 0.0, 300.0) * np.ones((100, 1)),
            10.0,
            499_454.0,
            5_206_095.0,
        ),
    )
    picture = drawn(notebook)
    assert picture.rasters[0] == "step.tif"
    assert (picture.finest_m, picture.coarsest_m) == pytest.approx((10.0, 30.0), rel=0.01)
    rows, columns = picture.shape
    middle = picture.light[rows // 2 - 20 : rows // 2 + 20, columns // 2 - 3 : columns // 2 + 3]
    assert middle.max() - middle.min() > 0.2, "the step of the fine raster shows"
    assert np.ptp(picture.light[: rows // 6]) < 0.01, "the plain of the coarse one round it"


def test_shade_lies_away_from_the_sun_and_is_longest_when_it_is_low(
    notebook: Notebook, tmp_path: Path
) -> None:
    put(notebook, write(tmp_path / "cone.tif", cone(top_m=900.0) * 3.0, 30.0, WEST, NORTH))
    one = replace(
        window("arch", DAY),
        start=datetime(2026, 3, 14, 9, 10, tzinfo=UTC),
        best=datetime(2026, 3, 14, 9, 40, tzinfo=UTC),
        end=datetime(2026, 3, 14, 10, 40, tzinfo=UTC),
    )
    picture = drawn(notebook, one)
    assert [s.moment for s in picture.shades if s.moment] == ["light from", "best", "light to"]
    assert picture.shades[picture.shown].at == one.best
    times = [shade.at for shade in picture.shades]
    assert times == sorted(times)
    hours = [shade.at for shade in picture.shades if not shade.moment]
    assert all(at.minute == 0 for at in hours)
    assert all(abs((at - own).total_seconds()) > 600 for at in hours for own in (one.best, one.end))
    shares = [float((shade.dark == 2).mean()) for shade in picture.shades]
    altitudes = [shade.sun_altitude_deg for shade in picture.shades]
    assert np.argmin(shares) in np.argsort(altitudes)[-2:]
    best = picture.shades[picture.shown]
    sun = sun_position(np.array(["2026-03-14T09:40"], dtype="datetime64[ms]"), *SPOT)
    assert best.sun_azimuth_deg == pytest.approx(float(sun.azimuth_deg[0]), abs=0.05)
    rows, columns = np.nonzero(best.dark == 2)
    middle = (np.array(best.dark.shape) - 1) / 2
    east, north = columns.mean() - middle[1], middle[0] - rows.mean()
    turned = np.degrees(np.arctan2(east, north)) - best.sun_azimuth_deg
    assert abs((turned + 360.0) % 360.0 - 180.0) < 8.0, "the shade's middle lies opposite the sun"


def test_ground_outside_the_picture_shades_it(notebook: Notebook, tmp_path: Path) -> None:
    heights = np.zeros((440, 440))
    heights[:, 360:370] = 1_500.0  # a wall 3 km east of the spot, beyond the picture's edge
    put(notebook, write(tmp_path / "wall.tif", heights, 30.0, WEST, NORTH))
    early = replace(window("arch", DAY), best=datetime(2026, 3, 14, 9, 30, tzinfo=UTC))
    picture = drawn(notebook, early)
    assert picture.east_deg < -20.965, "the wall stands at 20.965° W"
    best = next(shade for shade in picture.shades if shade.moment == "best")
    assert best.dark[:, -20:].min() == 2


@pytest.mark.parametrize("latitude", [47.0, 84.5])
def test_without_terrain_it_says_why(notebook: Notebook, latitude: float) -> None:
    picture, why = ground_picture(notebook, [(latitude, 0.0)], window=None, day=DAY, zone="UTC")
    assert picture is None
    assert why


def test_a_raster_that_is_gone_or_far_away_is_said_to_be(
    notebook: Notebook, tmp_path: Path
) -> None:
    path = write(tmp_path / "cone.tif", cone(), 30.0, WEST, NORTH)
    put(notebook, path)
    far, why = ground_picture(notebook, [(10.0, 10.0)], window=None, day=DAY, zone="UTC")
    assert (far, why) == (None, "no terrain reaches here")
    path.unlink()
    gone, why = ground_picture(notebook, [SPOT], window=None, day=DAY, zone=ZONE)
    assert (gone, why) == (None, "the terrain on record is not there")


def test_intervals_are_round() -> None:
    given = (0.1, 5.0, 6.0, 12.0, 40.0, 60.0, 190.0)
    assert [round_interval_m(each) for each in given] == [5.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0]


def test_a_picture_is_kept_until_its_ground_changes(notebook: Notebook, tmp_path: Path) -> None:
    raster = write(tmp_path / "cone.tif", cone(), 30.0, WEST, NORTH)
    put(notebook, raster)
    first, again = drawn(notebook), drawn(notebook)
    assert again is not first
    assert np.array_equal(again.light, first.light, equal_nan=True)
    assert len(again.shades) == len(first.shades) > 0
    for one, other in zip(first.shades, again.shades, strict=True):
        assert (one.at, one.moment) == (other.at, other.moment)
        assert np.array_equal(one.dark, other.dark)
    write(tmp_path / "cone.tif", np.full((440, 440), 5.0), 30.0, WEST, NORTH)
    put(notebook, raster)
    assert not np.array_equal(drawn(notebook).light, first.light, equal_nan=True)
