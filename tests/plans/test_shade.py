"""What stands behind a subject, and whether it is lit: a level field under a wall and a hill."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from numpy.typing import NDArray

from backbearing.models.sun import sun_position
from backbearing.plans.light.sky import FLAT
from backbearing.plans.shade import Behind, behind
from backbearing.records import Bearing, CameraPosition, Grid, Place, Subject

CELLS, CELL_M = 401, 10.0
LATITUDE, LONGITUDE = 47.0, -21.0


def ground(height_m: NDArray[np.float64]) -> Grid:
    """Ground whose middle cell stands at 47° N 21° W."""
    return Grid(
        height_m=height_m.astype(np.float32),
        x_first=-CELL_M * (CELLS - 1) / 2,
        y_first=CELL_M * (CELLS - 1) / 2,
        x_step=CELL_M,
        y_step=-CELL_M,
        crs="+proj=aeqd +lat_0=47 +lon_0=-21 +datum=WGS84",
        cell_m=CELL_M,
        vertical_error_m=1.0,
        ground="bare ground",
    )


def place(north_m: float = 0.0) -> Place:
    return Place(
        latitude_deg=LATITUDE + north_m / 111_150.0,
        longitude_deg=LONGITUDE,
        error_m=5.0,
        error_basis="given",
    )


SUBJECT = Subject(name="arch", place=place(100.0))  # the camera looks due north at it


def camera(**measured: float) -> CameraPosition:
    return CameraPosition(
        place=place(),
        bearing=Bearing(true_deg=0.0, error_deg=1.0, as_written="0T"),
        foot_deg=measured.get("foot_deg", 0.0),
        top_deg=measured.get("top_deg", 8.0),
    )


def to_the_north() -> NDArray[np.float64]:
    """How far north of the middle each cell lies, in metres."""
    rows, _ = np.mgrid[0:CELLS, 0:CELLS]
    north: NDArray[np.float64] = CELL_M * ((CELLS - 1) / 2 - rows)
    return north


def look(height_m: NDArray[np.float64], at: datetime, **measured: float) -> Behind:
    (found,) = behind(SUBJECT, camera(**measured), [at], sky=FLAT, grids=[ground(height_m)])
    return found


NOON = datetime(2026, 3, 20, 13, 31, tzinfo=UTC)  # the sun stands due south at 21° W


def test_a_hillside_facing_south_behind_it_is_in_the_noon_sun() -> None:
    north = to_the_north()
    hill = np.clip(north - 600.0, 0.0, None) * 0.5  # from 600 m on, 1 in 2
    found = look(hill, NOON)
    assert (found.subject_in_sun, found.lit_share, found.sky_share) == (True, 1.0, 0.0)
    # sight lines of 0 … 10.4° (a third over the top) meet it where 0.5 (d − 600) = d tan a + 1.5;
    # the middle one, 5.2°, at 737 m, 637 m behind the subject
    assert found.distance_m == pytest.approx(637.0, rel=0.03)
    assert found.sentence.startswith("Lit against sunlight: ground 6")


def test_the_shaded_foot_of_a_wall_sets_it_off() -> None:
    north = to_the_north()
    # a cliff of 500 m in the east stands between the hillside and a sun that is low there
    hill = np.clip(north - 600.0, 0.0, None) * 0.5
    _, columns = np.mgrid[0:CELLS, 0:CELLS]
    east = CELL_M * (columns - (CELLS - 1) / 2)
    shaded = hill + np.where((east > 250.0) & (north > 400.0), 500.0, 0.0)
    low = datetime(2026, 3, 20, 9, 30, tzinfo=UTC)
    sun = sun_position(
        np.array([low.replace(tzinfo=None)], dtype="datetime64[ms]"), LATITUDE, LONGITUDE
    )
    assert 100.0 < float(sun.azimuth_deg[0]) < 125.0
    found = look(shaded, low)
    assert found.subject_in_sun, "its own skyline, given as a plain, leaves it in sun"
    assert found.lit_share is not None
    assert found.lit_share < 0.2
    assert found.sentence.startswith("Lit against shade: ground ")
    assert look(hill, low).sentence.startswith("Lit against sunlight"), "without the cliff"


def test_before_sunrise_both_lie_in_shade() -> None:
    hill = np.clip(to_the_north() - 600.0, 0.0, None) * 0.5
    found = look(hill, datetime(2026, 3, 20, 6, 30, tzinfo=UTC))
    assert found.sentence.startswith("In shade against shade: ")


def test_over_a_plain_the_sky_stands_behind_what_is_tall() -> None:
    found = look(np.zeros((CELLS, CELLS)), NOON, foot_deg=1.0, top_deg=20.0)
    assert (found.lit_share, found.distance_m, found.sky_share) == (None, None, 1.0)
    assert found.sentence == "Lit, against the sky."


def test_ground_nearer_than_it_is_known_is_not_measured_out() -> None:
    hill = np.clip(to_the_north() - 110.0, 0.0, None) * 2.0
    assert "the ground close behind it" in look(hill, NOON).sentence


def test_what_is_not_known_is_not_said() -> None:
    standing = replace(camera(), bearing=None)
    here = replace(SUBJECT, place=standing.place)
    grids = [ground(np.zeros((CELLS, CELLS)))]
    assert behind(here, standing, [NOON], sky=FLAT, grids=grids) == (), "no line"
    assert behind(SUBJECT, camera(), [NOON], sky=FLAT, grids=[]) == (), "no ground"
    void = ground(np.full((CELLS, CELLS), np.nan))
    assert behind(SUBJECT, camera(), [NOON], sky=FLAT, grids=[void]) == (), "a void"
