"""Edges measured by hand, trees and water over made ground: closed forms, and times from skyfield.

The tangent of an edge's angle is height over distance; positions of the sun are skyfield's over
JPL's ephemeris, one second at a time.
"""

import math
import warnings
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import rasterio
from numpy.typing import NDArray
from rasterio.transform import Affine
from skyfield.api import Loader, wgs84
from skyfield_data import get_skyfield_data_path

from backbearing.models.sunlight import SEMIDIAMETER_AT_1_AU_DEG
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.subjects import add_subject
from backbearing.notebook.surroundings import add_reading, set_trees
from backbearing.plans.brightness import Scene, brightness_of, moonlight_of, scene_of
from backbearing.plans.horizon import SkylineAnswer, ask_skyline
from backbearing.plans.light.sky import Sky, skies_of
from backbearing.plans.terrain import add_terrain
from backbearing.records import Bearing, EdgeReading, Place, ReadingEffect, Subject, Trees

LATITUDE, LONGITUDE = 47.0, -21.0
EAST_M, NORTH_M = 500_000.0, 5_205_164.11  # the same place in UTM zone 27
CELL_M, EYE_M = 5.0, 1.5
NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)


def made_ground(folder: Path, *, slope: float = 0.0) -> Path:
    """Ground at 100 m around the spot, that falls to the south by a slope; 5 m cells."""
    path = folder / "made_ground.tif"
    north = NORTH_M + 2_000.0 - CELL_M * (np.arange(800) + 0.5)
    height = np.repeat((100.0 + slope * (north - NORTH_M))[:, None], 800, axis=1)
    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        width=800,
        height=800,
        count=1,
        dtype="float32",
        crs="EPSG:32627",
        transform=Affine(CELL_M, 0, EAST_M - 2_000.0, 0, -CELL_M, NORTH_M + 2_000.0),
    ) as raster:
        raster.write(height.astype(np.float32), 1)
    return path


def put(notebook: Notebook, **more: object) -> Subject:
    place = Place(latitude_deg=LATITUDE, longitude_deg=LONGITUDE, error_m=4.0, error_basis="given")
    with notebook.writing():
        return add_subject(notebook, Subject(name="pump wheel", place=place, **more))  # type: ignore[arg-type]


def read(
    notebook: Notebook, subject: Subject, effect: ReadingEffect, *at: tuple[float, float]
) -> None:
    with notebook.writing():
        for azimuth_deg, altitude_deg in at:
            reading = EdgeReading(
                azimuth=Bearing(true_deg=azimuth_deg, error_deg=1.0, as_written=f"{azimuth_deg}T"),
                altitude_deg=altitude_deg,
                altitude_error_deg=0.5,
                effect=effect,
                subject_id=subject.id,
            )
            add_reading(notebook, reading, subject.place)


def sky_of(notebook: Notebook, subject: Subject) -> Sky:
    (sky,) = skies_of(notebook, [subject.place], subjects=[subject])
    return sky


def asked(notebook: Notebook) -> SkylineAnswer:
    return ask_skyline(notebook, "pump wheel", days=["2026-03-10"], now=NOON)


@cache
def upper_limb() -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """The altitude of the upper limb of skyfield's sun in each second of a morning."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its table of Earth's turning is old: seconds at most
        load = Loader(get_skyfield_data_path(), verbose=False)
    ephemeris, timescale = load("de421.bsp"), load.timescale()
    observer = ephemeris["earth"] + wgs84.latlon(LATITUDE, LONGITUDE, elevation_m=100.0)
    seconds = np.arange(7 * 3600, 13 * 3600)
    times = timescale.utc(2026, 3, 10, 0, 0, seconds)
    seen = observer.at(times).observe(ephemeris["sun"]).apparent()
    altitude, _, distance = seen.altaz(temperature_C=10.0, pressure_mbar=1000.0)
    ephemeris.close()
    return seconds, altitude.degrees + SEMIDIAMETER_AT_1_AU_DEG / distance.au


def first_sun_over(altitude_deg: float) -> datetime:
    """When skyfield's sun shows its upper limb over a level edge that high, at one-second steps."""
    seconds, limb = upper_limb()
    first = int(seconds[np.flatnonzero(limb >= altitude_deg)[0]])
    return datetime(2026, 3, 10, first // 3600, first // 60 % 60, first % 60, tzinfo=UTC)


@pytest.mark.parametrize("with_terrain", [True, False])
def test_first_sun_over_a_measured_edge_is_skyfields(tmp_path: Path, with_terrain: bool) -> None:
    """A level edge of 14° all round the east: sun within seconds of skyfield's, inside its ±."""
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        subject = put(notebook)
        if with_terrain:
            add_terrain(notebook, [str(made_ground(tmp_path))], ground="bare ground")
        read(notebook, subject, "raises", *((azimuth, 14.0) for azimuth in range(80, 161, 10)))
        (day,) = asked(notebook).days
    first = day.appearances[0]
    assert abs((first.start - first_sun_over(14.0)).total_seconds()) < 20.0
    assert first.comes_over is not None
    assert first.comes_over.comes_from == "measured"
    # half a degree of clinometer, at the sun's climb of some 10° an hour
    assert first.start_plus_minus_min is not None
    assert 2.0 <= first.start_plus_minus_min <= 6.0


def test_a_clearing_sees_tree_tops_at_height_over_distance(tmp_path: Path) -> None:
    """tan(angle) = (tall - eye) / distance; the ring's cells begin up to a cell and a half late."""
    tall_m, beyond_m = 15.0, 60.0
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        subject = put(notebook)
        add_terrain(notebook, [str(made_ground(tmp_path))], ground="bare ground")
        with notebook.writing():
            set_trees(
                notebook,
                subject.id,
                Trees(tall_m=tall_m, beyond_m=beyond_m, leaf_months=(5, 6, 7, 8, 9, 10)),
            )
        sky = sky_of(notebook, subject)
        (day,) = asked(notebook).days
    highest = math.degrees(math.atan((tall_m - EYE_M) / beyond_m))
    lowest = math.degrees(math.atan((tall_m - EYE_M) / (beyond_m + 1.5 * CELL_M)))
    assert lowest - 0.02 <= sky.skyline.altitude_deg.min()
    assert sky.skyline.altitude_deg.max() <= highest + 0.02
    assert {sky.edge_from(index) for index in range(720)} == {"trees"}
    # in March the sun is free over the tops, and comes through branches from the bare horizon on
    first = day.appearances[0].start
    assert first_sun_over(lowest) <= first <= first_sun_over(highest)
    through = [when for when, is_so in zip(day.time, day.through_branches, strict=True) if is_so]
    assert abs((through[0] - first_sun_over(0.0)).total_seconds()) < 300.0  # drawn in 4 min steps


@pytest.mark.parametrize("reading_deg", [10.0, 20.0])
def test_the_nearer_of_a_wood_and_a_reading_is_not_lost(tmp_path: Path, reading_deg: float) -> None:
    """A reading raises tree-tops of 12.7° only where it is higher."""
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        subject = put(notebook)
        add_terrain(notebook, [str(made_ground(tmp_path))], ground="bare ground")
        with notebook.writing():
            set_trees(notebook, subject.id, Trees(tall_m=15.0, beyond_m=60.0, evergreen=True))
        wood = sky_of(notebook, subject).skyline.altitude_deg[360]
        read(notebook, subject, "raises", (180.0, reading_deg))
        sky = sky_of(notebook, subject)
    assert sky.skyline.altitude_deg[360] == pytest.approx(max(wood, reading_deg))
    assert sky.edge_from(360) == ("measured" if reading_deg > wood else "trees")


@pytest.mark.parametrize("error_m", [10.0, 40.0])
def test_at_the_water_the_eye_stands_on_the_lowest_ground_within_the_error(
    tmp_path: Path, error_m: float
) -> None:
    """On a plane falling southwards by 1 in 4 the lowest lies a quarter of the error lower."""
    slope = 0.25
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        subject = put(notebook, at_water=True)
        place = Place(
            latitude_deg=LATITUDE, longitude_deg=LONGITUDE, error_m=error_m, error_basis="given"
        )
        add_terrain(notebook, [str(made_ground(tmp_path, slope=slope))], ground="bare ground")
        (sky,) = skies_of(notebook, [place], subjects=[subject])
        (plain,) = skies_of(notebook, [place])
    assert sky.skyline.eye_height_m == pytest.approx(100.0 - error_m * slope + EYE_M, abs=0.05)
    assert plain.skyline.eye_height_m == pytest.approx(100.0 + EYE_M, abs=0.05)


def test_what_was_measured_holds_whatever_is_kept(tmp_path: Path) -> None:
    """A kept skyline never hides a reading taken later, nor trees."""
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        subject = put(notebook)
        add_terrain(notebook, [str(made_ground(tmp_path))], ground="bare ground")
        before = sky_of(notebook, subject).skyline
        read(notebook, subject, "replaces", (90.0, -3.0))
        after = sky_of(notebook, subject).skyline
        assert after.altitude_deg[180] == pytest.approx(-3.0)
        assert after.altitude_deg[360] == before.altitude_deg[360]
        with notebook.writing():
            set_trees(notebook, subject.id, Trees(tall_m=15.0, beyond_m=60.0, evergreen=True))
        assert sky_of(notebook, subject).skyline.altitude_deg[360] > 10.0
        with notebook.writing():
            set_trees(notebook, subject.id, None)
        assert sky_of(notebook, subject).skyline.altitude_deg[360] == before.altitude_deg[360]


def wooded(notebook: Notebook, folder: Path, **leaves: object) -> Scene:
    """A clearing of 60 m in a wood of 15 m on level ground, its face to the south."""
    subject = put(notebook)
    add_terrain(notebook, [str(made_ground(folder))], ground="bare ground")
    with notebook.writing():
        set_trees(notebook, subject.id, Trees(tall_m=15.0, beyond_m=60.0, **leaves))  # type: ignore[arg-type]
    return scene_of(notebook, replace(subject, facing_deg=180.0))


def test_the_sun_behind_trees_is_dimmed_by_the_stops_of_the_month(tmp_path: Path) -> None:
    """Bare, half in leaf, in leaf: 1½, 2½ and 4 stops (common practice, no source)."""
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        sky = wooded(notebook, tmp_path, leaf_months=(7,)).sky
    azimuth, altitude, away = np.array([180.0, 180.0]), np.array([6.0, 30.0]), np.ones(2)
    free, behind = sky.disc_free_and_behind(azimuth, altitude, away)
    assert (free.tolist(), behind.tolist()) == ([0.0, 1.0], [1.0, 0.0])
    times = np.array([f"2026-{month}-10T12:00" for month in ("03", "06", "07")], "datetime64[ms]")
    through, off = sky.let_through(times)
    assert through == pytest.approx([2.0**-1.5, 2.0**-2.5, 2.0**-4.0])
    assert off == pytest.approx([0.5, 1.0, 1.0])


@pytest.mark.parametrize(("month", "stops", "off"), [("12", 1.5, 0.5), ("07", 4.0, 1.0)])
def test_a_wood_dims_the_sky_behind_it_and_does_not_shut_it_out(
    tmp_path: Path, month: str, stops: float, off: float
) -> None:
    """Over tops h high all round cos² h of an even dome is free; of sin² h comes 2^-stops.

    Closed form of Dozier & Frew's 1990 integral for a level edge, the height of the tops read off
    the skyline, which is checked above.
    """
    noon = np.datetime64(f"2026-{month}-15T13:24")
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        scene = wooded(notebook, tmp_path, leaf_months=(5, 6, 7, 8, 9, 10))
    found = brightness_of(scene, noon)
    edge = np.radians(scene.sky.skyline.altitude_deg)
    free = float(np.mean(np.cos(edge) ** 2))
    assert float(found.sky_seen.level) == pytest.approx(free + (1.0 - free) / 2.0**stops, abs=2e-3)
    assert float(found.sky_seen.ground) == pytest.approx(0.5, abs=2e-3)  # trees are no ground
    assert any(
        f"{stops:g} ± {off:g} stops" in said and "no source" in said for said in found.rests_on
    )


def test_deep_in_a_wood_the_light_is_less_by_the_stops_of_the_trees(tmp_path: Path) -> None:
    """60 m tall from 2 m away on: nearly all light comes through them, so all of it is 4 ± 1 down.

    The figures of `canopy_stops` (common practice, no source), whatever the hour, sun in or out.
    """
    hours = np.arange("2027-05-11T08", "2027-05-11T19", dtype="datetime64[h]")
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        inside = wooded(notebook, tmp_path, evergreen=True)
        with notebook.writing():
            trees = Trees(tall_m=60.0, beyond_m=2.0, evergreen=True)
            set_trees(notebook, inside.subject.id, trees)
        deep = scene_of(notebook, inside.subject)
        with notebook.writing():
            set_trees(notebook, inside.subject.id, None)
        outside = scene_of(notebook, inside.subject)
    for sky in ("clear", "overcast"):
        here, there = (brightness_of(each, hours, sky=sky).light for each in (deep, outside))
        lost = np.log2(there.total_lux / here.total_lux)
        assert (lost > 3.0).all()
        assert (lost < 4.01).all()
        assert (here.doubt_stops > there.doubt_stops + 0.2).all()
        assert (here.doubt_stops < there.doubt_stops + 1.0).all()


def test_the_moon_behind_trees_is_dimmed_too(tmp_path: Path) -> None:
    nights = np.arange("2026-12-20", "2026-12-27", 30, dtype="datetime64[m]")
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        bare = wooded(notebook, tmp_path, leaf_months=())
    found = moonlight_of(bare, nights)
    behind = (found.moon_altitude_deg > 3.0) & (found.moon_altitude_deg < 9.0)
    over = found.moon_altitude_deg > 15.0
    assert behind.any()
    assert found.disc_fraction[behind] == pytest.approx(2.0**-1.5)
    assert found.disc_fraction[over] == pytest.approx(1.0)
