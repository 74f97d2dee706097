"""How the ground runs behind a camera, on ground made for it, and what is said of it."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from pyproj import Transformer

from backbearing.plans.fartherback import _along, ground_words
from backbearing.records import Grid, Place

CELL_M = 5.0
EAST, NORTH = 400_000.0, 5_200_000.0
CRS = "EPSG:32627"


def made(
    height_at_east: Callable[[float], float], *, void_beyond: float = math.inf
) -> tuple[tuple[Grid, ...], Place]:
    """Ground that changes with the way east of its middle alone; and its middle."""
    away = (np.arange(81) - 40) * CELL_M
    row = np.array([height_at_east(x) for x in away], dtype=np.float32)
    row[away > void_beyond] = np.nan
    grid = Grid(
        height_m=np.tile(row, (81, 1)),
        x_first=EAST - 40 * CELL_M,
        y_first=NORTH + 40 * CELL_M,
        x_step=CELL_M,
        y_step=-CELL_M,
        crs=CRS,
        cell_m=CELL_M,
        vertical_error_m=1.0,
        ground="bare ground",
    )
    longitude, latitude = Transformer.from_crs(CRS, 4326, always_xy=True).transform(EAST, NORTH)
    return (grid,), Place(
        latitude_deg=latitude, longitude_deg=longitude, error_m=5.0, error_basis="given"
    )


def test_a_slope_rises_as_it_was_made() -> None:
    grids, place = made(lambda east: 100.0 + 0.2 * east)
    east = _along(grids, place, 90.0, 40.0)
    west = _along(grids, place, 270.0, 40.0)
    assert east is not None
    assert west is not None
    assert east.rise_m == pytest.approx(8.0, abs=0.1)  # grid north is not quite true north
    assert west.rise_m == pytest.approx(-8.0, abs=0.1)
    assert east.steepest_deg == pytest.approx(math.degrees(math.atan(0.2)), abs=0.3)
    assert east.drop_at_m is None
    assert west.drop_at_m is None


def test_an_edge_is_a_drop_only_down_and_where_it_lies() -> None:
    grids, place = made(lambda east: 100.0 if east <= 20.0 else 80.0)
    behind = _along(grids, place, 90.0, 40.0)
    assert behind is not None
    assert behind.drop_at_m == pytest.approx(20.0, abs=CELL_M)
    assert "a drop steeper than 45°" in ground_words(behind, 40.0)
    wall, place = made(lambda east: 100.0 if east <= 20.0 else 120.0)
    up = _along(wall, place, 90.0, 40.0)
    assert up is not None
    assert up.drop_at_m is None
    assert up.steepest_deg > 70.0


def test_no_drop_found_is_never_no_drop() -> None:
    grids, place = made(lambda east: 100.0 + 0.2 * east)
    behind = _along(grids, place, 90.0, 40.0)
    assert behind is not None
    words = ground_words(behind, 40.0)
    assert words == (
        "the ground rises 8 m ± 1 back to there, 11° at its steepest; no drop found in cells of "
        "5 m, which does not say there is none; the fit is counted over level ground"
    )


def test_where_the_data_end_is_said() -> None:
    grids, place = made(lambda _east: 100.0, void_beyond=20.0)
    behind = _along(grids, place, 90.0, 40.0)
    assert behind is not None
    assert behind.known_m == pytest.approx(20.0, abs=CELL_M)
    assert "beyond which it is not known" in ground_words(behind, 40.0)
    nothing, place = made(lambda _east: 100.0, void_beyond=-1.0)
    assert _along(nothing, place, 90.0, 40.0) is None
