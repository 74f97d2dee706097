"""Depth of field, angles and image circles against computed tables of the textbook forms.

Source of the forms: S. F. Ray, *Applied Photographic Optics*, 3rd ed. 2002. The figures were
worked out by hand from them, apart from this program. Trade practice without a source is named.
"""

import math

import pytest

from backbearing.models import lens


@pytest.mark.parametrize(
    ("focal", "f_number", "blur", "hyperfocal", "rows"),
    [
        (150, 16, 0.1, 14.2125, {2: (1.7675, 2.3030), 5: (3.7178, 7.6323), 10: (5.8808, 33.383)}),
        (150, 16, 0.1, 14.2125, {14.2125: (7.1062, math.inf), 20: (8.2934, math.inf)}),
        (150, 22, 0.1, 10.3773, {3: (2.3462, 4.1590), 5: (3.3916, 9.5097)}),
        (300, 32, 0.2, 14.3625, {5: (3.7475, 7.5100), 10: (5.9179, 32.235)}),
        (210, 45, 0.15, 6.7433, {4: (2.5315, 9.5261)}),
    ],
)
def test_hyperfocal_distance_and_what_is_sharp(
    focal: float,
    f_number: float,
    blur: float,
    hyperfocal: float,
    rows: dict[float, tuple[float, float]],
) -> None:
    assert lens.hyperfocal_m(focal, f_number, blur) == pytest.approx(hyperfocal, abs=6e-5)
    for focus, (near, far) in rows.items():
        found = lens.sharp_range(focal, f_number, blur, focus)
        assert found.near_m == pytest.approx(near, abs=6e-5)
        assert found.far_m == pytest.approx(far, rel=2e-5)


def test_two_planes_and_the_rail_s_spread() -> None:
    found = lens.focus_for(150.0, 0.1, 3.0, 12.0)
    assert found.focus_m == pytest.approx(4.800, abs=5e-4)
    assert found.f_number == pytest.approx(29.03, abs=0.005)
    spread = lens.image_distance_mm(150.0, 3.0) - lens.image_distance_mm(150.0, 12.0)
    assert spread == pytest.approx(5.996, abs=5e-4)
    assert spread / (2 * 0.1) == pytest.approx(29.98, abs=0.005)


@pytest.mark.parametrize(
    ("side", "focal", "angle"),
    [(127, 150, 45.89), (120, 150, 43.60), (95, 150, 35.14), (216, 210, 54.43), (178, 210, 45.94)],
)
def test_angles_of_view(side: float, focal: float, angle: float) -> None:
    assert lens.angle_of_view_deg(side, focal) == pytest.approx(angle, abs=0.005)


def test_from_how_far_a_size_fills_the_plate() -> None:
    assert lens.distance_for_m(95.0, 150.0, 1.8) == pytest.approx(2.992, abs=5e-4)
    assert lens.magnification(150.0, 2.992) == pytest.approx(0.05278, abs=1e-5)
    assert lens.image_distance_mm(150.0, 2.992) == pytest.approx(157.9, abs=0.05)
    assert lens.distance_for_m(120.0, 210.0, 25.0) == pytest.approx(43.96, abs=5e-3)
    assert lens.distance_for_m(120.0 * 0.9, 210.0, 25.0) == pytest.approx(48.82, abs=5e-3)


@pytest.mark.parametrize(
    ("focal", "top", "side", "rise"),
    [(210, 35, 120, 87.0), (150, 25, 95, 22.4), (90, 30, 95, 4.5)],
)
def test_the_rise_that_brings_a_top_to_the_edge(
    focal: float, top: float, side: float, rise: float
) -> None:
    spot = lens.project(0.0, top, up_deg=0.0, v_mm=focal)
    assert spot.up_mm - side / 2.0 == pytest.approx(rise, abs=0.06)


@pytest.mark.parametrize(
    ("wide", "high", "rise", "circle"),
    [(120, 95, 0, 153.1), (120, 95, 25, 188.2), (95, 120, 25, 194.7)],
)
def test_the_image_circle_a_rise_needs(
    wide: float, high: float, rise: float, circle: float
) -> None:
    found = lens.circle_needed_mm(wide, high, rise_mm=rise, shift_mm=0.0)
    assert found == pytest.approx(circle, abs=0.06)


@pytest.mark.parametrize(
    ("f_number", "blue", "green"),
    [(22, 23.1, 29.5), (32, 33.6, 42.9), (45, 47.2, 60.4), (64, 67.1, 85.9)],
)
def test_the_spot_of_diffraction(f_number: float, blue: float, green: float) -> None:
    assert lens.airy_mm(f_number) * 1000 == pytest.approx(blue, abs=0.06)
    assert lens.airy_mm(f_number, lens.GREEN_MM) * 1000 == pytest.approx(green, abs=0.06)


def test_the_plate_of_10_by_16_cm_at_4_metres() -> None:
    """f 170 mm at 4 m takes in 3.60 × 2.25 m; at f/16 it is sharp from 3.2 to 5.5 m."""
    assert lens.covered_m(160.0, 170.0, 4.0) == pytest.approx(3.60, abs=0.005)
    assert lens.covered_m(100.0, 170.0, 4.0) == pytest.approx(2.25, abs=0.005)
    assert lens.covered_m(160.0, 170.0, 8.0) == pytest.approx(7.4, abs=0.05)
    blur = lens.blur_of_diagonal_mm(160.0, 100.0)
    assert blur == pytest.approx(0.126, abs=5e-4)
    found = lens.sharp_range(170.0, 16.0, blur, 4.0)
    assert found == pytest.approx((3.2, 5.5), abs=0.05)


@pytest.mark.parametrize(
    ("wide", "high", "blur"),
    [(120, 90, 0.100), (180, 130, 0.148), (215.9, 165.1, 0.181), (112, 56, 0.083)],
)
def test_circles_of_confusion_by_the_diagonal(wide: float, high: float, blur: float) -> None:
    """Common practice, no source: the diagonal / 1500."""
    assert lens.blur_of_diagonal_mm(wide, high) == pytest.approx(blur, abs=6e-4)


def test_a_tower_s_height_from_two_angles() -> None:
    """Top 38° up and foot 6° down at 12 m is 10.6 m high: the plate's own geometry says so too."""
    top = lens.project(0.0, 38.0, up_deg=0.0, v_mm=170.0).up_mm
    foot = lens.project(0.0, -6.0, up_deg=0.0, v_mm=170.0).up_mm
    assert (top - foot) / 170.0 * 12.0 == pytest.approx(10.6, abs=0.05)
