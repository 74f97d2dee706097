"""Cells of ground: steepness, lines marked in them, and a way cut where its kind changes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.models.walkground import (
    cells_along,
    cut_at_changes,
    mark_line,
    nearest_open,
    steepness_deg,
)


def test_steepness_of_a_plane_and_of_a_step() -> None:
    row, column = np.mgrid[0:20, 0:30].astype(float)
    plane = steepness_deg(row * 14.0 * 0.5 + column * 10.0 * 0.2, 10.0, 14.0)
    assert plane == pytest.approx(np.degrees(np.arctan(0.5)))
    step = np.zeros((20, 30))
    step[:, 15:] = 10.0
    found = steepness_deg(step, 10.0, 14.0)
    assert found[:, [14, 15]] == pytest.approx(45.0)
    assert found[:, :14].max() == 0.0
    step[3, 3] = np.nan
    assert np.isfinite(steepness_deg(step, 10.0, 14.0)).all()


@given(st.lists(st.tuples(st.floats(-5, 25), st.floats(-5, 25)), min_size=2, max_size=8))
def test_points_along_a_line_lie_close_and_on_it(corners: list[tuple[float, float]]) -> None:
    row, column = np.array(corners).T
    rows, columns = cells_along(row, column)
    assert (rows[0], columns[0]) == (row[0], column[0])
    assert (rows[-1], columns[-1]) == (row[-1], column[-1])
    assert np.hypot(np.diff(rows), np.diff(columns)).max() <= 0.5 + 1e-9
    mask = np.zeros((20, 20), dtype=bool)
    mark_line(mask, row, column, reach=1.0)
    for r, c in zip(np.rint(rows).astype(int), np.rint(columns).astype(int), strict=True):
        if 0 <= r < 20 and 0 <= c < 20:
            assert mask[r, c]


def test_the_nearest_open_cell() -> None:
    closed = np.ones((9, 9), dtype=bool)
    assert nearest_open(closed, (4, 4), within=3) is None
    closed[6, 4] = closed[0, 0] = False
    assert nearest_open(closed, (4, 4), within=3) == (6, 4)
    assert nearest_open(closed, (6, 4), within=3) == (6, 4)
    assert nearest_open(closed, (4, 4), within=1) is None


def test_a_way_is_cut_where_its_kind_changes_for_good() -> None:
    kind = np.array([1] * 30 + [0] * 2 + [1] * 20 + [0] * 40)
    at_m = np.arange(len(kind)) * 10.0
    assert cut_at_changes(kind, at_m, shortest_m=100.0) == [0, 52]
    assert cut_at_changes(np.ones(5, dtype=int), at_m[:5], shortest_m=100.0) == [0]
    short_first = np.array([0] * 3 + [1] * 50)
    assert cut_at_changes(short_first, at_m[:53], shortest_m=100.0) == [0]
    assert cut_at_changes(kind[::-1].copy(), at_m, shortest_m=100.0) == [0, 40]
