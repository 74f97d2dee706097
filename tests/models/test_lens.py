"""What a lens draws: held to a projection by brute force, and to what must be so."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models import lens

angle = st.floats(-60.0, 60.0)


def brute_force(aside_deg: float, altitude_deg: float, up_deg: float, v_mm: float) -> np.ndarray:
    """A ray from the subject through the lens onto the plate, as planes and lines in space."""
    a, e, p = np.radians([aside_deg, altitude_deg, up_deg])
    ray = np.array([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e)])  # east, north, up
    axis = np.array([0.0, np.cos(p), np.sin(p)])
    plate_at = -v_mm * axis  # behind the lens, which stands at the origin
    hit = ray * (plate_at @ axis) / (ray @ axis)
    right = np.array([1.0, 0.0, 0.0])
    up = np.cross(right, axis)
    off = hit - plate_at
    return -np.array([off @ right, off @ up])  # upside down on the glass; the picture is not


@settings(max_examples=200, derandomize=True)
@given(angle, angle, st.floats(-25.0, 25.0), st.floats(50.0, 600.0))
def test_a_direction_falls_where_its_ray_meets_the_plate(
    aside: float, altitude: float, up: float, v: float
) -> None:
    spot = lens.project(aside, altitude, up_deg=up, v_mm=v)
    ahead = math.cos(math.radians(altitude)) * math.cos(math.radians(aside))
    depth = ahead * math.cos(math.radians(up))
    depth += math.sin(math.radians(altitude)) * math.sin(math.radians(up))
    if depth < 0.05:
        return
    assert spot == pytest.approx(brute_force(aside, altitude, up, v), rel=1e-9, abs=1e-7)


@settings(max_examples=100, derandomize=True)
@given(st.floats(-30.0, 30.0), st.floats(-20.0, 20.0), st.floats(-15.0, 15.0))
def test_an_upright_line_leans_as_two_of_its_points_say(
    aside: float, altitude: float, up: float
) -> None:
    here = lens.project(aside, altitude, up_deg=up, v_mm=170.0)
    above = lens.project(aside, altitude + 0.001, up_deg=up, v_mm=170.0)
    leans = math.degrees(math.atan2(above.right_mm - here.right_mm, above.up_mm - here.up_mm))
    inward = -leans if aside > 0 else leans
    told = lens.leaning_deg(here.right_mm, here.up_mm, up_deg=up, v_mm=170.0)
    assert told == pytest.approx(inward, abs=0.01)


@settings(max_examples=100, derandomize=True)
@given(st.floats(1.0, 20.0), st.floats(1.2, 10.0), st.floats(50.0, 400.0))
def test_the_focus_for_two_planes_is_just_sharp_at_both(
    near: float, times: float, focal: float
) -> None:
    found = lens.focus_for(focal, 0.1, near, near * times)
    assert lens.sharp_range(focal, found.f_number, 0.1, found.focus_m) == pytest.approx(
        (near, near * times), rel=1e-6
    )


def test_the_focus_for_infinity_is_the_hyperfocal_distance() -> None:
    found = lens.focus_for(150.0, 0.1, 7.0, math.inf)
    assert lens.hyperfocal_m(150.0, found.f_number, 0.1) == pytest.approx(found.focus_m)
    assert lens.sharp_range(150.0, found.f_number, 0.1, found.focus_m).near_m == pytest.approx(7.0)


@settings(max_examples=50, derandomize=True)
@given(st.floats(1.0, 100.0), st.floats(20.0, 240.0))
def test_from_the_plate_and_from_the_lens_are_each_other_s_inverse(
    distance: float, focal: float
) -> None:
    taped = lens.from_plate_m(focal, distance)
    assert lens.from_lens_m(focal, taped) == pytest.approx(distance)


def test_a_plate_behind_its_plane_is_sharp_nearer() -> None:
    assert lens.moved_focus_m(170.0, 4.0, 0.0) == pytest.approx(4.0)
    assert lens.moved_focus_m(170.0, 4.0, 0.5) < 4.0
    assert lens.moved_focus_m(170.0, math.inf, 0.5) == pytest.approx(57.97, abs=0.01)
    assert math.isinf(lens.moved_focus_m(170.0, math.inf, -0.5))


def test_a_tenth_less_on_the_right_brings_what_was_there_to_the_edge() -> None:
    turn = lens.turn_deg(160.0, 0.1, 170.0)
    was = math.degrees(math.atan(64.0 / 170.0))
    spot = lens.project(
        was + turn, 0.0, up_deg=0.0, v_mm=170.0
    )  # camera turned left: all goes right
    assert spot.right_mm == pytest.approx(80.0)
    assert lens.turn_deg(160.0, -0.1, 170.0) < 0.0


@pytest.mark.parametrize(
    "ask",
    [
        lambda: lens.magnification(170.0, 0.17),
        lambda: lens.magnification(0.0, 4.0),
        lambda: lens.magnification(-170.0, 4.0),
        lambda: lens.sharp_range(170.0, 0.0, 0.1, 4.0),
        lambda: lens.sharp_range(170.0, 16.0, 0.0, 4.0),
        lambda: lens.sharp_range(170.0, 16.0, 0.1, 0.1),
        lambda: lens.sharp_range(170.0, math.nan, 0.1, 4.0),
        lambda: lens.focus_for(170.0, 0.1, 4.0, 3.0),
        lambda: lens.from_lens_m(170.0, 0.5),
        lambda: lens.covered_m(0.0, 170.0, 4.0),
    ],
)
def test_what_no_lens_can_do_is_refused(ask: object) -> None:
    with pytest.raises(BadInput):
        ask()  # type: ignore[operator]
