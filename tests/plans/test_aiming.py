"""Less of one side as a turn, or as a shift of the front where camera and lens allow it."""

import dataclasses
import math

import pytest

from backbearing.errors import BadInput
from backbearing.plans.aiming import turned
from backbearing.plans.picture import View, take_picture
from backbearing.records import Camera, Lens

SHIFTING = Camera(
    name="c",
    plate_wide_mm=165,
    plate_high_mm=120,
    image_wide_mm=160,
    image_high_mm=116,
    shift_mm=18,
    rise_mm=10,
    fall_mm=5,
)
LENS = Lens(name="210", focal_mm=210, coverage_mm=310)
VIEW = View(
    top_deg=8, foot_deg=-8, half_wide_deg=5, error_top_deg=0, error_foot_deg=0, error_side_deg=0
)
PICTURE = take_picture(VIEW, SHIFTING, LENS, upright=False, distance_m=10_000.0)


def test_ten_percent_less_on_the_right_turns_left_by_that_part_of_the_plate() -> None:
    turn = turned(PICTURE, SHIFTING, ("right", 0.1), 5.0)
    assert turn is not None
    v = PICTURE.image_distance_mm
    assert turn.turn_deg == pytest.approx(
        math.degrees(math.atan(80 / v) - math.atan((80 - 16) / v))
    )
    assert turn.way == "left"
    assert turn.bearing_deg == pytest.approx((5.0 - turn.turn_deg) % 360)


def test_the_front_does_it_only_as_far_as_it_goes_and_the_lens_covers() -> None:
    def by_front(side: str, share: float, picture: object = PICTURE) -> bool:
        turn = turned(picture, SHIFTING, (side, share), None)  # type: ignore[arg-type]
        assert turn is not None
        return turn.by_front

    assert by_front("right", 0.1)  # 16 mm of 18
    assert not by_front("right", 0.12)
    assert by_front("bottom", 0.08)  # up, 9.3 mm of 10
    assert not by_front("top", 0.08)  # down: 5 mm at most
    bare = dataclasses.replace(LENS, coverage_mm=200.0)  # the plate's diagonal is 198 mm
    small = take_picture(VIEW, SHIFTING, bare, upright=False, distance_m=10_000.0)
    assert not by_front("right", 0.1, small)


def test_more_on_a_side_turns_towards_it() -> None:
    turn = turned(PICTURE, SHIFTING, ("left", -0.1), None)
    assert turn is not None
    assert turn.way == "left"
    assert turn.turn_deg > 0
    with pytest.raises(BadInput, match="between 1 and 90"):
        turned(PICTURE, SHIFTING, ("left", 0.95), None)
