"""Sight all round beside gdal_viewshed of GDAL 3.6.2, on made ground.

Kept outputs, the command and its conventions: tests/outside/authorities/make_gdal_viewshed.py.
Curvature there is a coefficient c that lowers the ground by c d² / 2R; ours is 1 − k.

gdal_viewshed carries the line of sight from cell to cell through the two cells before each; ours
takes the nearest ray over the bilinear ground. Next to the eye, and just behind an edge, they
differ by what the ground does within a cell, so cells nearer than five are left out and heights
are compared by their median.
"""

from __future__ import annotations

import numpy as np
import pytest
from tests.outside.authorities.make_gdal_viewshed import (
    CELLS,
    EYE,
    EYE_HEIGHT_M,
    GROUNDS,
    HERE,
    made_ground,
)

from backbearing.models.sightfield import seen_round

ROW, COLUMN = (each.ravel().astype(float) for each in np.mgrid[0:CELLS, 0:CELLS])
FAR = np.hypot(ROW - EYE[0], COLUMN - EYE[1]) > 5.0
HIGHEST_M = 600.0


def needed_m(name: str, refraction_k: float) -> np.ndarray:
    """How high a thing must stand in each cell to be seen, by halving."""
    low, high = np.zeros(ROW.size), np.full(ROW.size, HIGHEST_M)

    def seen(height_m: np.ndarray | float) -> np.ndarray:
        return seen_round(
            made_ground(name),
            GROUNDS[name][0],
            EYE,
            ROW,
            COLUMN,
            eye_height_m=EYE_HEIGHT_M,
            target_height_m=height_m,  # type: ignore[arg-type] # one for each target
            refraction_k=refraction_k,
        )

    on_the_ground = seen(0.0)
    for _ in range(14):
        middle = (low + high) / 2.0
        there = seen(middle)
        low, high = np.where(there, low, middle), np.where(there, middle, high)
    return np.where(on_the_ground, 0.0, high)


@pytest.mark.parametrize(("name", "agree", "median_m"), [("near", 0.95, 0.5), ("far", 0.93, 2.0)])
def test_what_is_seen_and_how_high_it_must_stand(name: str, agree: float, median_m: float) -> None:
    theirs = np.loadtxt(HERE / f"gdal_viewshed_{name}.csv", delimiter=",").ravel()
    ours = needed_m(name, 1.0 - GROUNDS[name][1])
    assert ((theirs == 0.0) == (ours == 0.0))[FAR].mean() >= agree
    hidden = FAR & (theirs > 0.0) & (ours > 0.0)
    assert hidden.sum() > 3_000
    assert abs(np.median((ours - theirs)[hidden])) < median_m


def test_the_curve_is_counted_as_they_count_it() -> None:
    """Over ground of 400 m cells it takes 34 m at the far corner; without it all stands too low."""
    theirs = np.loadtxt(HERE / "gdal_viewshed_far.csv", delimiter=",").ravel()
    flat = needed_m("far", 1.0)
    hidden = FAR & (theirs > 0.0) & (flat > 0.0)
    assert np.median((flat - theirs)[hidden]) < -10.0
