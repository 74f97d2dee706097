"""Contrast: what a plate must hold from the darkest tone in shade to the lightest in sun."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.models.contrast import (
    TONES,
    scene_stops,
    side_stops,
    tone_stops,
    tones_stops,
)
from backbearing.records import EmulsionClass

tones = st.lists(st.sampled_from(sorted(TONES)), max_size=4, unique=True)
emulsions = st.sampled_from(["ordinary", "ortho", "pan"])


@given(wanted=tones, emulsion=emulsions, lit=st.floats(1.0, 1e5), shade=st.floats(1.0, 1e5))
def test_the_span_is_that_of_the_brightest_and_darkest_patch(
    wanted: list[str], emulsion: EmulsionClass, lit: float, shade: float
) -> None:
    """Every tone wanted, in sun and in shade, as luminances: the span of them all, counted out."""
    shares = [2.0 ** tone_stops(tone, emulsion) for tone in wanted] or [1.0]
    patches = [light * share for light in (lit, shade) for share in shares]
    by_hand = math.log2(max(patches) / min(patches))
    sides = side_stops(lit, shade, 0.0, 0.0)
    assert scene_stops(wanted, emulsion, sides) == pytest.approx(by_hand, abs=1e-9)


def test_one_tone_half_in_shade_spans_what_the_light_does() -> None:
    assert scene_stops(["bark"], "ordinary", 3.0) == 3.0
    assert scene_stops([], "ordinary", 3.0) == 3.0


def test_without_sun_the_tones_stand_alone() -> None:
    wanted = ["fresh snow", "needles"]
    assert scene_stops(wanted, "pan", None) == tones_stops(wanted, "pan")
    assert tones_stops(wanted, "pan") == pytest.approx(math.log2(0.85 / 0.05))


def test_a_plate_that_sees_blue_alone_sees_shade_lighter_and_leaves_darker() -> None:
    """A sky 1 stop faster and a sun 1.2 slower than a meter says take 2.2 stops off the sides."""
    assert side_stops(8000.0, 1000.0, -1.2, 1.0) == pytest.approx(3.0 - 2.2)
    assert tone_stops("autumn leaves", "ordinary") < tone_stops("autumn leaves", "pan") - 2.0
    assert tone_stops("grey rock", "ordinary") == tone_stops("grey rock", "pan")


def test_no_light_on_a_side_is_no_span() -> None:
    assert side_stops(0.0, 100.0, 0.0, 0.0) == side_stops(100.0, 0.0, 0.0, 0.0) == 0.0
