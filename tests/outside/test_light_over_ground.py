"""Light over the ground: with terrain on record the skyline decides, without it that is said."""

import warnings
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine
from skyfield.api import Loader, wgs84
from skyfield_data import get_skyfield_data_path

from backbearing.models.sunlight import SEMIDIAMETER_AT_1_AU_DEG
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.subjects import add_subject
from backbearing.plans.light import FLAT_HORIZON, LightAnswer, best_light
from backbearing.plans.terrain import add_terrain
from backbearing.records import Place, Subject, WantedLight

LATITUDE, LONGITUDE = 47.0, -21.0
EAST_M, NORTH_M = 500_000.0, 5_205_164.6  # the same place in UTM zone 27
DAY = date(2026, 3, 10)
WALL_M, WALL_AWAY_M = 101.5, 400.0  # over the foot of the spot, straight to the east


def walled_plain(folder: Path) -> Path:
    """A plain at 100 m with a long straight wall to the east, 10 m cells."""
    path = folder / "walled_plain.tif"
    x = EAST_M - 2_000.0 + 10.0 * (np.arange(400) + 0.5)
    height = np.where(x >= EAST_M + WALL_AWAY_M, 100.0 + WALL_M, 100.0)
    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        width=400,
        height=400,
        count=1,
        dtype="float32",
        crs="EPSG:32627",
        transform=Affine(10.0, 0.0, EAST_M - 2_000.0, 0.0, -10.0, NORTH_M + 2_000.0),
    ) as raster:
        raster.write(np.tile(height.astype(np.float32), (400, 1)), 1)
    return path


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "n.gpkg", create=True) as opened:
        place = Place(
            latitude_deg=LATITUDE, longitude_deg=LONGITUDE, error_m=5.0, error_basis="given"
        )
        wanted = WantedLight(direct_sun=True)
        with opened.writing():
            add_subject(opened, Subject(name="sluice", place=place, wanted=wanted))
        yield opened


def asked(notebook: Notebook) -> LightAnswer:
    return best_light(notebook, ["sluice"], start=DAY, end=DAY)


def first_sun_by_brute_force() -> datetime:
    """The first second at which the upper limb stands over the wall, by skyfield and DE421.

    The wall's top seen in azimuth a is atan(h cos(a − 90°) / d); Saemundsson's refraction
    (1986), as everywhere here.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its Earth-rotation file has expired; UT1 is taken as UTC
        load = Loader(get_skyfield_data_path())
    planets = load("de421.bsp")
    seconds = np.arange(9 * 3600, 12 * 3600)
    times = load.timescale(builtin=True).ut1(DAY.year, DAY.month, DAY.day, 0, 0, seconds)
    spot = planets["earth"] + wgs84.latlon(LATITUDE, LONGITUDE, elevation_m=100.0)
    altitude, azimuth, distance = spot.at(times).observe(planets["sun"]).apparent().altaz()
    up = altitude.degrees + 1.02 / np.tan(
        np.radians(altitude.degrees + 10.3 / (altitude.degrees + 5.11))
    ) / 60.0 * (1001.0 / 1010.0) * (283.0 / 287.4)
    planets.close()
    limb = up + SEMIDIAMETER_AT_1_AU_DEG / distance.au
    rise = (WALL_M - 1.5) * np.cos(np.radians(azimuth.degrees - 90.0)) / WALL_AWAY_M
    over = limb >= np.degrees(np.arctan(rise))
    second = int(seconds[np.argmax(over)])
    return datetime(DAY.year, DAY.month, DAY.day, second // 3600, second // 60 % 60, tzinfo=UTC)


def test_without_terrain_a_flat_horizon_is_assumed_and_said(notebook: Notebook) -> None:
    answer = asked(notebook)
    assert FLAT_HORIZON in answer.assumptions
    assert "at first sun," in answer.windows[0].why


def test_over_a_wall_first_sun_is_that_of_brute_force(notebook: Notebook, tmp_path: Path) -> None:
    flat = asked(notebook).windows[0]
    add_terrain(notebook, [walled_plain(tmp_path)], ground="bare ground")
    answer = asked(notebook)
    walled = answer.windows[0]
    assert (walled.start - flat.start).total_seconds() / 60.0 > 60.0
    # the stated second is rounded inwards to a whole minute, and the wall's edge lies in a cell
    off_min = (walled.start - first_sun_by_brute_force()).total_seconds() / 60.0
    assert abs(off_min) <= walled.plus_minus_min
    assert abs(off_min) <= 3.0
    assert abs((walled.end - flat.end).total_seconds()) <= 300.0  # nothing stands to the west


def test_what_blocks_and_what_it_rests_on_are_said(notebook: Notebook, tmp_path: Path) -> None:
    add_terrain(notebook, [walled_plain(tmp_path)], ground="bare ground")
    answer = asked(notebook)
    assert FLAT_HORIZON not in answer.assumptions
    assert any(line.startswith("skyline from terrain of 10 m cells") for line in answer.assumptions)
    (window,) = answer.windows
    assert "at first sun over ground 4" in window.why  # some 400 m, along the line of sight
    assert any("terrain of 10 m cells" in line for line in window.rests_on)
    assert window.plus_minus_min >= 2.0  # 5 m of height at 400 m, and 5 m of position


def test_the_answer_stands_when_the_raster_is_gone(notebook: Notebook, tmp_path: Path) -> None:
    path = walled_plain(tmp_path)
    add_terrain(notebook, [path], ground="bare ground")
    before = asked(notebook).windows
    path.unlink()
    assert asked(notebook).windows == before


def test_a_spot_beyond_the_terrain_falls_back_and_says_so(
    notebook: Notebook, tmp_path: Path
) -> None:
    add_terrain(notebook, [walled_plain(tmp_path)], ground="bare ground")
    far = Place(latitude_deg=52.0, longitude_deg=-1.0, error_m=5.0, error_basis="given")
    with notebook.writing():
        add_subject(notebook, Subject(name="kiln", place=far, wanted=WantedLight(direct_sun=True)))
    answer = best_light(notebook, [], start=DAY, end=DAY)
    assert any(line.startswith(FLAT_HORIZON) and "kiln" in line for line in answer.assumptions)
    assert any("no terrain on record reaches the spot" in line for line in answer.assumptions)
