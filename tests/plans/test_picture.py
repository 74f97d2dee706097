"""A subject on the plate: the first way that holds it, and what that costs."""

import dataclasses
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backbearing.models import lens as optics
from backbearing.plans.picture import View, back_times, take_picture
from backbearing.records import Camera, Lens

PLAIN = Camera(
    name="plain", plate_wide_mm=127, plate_high_mm=102, image_wide_mm=120, image_high_mm=95
)
RISING = dataclasses.replace(PLAIN, name="rising", rise_mm=40.0, fall_mm=20.0)
FAR_M = 10_000.0  # the image lies at the focal length


def seen(top: float, foot: float = 0.0, half: float | None = 5.0, error: float = 0.0) -> View:
    return View(
        top_deg=top,
        foot_deg=foot,
        half_wide_deg=half,
        error_top_deg=error,
        error_foot_deg=error,
        error_side_deg=error,
    )


def test_a_rise_is_no_more_than_needed_and_needs_its_circle() -> None:
    lens = Lens(name="150", focal_mm=150.0, coverage_mm=190.0)
    picture = take_picture(seen(25.0), RISING, lens, upright=False, distance_m=FAR_M)
    assert picture.way == "rise"
    assert picture.rise_mm == pytest.approx(
        150 * math.tan(math.radians(25)) / math.cos(0.0) - 47.5, abs=0.02
    )
    small = dataclasses.replace(lens, coverage_mm=160.0)
    tilted = take_picture(seen(25.0), RISING, small, upright=False, distance_m=FAR_M)
    assert tilted.way == "tilted up"
    assert tilted.leaning_deg > 0.0


@given(st.floats(15.0, 45.0), st.floats(-15.0, 5.0), st.floats(1.0, 15.0))
def test_a_tilted_picture_holds_every_corner_and_leans_as_they_do(
    top: float, foot: float, half: float
) -> None:
    lens = Lens(name="150", focal_mm=150.0)
    picture = take_picture(seen(top, foot, half), PLAIN, lens, upright=True, distance_m=FAR_M)
    if not picture.way.startswith("tilted"):
        return
    corners = [
        optics.project(
            side * half,
            math.degrees(math.atan(math.tan(math.radians(e)) * math.cos(math.radians(half)))),
            up_deg=picture.tilt_deg,
            v_mm=picture.image_distance_mm,
        )
        for side in (-1, 1)
        for e in (top, foot)
    ]
    for spot in corners:
        assert abs(spot.right_mm) <= picture.wide_mm / 2 + 1e-6
        assert abs(spot.up_mm) <= picture.high_mm / 2 + 1e-6
    above, below = corners[2:]
    leans = math.degrees(math.atan2(below.right_mm - above.right_mm, above.up_mm - below.up_mm))
    assert picture.leaning_deg == pytest.approx(leans, abs=0.01)


def test_a_margin_within_its_error_is_doubtful() -> None:
    lens = Lens(name="150", focal_mm=150.0)
    top = math.degrees(math.atan(46.5 / 150.0))
    sure = take_picture(seen(top, -5.0), PLAIN, lens, upright=False, distance_m=FAR_M)
    unsure = take_picture(seen(top, -5.0, error=1.0), PLAIN, lens, upright=False, distance_m=FAR_M)
    assert (sure.fits, unsure.fits) == ("yes", "doubtful")


@settings(max_examples=20)
@given(st.floats(20.0, 60.0), st.floats(-20.0, 0.0))
def test_far_enough_is_enough_and_a_tenth_less_is_not(top: float, foot: float) -> None:
    lens = Lens(name="300", focal_mm=300.0)
    view = seen(top, foot)
    found = back_times(view, PLAIN, lens, upright=False, distance_m=FAR_M)
    if found is None or found[0] < 1.2:
        return
    times, there = found
    assert there.fits == "yes"

    def at(k: float) -> str:
        def less(angle: float) -> float:
            return math.degrees(math.atan(math.tan(math.radians(angle)) / k))

        nearer = seen(less(top), less(foot), less(5.0))
        return take_picture(nearer, PLAIN, lens, upright=False, distance_m=FAR_M * k).fits

    assert at(times) == "yes"
    assert at(times * 0.9) != "yes"
