"""Exposures through a day: over ground, in light that goes, and the latest minute under a limit."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from tests.readers.rasters import spot, write_tif

from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.plans.brightness import scene_of
from backbearing.plans.expose.course import MOST_STOPS, Course, course_of
from backbearing.plans.expose.seconds import Setup, setup
from backbearing.plans.terrain import add_terrain
from backbearing.records import Batch, Bearing, CameraPosition, Place, Subject

HERE = spot(100, 100)
DAY = np.arange("2026-12-21", "2026-12-22T06", dtype="datetime64[m]")
NOON = datetime(2026, 12, 21, 13, 24, tzinfo=UTC)  # sun due south, 19.7° up, there
SUNSET = datetime(2026, 12, 21, 17, 40, tzinfo=UTC)
PLATES = Batch(name="plates", emulsion="ordinary", speed_iso=2.0, reciprocity_p=0.9)


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "n.gpkg", create=True) as opened:
        yield opened


def course(notebook: Notebook, name: str = "arch", error_m: float = 5.0) -> Course:
    place = Place(
        latitude_deg=HERE[0],
        longitude_deg=HERE[1],
        height_m=50.0,
        error_m=error_m,
        error_basis="given",
    )
    with notebook.writing():
        subject = add_subject(notebook, Subject(name=name, place=place, facing_deg=180.0))
    return course_of(scene_of(notebook, subject), DAY, sky="clear", ground="grass")


@pytest.fixture
def way() -> Setup:
    return setup(PLATES, 16.0)


def test_a_wall_before_the_sun_asks_for_longer(
    notebook: Notebook, tmp_path: Path, way: Setup
) -> None:
    """Two notebooks, one with a wall 500 m to the south, 30.8° up: the sun at 19.7° is behind it.

    What is left is the sky, so the plate that sees blue alone is faster there than in sun, and
    yet the exposure longer.
    """
    plain = course(notebook)
    ground = np.full((200, 200), 50.0, "float32")
    ground[150:] += 300.0
    with open_notebook(tmp_path / "walled.gpkg", create=True) as walled:
        add_terrain(walled, [write_tif(tmp_path / "wall.tif", ground)], ground="bare ground")
        shaded = course(walled)
    i = plain.at(NOON)
    assert plain.sun_share[i] > 0.5
    assert shaded.sun_share[i] == 0.0
    assert shaded.colour(way, i) > plain.colour(way, i) + 0.5
    open_s, shade_s = (each.seconds(way, i)[0] for each in (plain, shaded))
    assert open_s is not None
    assert shade_s is not None
    assert shade_s.exact_s > 2.0 * open_s.exact_s


def test_the_answer_gives_the_plate_what_it_needs(notebook: Notebook, way: Setup) -> None:
    """Through dusk: light counted second by second against what was promised."""
    through = course(notebook)
    start = through.at(SUNSET)
    minutes = np.arange(DAY.size, dtype=float)
    seen = 0
    for i in range(start - 20, start + 40, 5):
        found, altered = through.seconds(way, i)
        if found is None:
            continue
        seconds = np.arange(0.0, found.exact_s, 0.5)
        lux = 2.0**through.ev100
        mean = float(np.interp(i + seconds / 60.0, minutes, lux).mean())
        needed = way.needed(math.log2(mean), through.colour(way, i))
        assert found.exact_s == pytest.approx(needed, rel=0.01)
        assert altered >= 0.0 or i < start
        seen += 1
    assert seen > 5


@pytest.mark.parametrize("limit_s", [5.0, 30.0, 120.0, 600.0])
def test_the_latest_minute_is_that_found_by_trying_them_all(
    notebook: Notebook, way: Setup, limit_s: float
) -> None:
    """Every minute to the end of the day is tried alone; the change of light is in each."""
    through = course(notebook)
    i = through.at(NOON)
    within = []
    for j in range(i, through.time.size):
        found, _ = through.seconds(way, j)
        within.append(found is not None and found.exact_s <= limit_s)
    by_force = i + within.index(False) - 1 if within[0] else None
    latest, surely = through.last_within(way, i, limit_s)
    assert latest == by_force
    assert surely is None or by_force is None or surely < by_force
    if latest is None:
        return
    # as the light goes, a minute that only seems within the limit is not
    steady = [j for j in range(i, through.time.size) if _steady_s(through, way, j) <= limit_s]
    assert latest <= max(j for j in steady if j < i + 600)


def _steady_s(through: Course, way: Setup, j: int) -> float:
    return way.needed(float(through.ev100[j]), through.colour(way, j))


def test_the_range_spans_sun_and_shade_where_the_skyline_leaves_that_open(
    notebook: Notebook, tmp_path: Path, way: Setup
) -> None:
    """The wall's edge cuts the sun's way: for some minutes its error covers the whole disc.

    There the slow end is no sooner than the seconds in shade, the quick end no later than in sun.
    """
    ground = np.full((200, 200), 50.0, "float32")
    ground[150:] += 150.0
    add_terrain(notebook, [write_tif(tmp_path / "wall.tif", ground)], ground="bare ground")
    through = course(notebook, error_m=60.0)
    light = through.light
    in_doubt = np.flatnonzero(light.sun_in_doubt & (light.sun_altitude_deg > 5.0))
    lit = [int(i) for i in in_doubt if light.disc_fraction[i] == 1.0]
    dark = [int(i) for i in in_doubt if light.disc_fraction[i] == 0.0]
    assert lit
    assert dark
    for there, other in ((lit, dark), (dark, lit)):
        i = there[0]
        near = min(other, key=lambda j: abs(j - i))
        shown, told = through.seconds(way, i)[0], through.seconds(way, near)[0]
        assert shown is not None
        assert told is not None
        assert shown.least_s < told.exact_s < shown.most_s


def test_the_range_of_a_face_whose_facing_nobody_took_spans_sun_and_its_own_shade(
    notebook: Notebook, way: Setup
) -> None:
    """Seen from the camera it is 60° off the sun's way and in its shade, or 45° nearer and lit."""
    place = Place(
        latitude_deg=HERE[0], longitude_deg=HERE[1], height_m=50.0, error_m=5.0, error_basis="given"
    )
    ranges = {}
    for name, facing_deg in (("taken", 285.0), ("not taken", None)):
        with notebook.writing():
            subject = add_subject(notebook, Subject(name=name, place=place, facing_deg=facing_deg))
            add_camera_position(
                notebook,
                CameraPosition(
                    subject_id=subject.id,
                    name="main",
                    place=place,
                    bearing=Bearing(true_deg=105.0, error_deg=2.0, as_written="105T"),
                ),
            )
        through = course_of(scene_of(notebook, subject), DAY, sky="clear", ground="grass")
        shown, _ = through.seconds(way, through.at(NOON))
        assert shown is not None
        ranges[name] = shown
    assert ranges["taken"].exact_s == pytest.approx(ranges["not taken"].exact_s)
    assert ranges["taken"].most_s == pytest.approx(ranges["not taken"].most_s, rel=0.05)
    assert math.log2(ranges["taken"].least_s / ranges["not taken"].least_s) > 1.0


def test_the_change_of_light_brings_the_latest_minute_forward(
    notebook: Notebook, way: Setup
) -> None:
    """10 minutes at dusk: the light falls by a stop meanwhile, so it must start sooner."""
    through = course(notebook)
    i = through.at(NOON)
    latest, _ = through.last_within(way, i, 600.0)
    assert latest is not None
    assert _steady_s(through, way, latest + 1) < 600.0


@pytest.mark.parametrize("later", [False, True])
def test_where_light_changes_too_much_the_nearest_start_that_does_is_found(
    notebook: Notebook, way: Setup, later: bool
) -> None:
    through = course(notebook)
    i = through.at(datetime(2026, 12, 21, 6 if later else 20, 0, tzinfo=UTC))
    found, altered = through.seconds(way, i)
    assert found is None
    assert altered < -MOST_STOPS if later else altered > MOST_STOPS
    j = through.nearest_begin(way, i, later=later)
    assert j is not None
    assert through.seconds(way, j)[0] is not None
    between = range(i + 1, j) if later else range(j + 1, i)
    assert len(between) > 10
    assert all(through.seconds(way, k)[0] is None for k in between)
