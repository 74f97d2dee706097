"""Least time over a grid: closed forms, closed ground, and no way through a line."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from backbearing.errors import BadInput
from backbearing.models.barred import barred_by_lines
from backbearing.models.leasttime import (
    MOVES,
    Ground,
    least_time,
    least_times,
    way,
)
from backbearing.models.stepseconds import step_seconds
from backbearing.models.walking import din_s_per_m, tobler_s_per_m

CELL_M = 10.0
SIXTEEN_MOVES_LONGER = 1.0275  # at worst, between a straight and a knight's move


def plain(rows: int = 41, columns: int = 41, **other: NDArray[np.generic]) -> Ground:
    shape = (rows, columns)
    parts: dict[str, NDArray[np.generic]] = {
        "height_m": np.zeros(shape),
        "slower": np.ones(shape),
        "closed": np.zeros(shape, dtype=bool),
        "barred": np.zeros(shape, dtype=np.uint16),
        **other,
    }
    return Ground(cell_x_m=CELL_M, cell_y_m=CELL_M, **parts)  # type: ignore[arg-type]


def test_on_a_plain_times_are_straight_distances_but_for_the_moves_corners() -> None:
    found = least_time(plain(), (20, 20), tobler_s_per_m)
    row, column = np.mgrid[0:41, 0:41] - 20
    straight = np.hypot(row, column) * CELL_M * float(tobler_s_per_m(0.0))
    ratio = found.seconds[straight > 0] / straight[straight > 0]
    assert found.seconds[20, 20] == 0.0
    assert ratio.min() == pytest.approx(1.0, abs=1e-5)
    assert ratio.max() <= SIXTEEN_MOVES_LONGER
    assert ratio.max() > 1.02  # and the corners are there


@pytest.mark.parametrize("slope", [0.1, 0.25])
@pytest.mark.parametrize("rule", [din_s_per_m, tobler_s_per_m])
def test_straight_up_and_down_a_plane_is_the_rule_itself(rule, slope: float) -> None:  # type: ignore[no-untyped-def]
    height = np.repeat(np.arange(41.0)[::-1, None] * CELL_M * slope, 41, axis=1)  # north is up
    found = least_time(plain(height_m=height), (40, 20), rule)
    back = least_time(plain(height_m=height), (40, 20), rule, towards=True)
    length_m = 40 * CELL_M
    # a slanting way up a plane may beat the straight one, never lose to it
    assert found.seconds[0, 20] <= length_m * float(rule(slope)) * 1.001
    assert back.seconds[0, 20] == pytest.approx(length_m * float(rule(-slope)), rel=1e-3)
    assert found.seconds[0, 20] > back.seconds[0, 20]


def test_many_starts_at_once_give_what_each_gives_alone() -> None:
    rng = np.random.default_rng(6)
    ground = plain(12, 15, height_m=rng.normal(0.0, 2.0, (12, 15)))
    cells = ((0, 0), (11, 14), (7, 2))
    for cell, found in zip(cells, least_times(ground, cells, din_s_per_m), strict=True):
        alone = least_time(ground, cell, din_s_per_m)
        assert np.array_equal(found.seconds, alone.seconds)
        assert np.array_equal(found.next_cell, alone.next_cell)


def test_times_towards_a_cell_are_the_times_of_each_way_walked_on_its_own() -> None:
    rng = np.random.default_rng(5)
    ground = plain(12, 15, height_m=rng.normal(0.0, 2.0, (12, 15)))
    towards = least_time(ground, (3, 4), din_s_per_m, towards=True)
    for cell in ((0, 0), (11, 14), (7, 2)):
        out = least_time(ground, cell, din_s_per_m)
        assert towards.seconds[cell] == pytest.approx(out.seconds[3, 4], rel=1e-3)
        assert tuple(way(towards, cell, towards=True)[-1]) == (3, 4)


@pytest.mark.parametrize("back", [False, True])
def test_the_steps_of_a_way_take_what_the_field_says(back: bool) -> None:
    rng = np.random.default_rng(7)
    ground = plain(
        24, 24, height_m=rng.normal(0.0, 3.0, (24, 24)), slower=rng.uniform(1.0, 2.0, (24, 24))
    )
    found = least_time(ground, (2, 3), tobler_s_per_m, towards=back)
    cells = way(found, (20, 17))
    along = found.seconds[cells[:, 0], cells[:, 1]]
    steps = step_seconds(ground, cells, tobler_s_per_m, back=back)
    assert np.cumsum(steps) == pytest.approx(along, rel=1e-2)


def test_a_way_is_a_chain_of_moves_from_start_to_end() -> None:
    found = least_time(plain(), (2, 3), tobler_s_per_m)
    cells = way(found, (30, 11))
    assert tuple(cells[0]) == (2, 3)
    assert tuple(cells[-1]) == (30, 11)
    assert {tuple(step) for step in np.diff(cells, axis=0)} <= set(MOVES)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 360.0), st.floats(-6.0, 6.0), st.booleans(), st.integers(0, 2**31))
def test_no_way_leads_through_a_line_or_a_row_of_closed_cells(
    direction_deg: float, shift: float, as_cells: bool, seed: int
) -> None:
    """A line from rim to rim parts the grid in two: nothing crosses it."""
    count = 25
    angle = np.radians(direction_deg)
    along, across = (
        np.array([np.cos(angle), np.sin(angle)]),
        np.array([-np.sin(angle), np.cos(angle)]),
    )
    middle = np.array([12.0, 12.0]) + shift * across
    corners = np.array([middle - 40 * along, middle, middle + 40 * along])
    rng = np.random.default_rng(seed)
    corners[1] += across * rng.uniform(-2, 2)  # a bend
    row, column = np.mgrid[0:count, 0:count].astype(float)
    first, second = corners[1] - corners[0], corners[2] - corners[1]
    leg = (np.stack([row, column], -1) - corners[1]) @ along > 0
    side = np.where(
        leg,
        second[0] * (column - corners[1][1]) - second[1] * (row - corners[1][0]),
        first[0] * (column - corners[0][1]) - first[1] * (row - corners[0][0]),
    )
    if as_cells:  # a thin chain of cells, joined by corners only
        closed = np.zeros((count, count), dtype=bool)
        for start, end in pairwise(corners):
            steps = np.linspace(start, end, 4000)
            cells = np.rint(steps).astype(int)
            inside = np.all((cells >= 0) & (cells < count), axis=1)
            closed[cells[inside, 0], cells[inside, 1]] = True
        ground = plain(count, count, closed=closed)
        usable = ~closed
    else:
        ground = plain(count, count, barred=barred_by_lines((count, count), [corners.T]))
        usable = np.abs(side) > 1e-9
    far = usable & (np.abs(side) > 80.0)  # two cells: nearer the bend both its legs have a say
    for sign in (1.0, -1.0):
        starts = np.argwhere((sign * side > 0.0) & far)
        if len(starts):
            found = least_time(ground, tuple(starts[len(starts) // 2]), tobler_s_per_m)
            assert not np.isfinite(found.seconds[(sign * side < 0.0) & far]).any()


def test_a_gap_in_a_line_is_found() -> None:
    row, column = np.array([12.5, 12.5]), np.array([-5.0, 20.0])
    beyond = np.array([12.5, 12.5]), np.array([22.2, 40.0])
    barred = barred_by_lines((25, 25), [(row, column), beyond])
    found = least_time(plain(25, 25, barred=barred), (24, 2), tobler_s_per_m)
    cells = way(found, (0, 2))
    crossing = cells[np.argmax(cells[:, 0] <= 12)]
    assert 20 <= crossing[1] <= 22


def test_a_step_between_cells_stops_every_move_over_it() -> None:
    height = np.zeros((20, 20))
    height[:, 10:] = 15.0  # 15 m in one cell: 56°
    steep = least_time(plain(20, 20, height_m=height), (5, 2), tobler_s_per_m, steepest=1.0)
    assert np.isfinite(steep.seconds[:, :10]).all()
    assert not np.isfinite(steep.seconds[:, 10:]).any()


def test_a_knights_move_meets_the_hill_it_passes_over() -> None:
    height = np.zeros((3, 5))
    height[:, 2] = 8.0  # a ridge one cell wide
    flat = least_time(plain(3, 5), (0, 1), tobler_s_per_m)
    ridge = least_time(plain(3, 5, height_m=height), (0, 1), tobler_s_per_m)
    assert ridge.seconds[1, 3] > 2.0 * flat.seconds[1, 3]


def test_beyond_the_limit_there_is_no_time() -> None:
    found = least_time(plain(), (20, 20), tobler_s_per_m, limit_s=60.0)
    known = np.isfinite(found.seconds)
    assert known.sum() > 100
    assert found.seconds[known].max() <= 60.0
    assert not known[0, 0]


@pytest.mark.parametrize("cell", [(-1, 0), (41, 0), (5, 5), (6, 6)])
def test_a_start_nobody_can_stand_on_is_refused(cell: tuple[int, int]) -> None:
    closed = np.zeros((41, 41), dtype=bool)
    closed[5, 5] = True
    height = np.zeros((41, 41))
    height[6, 6] = np.nan
    with pytest.raises(BadInput, match="start"):
        least_time(plain(closed=closed, height_m=height), cell, tobler_s_per_m)
