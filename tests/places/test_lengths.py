"""Lengths, angles and spans of time with their units."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.places.lengths import (
    FARTHEST_CAMERA_M,
    read_angle,
    read_duration_s,
    read_length,
)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("8", 8.0),
        ("8m", 8.0),
        (" 8.5 metres ", 8.5),
        (".5 km", 500.0),
        ("250 cm", 2.5),
        ("30 mm", 0.03),
        ("10 ft", 3.048),
        ("10 yd", 9.144),
        ("2 miles", 3218.688),
        ("8 in", 0.2032),
    ],
)
def test_lengths_become_metres(text: str, metres: float) -> None:
    assert read_length(text) == pytest.approx(metres)


@given(st.floats(0, 600), st.sampled_from(["m", "km", "ft", "yd", "mi", "cm"]))
def test_a_length_scales_with_its_unit(value: float, unit: str) -> None:
    assert read_length(f"{value:.6f} {unit}") == pytest.approx(
        round(value, 6) * read_length(f"1{unit}")
    )


@pytest.mark.parametrize(
    "text", ["", "-3 m", "3 parsecs", "1,5 km", "nan", "inf m", "3 m 2", "٣", "² m"]
)
def test_bad_lengths_are_refused_by_name(text: str) -> None:
    with pytest.raises(BadInput, match=r"^--distance: "):
        read_length(text, where="--distance")


@pytest.mark.parametrize("text", ["9" * 400, "9" * 5000 + " mm", "1001 km", "1000.1km"])
def test_no_length_reaches_beyond_what_anybody_measures(text: str) -> None:
    with pytest.raises(BadInput, match=r"^--tall: .* is longer than 1000 km"):
        read_length(text, where="--tall")


def test_a_shorter_limit_is_named_in_its_own_unit() -> None:
    assert read_length("100 km", most_m=FARTHEST_CAMERA_M) == 100_000.0
    with pytest.raises(BadInput, match="longer than 100 km"):
        read_length("100.1 km", most_m=FARTHEST_CAMERA_M)


@pytest.mark.parametrize(
    ("text", "degrees"), [("-6", -6.0), ("38°", 38.0), ("6°30'", 6.5), ("− 2.5 deg", -2.5)]
)
def test_angles(text: str, degrees: float) -> None:
    assert read_angle(text) == pytest.approx(degrees)


@pytest.mark.parametrize("text", ["91", "-90.5", "6°61'", "steep", "4,5", ""])
def test_bad_angles_are_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_angle(text)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("2h30", 9000.0),
        ("2h 30 min", 9000.0),
        ("20 min", 1200.0),
        ("90 min", 5400.0),
        ("45s", 45.0),
        ("1h05m10s", 3910.0),
        ("1.5 hours", 5400.0),
    ],
)
def test_spans_become_seconds(text: str, seconds: float) -> None:
    assert read_duration_s(text) == pytest.approx(seconds)


@pytest.mark.parametrize(
    "text", ["", "90", "1:30", "30 min 2h", "2h 75 min", "5 min 90", "soon", "9" * 400 + "h"]
)
def test_spans_that_may_mean_two_things_are_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_duration_s(text)
