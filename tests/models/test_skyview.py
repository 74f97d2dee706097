"""How much sky a face has: bounds, turns of the circle, and what is refused."""

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from backbearing.errors import BadInput
from backbearing.models.skyview import sky_view_factor
from backbearing.models.sunlight import flat_skyline
from backbearing.records import Skyline


def land(altitude_deg: list[float]) -> Skyline:
    azimuth = np.arange(len(altitude_deg)) * (360.0 / len(altitude_deg))
    nothing = np.full(azimuth.shape, np.nan)
    return Skyline(
        azimuth_deg=azimuth,
        altitude_deg=np.array(altitude_deg),
        distance_m=nothing,
        reach_m=nothing,
        basis="a test's own ground",
    )


skylines = st.lists(st.floats(0.0, 89.0), min_size=8, max_size=8).map(land)


@settings(max_examples=50, derandomize=True)
@given(skyline=skylines, tilt=st.floats(0.0, 180.0), aspect=st.floats(-360.0, 360.0))
def test_no_face_gets_less_than_nothing_or_more_than_its_open_share(
    skyline: Skyline, tilt: float, aspect: float
) -> None:
    found = sky_view_factor(skyline, tilt_deg=tilt, aspect_deg=aspect)
    assert -1e-9 <= found <= 0.5 * (1.0 + np.cos(np.radians(tilt))) + 1e-4


@settings(max_examples=50, derandomize=True)
@given(skyline=skylines, tilt=st.floats(0.0, 180.0), aspect=st.floats(0.0, 360.0))
def test_a_whole_turn_of_aspect_is_no_turn(skyline: Skyline, tilt: float, aspect: float) -> None:
    once = sky_view_factor(skyline, tilt_deg=tilt, aspect_deg=aspect)
    round_again = sky_view_factor(skyline, tilt_deg=tilt, aspect_deg=aspect - 360.0)
    assert once == pytest.approx(round_again, abs=1e-9)


def test_a_face_that_looks_down_has_no_sky() -> None:
    assert sky_view_factor(flat_skyline(), tilt_deg=180.0) == pytest.approx(0.0, abs=1e-12)


def test_a_wall_under_a_cliff_gains_by_turning_away() -> None:
    cliff_east = land([0.0, 40.0, 70.0, 40.0, 0.0, 0.0, 0.0, 0.0])
    towards = sky_view_factor(cliff_east, tilt_deg=90.0, aspect_deg=90.0)
    away = sky_view_factor(cliff_east, tilt_deg=90.0, aspect_deg=270.0)
    assert towards < 0.35 < away


@pytest.mark.parametrize(
    ("kwargs", "says"),
    [
        ({"tilt_deg": 181.0}, "tilt_deg"),
        ({"aspect_deg": 400.0}, "aspect_deg"),
        ({"sky": "hazy"}, "neither even nor overcast"),
    ],
)
def test_what_is_no_face_is_refused(kwargs: dict[str, object], says: str) -> None:
    with pytest.raises(BadInput, match=says):
        sky_view_factor(flat_skyline(), **kwargs)  # type: ignore[arg-type]
