"""Lines and marks beside a leg: drawn cases with known answers."""

import numpy as np
import pytest

from backbearing.models.guides import along, attack_point, catching_feature, handrail

LEG = np.array([[0.0, 0.0], [0.0, 1000.0]])  # due north


def line(*points: tuple[float, float]) -> np.ndarray:
    return np.array(points, dtype=float)


def test_a_stream_beside_the_leg_is_its_handrail_on_the_right_hand() -> None:
    left, right = line((-30, -50), (-30, 1100)), line((25, 0), (25, 700))
    found = handrail(LEG, [line((300, 0), (300, 1000)), right, left])
    assert found is not None
    assert (found.line, found.side) == (2, "left")
    assert found.share == pytest.approx(1.0)
    only = handrail(LEG, [right])
    assert only is not None
    assert only.side == "right"
    # walked the other way it changes hands
    back = handrail(LEG[::-1], [right])
    assert back is not None
    assert back.side == "left"


def test_a_line_crossed_again_and_again_or_too_short_is_no_handrail() -> None:
    zigzag = line(*((20.0 * (-1) ** i, 40.0 * i) for i in range(26)))
    assert handrail(LEG, [zigzag, line((10, 0), (10, 300)), line((60, 0), (60, 1000))]) is None
    assert handrail(LEG[:1], [zigzag]) is None


def test_the_first_line_across_beyond_the_end_catches() -> None:
    far, near = line((-100, 1400), (100, 1300)), line((-100, 1200), (100, 1200))
    behind, beyond = line((-100, 900), (100, 900)), line((-100, 1700), (100, 1700))
    found = catching_feature(LEG, [far, behind, near, beyond])
    assert found is not None
    assert (found.line, found.distance_m) == (2, pytest.approx(200.0))
    slanting = catching_feature(LEG, [far])
    assert slanting is not None
    assert slanting.distance_m == pytest.approx(350.0)
    assert catching_feature(LEG, [behind, beyond]) is None


def test_the_last_sure_mark_before_the_end() -> None:
    marks = line((5, 300), (0, 700), (10, 900), (0, 980), (200, 850))
    found = attack_point(LEG, marks)
    assert found is not None
    assert (found[0], found[1]) == (2, pytest.approx(100.0))
    assert attack_point(LEG, marks[:1]) is None
    assert attack_point(LEG, np.empty((0, 2))) is None


def test_points_along_a_bent_line() -> None:
    points = along(line((0, 0), (0, 95), (100, 95)), 10.0)
    assert points[0].tolist() == [0.0, 0.0]
    assert points[-1].tolist() == [100.0, 95.0]
    assert np.hypot(*np.diff(points, axis=0).T).max() <= 10.0
    assert len(along(line((3, 3), (3, 3)))) == 1
