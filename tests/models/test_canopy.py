"""Trees on level ground: closed forms, and the two kinds of ground that are left alone."""

from dataclasses import replace

import numpy as np
import pytest

from backbearing.errors import BadInput
from backbearing.models.canopy import with_trees
from backbearing.models.skyline import skyline
from backbearing.records import Grid

LATITUDE, LONGITUDE = 47.0, -21.0


def plain(kind: str = "bare ground") -> Grid:
    cells = 401
    return Grid(
        height_m=np.full((cells, cells), 100.0, dtype=np.float32),
        x_first=500_000.0 - 5.0 * (cells - 1) / 2,
        y_first=5_205_174.0 + 5.0 * (cells - 1) / 2,
        x_step=5.0,
        y_step=-5.0,
        crs="EPSG:32627",
        cell_m=5.0,
        vertical_error_m=1.0,
        ground=kind,  # type: ignore[arg-type]
    )


@pytest.mark.parametrize(("tall_m", "beyond_m"), [(10.0, 30.0), (20.0, 60.0), (15.0, 200.0)])
def test_a_clearing_in_a_wood_is_a_ring_of_tree_tops(tall_m: float, beyond_m: float) -> None:
    """On a plain the edge is atan((tall − eye) / distance), within the width of a cell."""
    raised, count = with_trees([plain()], LATITUDE, LONGITUDE, tall_m=tall_m, beyond_m=beyond_m)
    assert count == 1
    seen = skyline(raised, LATITUDE, LONGITUDE, height_m=100.0, eye_height_m=1.5, reach_m=900.0)
    nearest, farthest = beyond_m, beyond_m + 2 * 5.0
    highest, lowest = (np.degrees(np.arctan((tall_m - 1.5) / d)) for d in (nearest, farthest))
    assert seen.altitude_deg.max() <= highest + 0.01
    assert seen.altitude_deg.min() >= lowest - 0.01
    assert seen.vertical_error_m is not None
    assert np.nanmin(seen.vertical_error_m) == pytest.approx(np.hypot(1.0, tall_m / 4.0))


@pytest.mark.parametrize("kind", ["surface", "not known"])
def test_trees_are_never_put_on_a_surface_or_on_ground_not_known(kind: str) -> None:
    grids, count = with_trees([plain(kind)], LATITUDE, LONGITUDE, tall_m=20.0, beyond_m=50.0)
    assert count == 0
    assert np.array_equal(grids[0].height_m, plain().height_m)


def test_a_spot_beyond_the_grid_has_trees_on_all_of_it() -> None:
    far = replace(plain(), x_first=520_000.0)
    grids, count = with_trees([far], LATITUDE, LONGITUDE, tall_m=20.0, beyond_m=50.0)
    assert count == 1
    assert (grids[0].height_m == 120.0).all()


def test_voids_stay_voids() -> None:
    holed = plain()
    holed.height_m[10:20, 10:20] = np.nan
    grids, _ = with_trees([holed], LATITUDE, LONGITUDE, tall_m=20.0, beyond_m=50.0)
    assert np.isnan(grids[0].height_m[10:20, 10:20]).all()


@pytest.mark.parametrize(("tall_m", "beyond_m"), [(0.0, 5.0), (-3.0, 5.0), (500.0, 5.0), (9.0, -1)])
def test_trees_that_cannot_be_are_refused(tall_m: float, beyond_m: float) -> None:
    with pytest.raises(BadInput):
        with_trees([plain()], LATITUDE, LONGITUDE, tall_m=tall_m, beyond_m=beyond_m)
