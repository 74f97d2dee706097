"""Light on a subject under its own skyline: which way it faces, what stands before the sun."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from tests.readers.rasters import spot, write_tif

from backbearing.errors import BadInput
from backbearing.models.illuminance import illuminance, open_scene
from backbearing.models.sun import sun_position
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.plans.brightness import (
    brightness_of,
    moonlight_of,
    scene_of,
    subject_brightness,
)
from backbearing.plans.skyseen import SkySeen, sky_seen
from backbearing.plans.terrain import add_terrain
from backbearing.records import Bearing, CameraPosition, Place, Subject

HERE = spot(100, 100)
NOON = np.datetime64("2026-12-21T13:24")  # sun due south, 19.7° up, there
JUNE_NOON = np.datetime64("2026-06-21T13:24")
DAY = np.arange("2026-12-21", "2026-12-22", 10, dtype="datetime64[m]")


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "n.gpkg", create=True) as opened:
        yield opened


def wall_to_the_south(notebook: Notebook, folder: Path, tall_m: float = 300.0) -> None:
    """Level ground with a wall 500 m to the south of HERE: 30.8° up, where nothing else is."""
    ground = np.full((200, 200), 50.0, "float32")
    ground[150:] += tall_m
    add_terrain(notebook, [write_tif(folder / "wall.tif", ground)], ground="bare ground")


def put(
    notebook: Notebook, *, facing_deg: float | None = None, bearing_deg: float | None = None
) -> Subject:
    place = Place(
        latitude_deg=HERE[0], longitude_deg=HERE[1], height_m=50.0, error_m=5.0, error_basis="given"
    )
    with notebook.writing():
        subject = add_subject(notebook, Subject(name="arch", place=place, facing_deg=facing_deg))
        if bearing_deg is not None:
            bearing = Bearing(true_deg=bearing_deg, error_deg=2.0, as_written=f"{bearing_deg}T")
            add_camera_position(
                notebook, CameraPosition(place=place, bearing=bearing, subject_id=subject.id)
            )
    return subject


def seen(notebook: Notebook, subject: Subject, sky: str = "clear") -> SkySeen:
    scene = scene_of(notebook, subject)
    return sky_seen(scene.sky.skyline, scene.face, sky)


def test_on_a_plain_it_is_the_model_alone(notebook: Notebook) -> None:
    subject = put(notebook, facing_deg=180.0)
    found = subject_brightness(notebook, subject, NOON)
    sun = sun_position(NOON, *HERE, height_m=50.0)
    alone = illuminance(
        sun.altitude_deg,
        sun.azimuth_deg,
        disc_fraction=1.0,
        face_azimuth_deg=180.0,
        height_m=50.0,
    )
    assert found.light.total_lux == pytest.approx(float(alone.total_lux), rel=1e-4)
    assert found.sky_seen.face == pytest.approx(0.5)
    assert found.sky_seen.level == pytest.approx(1.0)
    assert any("flat horizon" in line for line in found.rests_on)


def test_behind_the_wall_there_is_no_sun_in_december_and_still_a_sky(
    notebook: Notebook, tmp_path: Path
) -> None:
    wall_to_the_south(notebook, tmp_path)
    scene = scene_of(notebook, put(notebook, facing_deg=180.0))
    december, june = (brightness_of(scene, when) for when in (NOON, JUNE_NOON))
    assert (december.disc_fraction, june.disc_fraction) == (0.0, 1.0)
    assert december.light.direct_lux == 0.0
    assert june.light.direct_lux > 0.0
    dome = float(open_scene(december.sun_altitude_deg).dome_lux)
    assert december.light.sky_lux == pytest.approx(december.sky_seen.face * dome)
    assert any(line.startswith("skyline from terrain") for line in december.rests_on)


def test_a_face_to_the_wall_sees_less_sky_than_its_back(notebook: Notebook, tmp_path: Path) -> None:
    """Half the dome less what the wall takes; of a long wall h high cos² h of half is left."""
    wall_to_the_south(notebook, tmp_path)
    subject = put(notebook, facing_deg=180.0)
    towards = seen(notebook, subject)
    away = seen(notebook, Subject(name="back", place=subject.place, facing_deg=0.0))
    assert away.face == pytest.approx(0.5, abs=0.01)
    assert 0.2 < towards.face < 0.4
    assert towards.level == away.level
    assert towards.face + towards.ground == pytest.approx(1.0)


def test_an_overcast_sky_is_seen_by_its_own_shares(notebook: Notebook) -> None:
    """An upright face on a plain gets 0.396 of the CIE overcast sky, and half its view is ground.

    3/14 + 4/(7π) = 0.3962, by integrating its brightness over the half before the face.
    """
    found = seen(notebook, put(notebook, facing_deg=90.0), "overcast")
    assert found.face == pytest.approx(3 / 14 + 4 / (7 * np.pi), abs=1e-5)
    assert found.ground == pytest.approx(0.5, abs=1e-6)


@pytest.mark.parametrize(
    ("facing_deg", "bearing_deg", "azimuth_deg", "basis"),
    [
        (70.0, 215.0, 70.0, "facing on record"),
        (None, 215.0, 35.0, "towards the camera"),
        (None, None, None, "not known"),
    ],
)
def test_which_way_it_faces_and_how_that_is_known(
    notebook: Notebook,
    facing_deg: float | None,
    bearing_deg: float | None,
    azimuth_deg: float | None,
    basis: str,
) -> None:
    subject = put(notebook, facing_deg=facing_deg, bearing_deg=bearing_deg)
    scene = scene_of(notebook, subject)
    assert (scene.face.azimuth_deg, scene.face.basis) == (azimuth_deg, basis)
    assert scene.face.words in brightness_of(scene, NOON).rests_on


def test_of_a_face_not_known_the_sun_is_taken_as_before_it(notebook: Notebook) -> None:
    scene = scene_of(notebook, put(notebook))
    unknown = brightness_of(scene, DAY)
    for facing_deg in (0.0, 120.0, 240.0):
        turned = Subject(name="x", place=scene.place, facing_deg=facing_deg)
        other = brightness_of(scene_of(notebook, turned), DAY)
        assert (unknown.light.direct_lux >= other.light.direct_lux - 1e-9).all()
    assert unknown.sky_seen.face == pytest.approx(0.5)


def test_the_edge_is_in_doubt_only_near_the_skyline(notebook: Notebook, tmp_path: Path) -> None:
    """A wall 20° up: at noon in June nothing is in doubt; as the sun crosses it, it is."""
    wall_to_the_south(notebook, tmp_path, tall_m=180.0)
    scene = scene_of(notebook, put(notebook, facing_deg=180.0))
    minutes = np.arange("2027-03-01T07", "2027-03-01T20", dtype="datetime64[m]")
    found = brightness_of(scene, minutes)
    changes = np.flatnonzero(np.diff(found.disc_fraction > 0.5))
    assert changes.size > 0
    assert found.sun_in_doubt[changes].all()
    assert found.sun_in_doubt.mean() < 0.5
    assert not brightness_of(scene, JUNE_NOON).sun_in_doubt


def test_a_brighter_ground_and_a_duller_sky(notebook: Notebook) -> None:
    scene = scene_of(notebook, put(notebook, facing_deg=0.0))
    grass, snow, dull = (
        brightness_of(scene, NOON, **kwargs).light.total_lux
        for kwargs in ({}, {"ground": "fresh snow"}, {"sky": "overcast"})
    )
    assert snow > grass > dull
    with pytest.raises(BadInput, match="no kind of sky"):
        brightness_of(scene, NOON, sky="foggy")
    with pytest.raises(BadInput, match="no kind of ground"):
        brightness_of(scene, NOON, ground="moss")


def test_the_moon_goes_behind_the_wall_as_the_sun_does(notebook: Notebook, tmp_path: Path) -> None:
    wall_to_the_south(notebook, tmp_path)
    scene = scene_of(notebook, put(notebook, facing_deg=180.0))
    nights = np.arange("2026-06-20", "2026-07-10", 10, dtype="datetime64[m]")
    found = moonlight_of(scene, nights)
    due_south = (np.abs(found.moon_azimuth_deg - 180.0) < 2.0) & (found.moon_altitude_deg > 1.0)
    low, high = (
        due_south & over
        for over in (found.moon_altitude_deg < 29.0, found.moon_altitude_deg > 33.0)
    )
    assert low.any()
    assert high.any()
    assert (found.disc_fraction[low] == 0.0).all()
    assert (found.light.direct_lux[low] == 0.0).all()
    assert (found.light.sky_lux[low] > 0.0).all()
    assert (found.disc_fraction[high] == 1.0).all()
    assert (found.light.direct_lux[high] > 0.0).all()


def test_at_night_it_says_that_only_stars_are_counted(notebook: Notebook) -> None:
    scene = scene_of(notebook, put(notebook, facing_deg=180.0))
    midnight = np.datetime64("2026-12-22T01:24")
    night, noon = brightness_of(scene, midnight), brightness_of(scene, NOON)
    assert night.light.doubt_stops == pytest.approx(1.5)
    assert any("stars and airglow" in line for line in night.rests_on)
    assert not any("stars and airglow" in line for line in noon.rests_on)
