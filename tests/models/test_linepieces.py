"""Pieces along a line and how places fit clues."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.cluefits import above, below, between, faces, near, on_bearing
from backbearing.models.linepieces import LEFT, RIGHT, chainage, line_pieces

NORTH = np.array([[0.0, 0.0], [0.0, 1000.0]])


def test_pieces_lie_on_both_hands_of_the_way_the_line_runs() -> None:
    pieces = line_pieces(NORTH, width_m=30.0)
    assert len(pieces.side) == 40
    assert pieces.x_m[pieces.side == LEFT] == pytest.approx([-15.0] * 20)
    assert pieces.x_m[pieces.side == RIGHT] == pytest.approx([15.0] * 20)
    assert pieces.size_m2.sum() == pytest.approx(2 * 1000.0 * 30.0)
    assert (pieces.from_m[0], pieces.to_m[19]) == (0.0, 1000.0)
    back = line_pieces(NORTH[::-1], width_m=30.0)
    assert back.x_m[back.side == LEFT] == pytest.approx([15.0] * 20)


@given(
    st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=2, max_size=8),
    st.integers(0, 2**31),
)
def test_pieces_cover_the_line_end_to_end_and_chainage_finds_them(
    corners: list[tuple[float, float]], seed: int
) -> None:
    line = np.array(corners)
    length = np.hypot(*np.diff(line, axis=0).T).sum()
    if length < 1.0:
        return
    pieces = line_pieces(line, width_m=20.0)
    half = len(pieces.side) // 2
    assert np.allclose(pieces.from_m[1:half], pieces.to_m[: half - 1])
    assert pieces.to_m[half - 1] == pytest.approx(length)
    at = np.random.default_rng(seed).uniform(0.0, length)
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    x, y = (np.array([np.interp(at, way, line[:, i])]) for i in (0, 1))
    _, away, _ = chainage(line, x, y)
    assert away[0] == pytest.approx(0.0, abs=1e-6)


def test_chainage_distance_and_side() -> None:
    along, away, side = chainage(NORTH, np.array([-20.0, 30.0, 0.0]), np.array([400.0, 900.0, 5.0]))
    assert along == pytest.approx([400.0, 900.0, 5.0])
    assert away == pytest.approx([20.0, 30.0, 0.0])
    assert side.tolist() == [LEFT, RIGHT, 0]


def test_lines_that_make_no_pieces_are_refused() -> None:
    for line, width in (
        (NORTH[:1], 20.0),
        (np.zeros((2, 2)), 20.0),
        (NORTH, 0.0),
        (NORTH * 1e6, 20),
    ):
        with pytest.raises(BadInput):
            line_pieces(line, width_m=width)


@given(st.floats(-1000, 1000), st.floats(-1000, 1000), st.floats(0.0, 100.0))
def test_a_limit_is_a_step_and_soft_by_its_error(value: float, limit: float, error: float) -> None:
    fit = float(below(value, limit, error))
    assert 0.0 <= fit <= 1.0
    assert fit + float(above(value, limit, error)) == pytest.approx(1.0)
    if value < limit - error - 1e-9:
        assert fit > 0.97
    if value > limit + error + 1e-9:
        assert fit < 0.03


def test_what_is_not_known_fits_by_half() -> None:
    assert float(below(np.nan, 3.0, 1.0)) == 0.5
    assert float(near(np.nan, 3.0, 1.0)) == 0.5
    assert float(between(5.0, 2.0, 8.0, 0.5)) == pytest.approx(1.0)
    assert float(near(5.0, 5.0, 0.5)) == 1.0


def test_a_bearing_is_a_wedge_ahead_of_where_it_was_taken() -> None:
    x, y = np.array([0.0, 100.0, 1000.0, -100.0]), np.array([100.0, 100.0, 1000.0, -100.0])
    fit = on_bearing(x, y, 0.0, 0.0, 45.0, 4.0)
    assert fit[1] == fit[2] == pytest.approx(1.0)
    assert fit[0] < 1e-6
    assert fit[3] < 1e-6
    wide = on_bearing(x, y, 0.0, 0.0, 45.0, 4.0, place_error_m=50.0)
    assert wide[0] > fit[0]


def test_slopes_face_over_north_too() -> None:
    fit = faces([350.0, 10.0, 180.0, np.nan], 0.0, 40.0)
    assert fit[0] == fit[1]
    assert fit[0] > 0.8
    assert fit[2] < 1e-6
    assert fit[3] == 0.5


def test_impossible_limits_are_refused() -> None:
    with pytest.raises(BadInput):
        between(1.0, 5.0, 2.0, 0.1)
    with pytest.raises(BadInput):
        below(1.0, 5.0, -2.0)
    with pytest.raises(BadInput):
        near(1.0, 5.0, 0.0)
    with pytest.raises(BadInput):
        on_bearing(1.0, 5.0, 0.0, 0.0, 10.0, 0.0)
