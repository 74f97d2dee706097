"""Cross bearings against closed forms, worked figures, and thousands of invented sightings.

Two equal lines with perpendicular error s that cut at g: semi-axes s / (√2 sin(g/2)) and
s / (√2 cos(g/2)), an exercise in least squares. Worked figures: computed apart from this code for
a bearing error of 2° (own list).
"""

import numpy as np
import pytest

from backbearing.errors import BadInput
from backbearing.models.crossbearing import cross_bearings

TO_95 = 2.4477


@pytest.mark.parametrize(
    ("x", "y", "bearings", "fix", "axes_m", "long_deg"),
    [
        ((0, 1000), (0, 0), (45, 315), (500, 500), (24.68, 24.68), None),
        ((0, 300), (0, 0), (20, 5), (394.9, 1085.1), (27.9, 212.3), 12.1),
        ((0, 1000, 500), (0, 0, -800), (45, 315, 0), (500, 500), (21.68, 24.68), None),
    ],
)
def test_worked_crossings(
    x: tuple[float, ...],
    y: tuple[float, ...],
    bearings: tuple[float, ...],
    fix: tuple[float, float],
    axes_m: tuple[float, float],
    long_deg: float | None,
) -> None:
    found = cross_bearings(x, y, bearings, 2.0)
    assert (found.x_m, found.y_m) == pytest.approx(fix, abs=0.06)
    assert found.short_axis_m / TO_95 == pytest.approx(axes_m[0], abs=0.06)
    assert found.long_axis_m / TO_95 == pytest.approx(axes_m[1], abs=0.06)
    if long_deg is not None:
        assert found.long_axis_azimuth_deg == pytest.approx(long_deg, abs=0.06)
        assert found.shallow
    else:
        assert not found.shallow


@pytest.mark.parametrize("cut_deg", [15.0, 30.0, 60.0, 90.0])
def test_two_equal_lines(cut_deg: float) -> None:
    distance_m, error_deg, half = 800.0, 1.5, np.radians(cut_deg / 2.0)
    x = distance_m * np.sin(half) * np.array([-1.0, 1.0])
    y = np.full(2, -distance_m * np.cos(half))
    found = cross_bearings(x, y, (cut_deg / 2.0, 360.0 - cut_deg / 2.0), error_deg)
    across_m = distance_m * np.radians(error_deg)
    long, short = across_m / (np.sqrt(2) * np.sin(half)), across_m / (np.sqrt(2) * np.cos(half))
    assert found.long_axis_m / TO_95 == pytest.approx(long, rel=1e-4)
    assert found.short_axis_m / TO_95 == pytest.approx(short, rel=1e-4)
    assert found.cut_deg == pytest.approx(min(cut_deg, 180.0 - cut_deg))


def test_the_ellipse_holds_the_place_ninety_five_times_in_a_hundred() -> None:
    rng = np.random.default_rng(11)
    trials, held = 2000, 0
    for _ in range(trials):
        x, y = rng.uniform(-1000, 1000, 3), rng.uniform(-1500, -400, 3)
        bearing = np.degrees(np.arctan2(-x, -y)) + rng.normal(0.0, 1.5, 3)
        found = cross_bearings(x, y, bearing, 1.5)
        off = np.array([found.x_m, found.y_m])
        held += off @ np.linalg.solve(found.covariance_m2, off) <= TO_95**2
    # 2000 throws of 0.95 fall within 0.935 … 0.965 but for three in a thousand
    assert 0.935 <= held / trials <= 0.965


@pytest.mark.parametrize(
    ("bearings", "words"),
    [((45, 45.2), "side by side"), ((225, 135), "behind"), ((45,), "two bearings")],
)
def test_lines_that_give_no_place_are_refused(bearings: tuple[float, ...], words: str) -> None:
    x = (0.0, 1000.0)[: len(bearings)]
    with pytest.raises(BadInput, match=words):
        cross_bearings(x, np.zeros(len(bearings)), bearings, 2.0)
