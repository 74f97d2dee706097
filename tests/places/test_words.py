"""Errors are worded alike everywhere: rounded up, plain, and each part said once."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.places.bearings import read_bearing
from backbearing.places.geodesy import offset
from backbearing.places.words import (
    bearing_error_text,
    bearing_text,
    error_text,
    size_text,
    whole_error_m,
)
from backbearing.records import Bearing, Place

UNDER_A_WALL = Place(
    latitude_deg=47.0, longitude_deg=-21.0, error_m=40.0, error_basis="assumed: under walls"
)


def bearing(text: str = "215M", **told: object) -> Bearing:
    return read_bearing(
        text,
        latitude_deg=47.0,
        longitude_deg=-21.0,
        on=date(2026, 3, 14),
        **told,  # type: ignore[arg-type]
    )


def test_an_offset_place_names_each_part_of_its_error_once() -> None:
    there = offset(UNDER_A_WALL, bearing(), 8.0)
    assert error_text(there) == (
        "± 41 m: place ± 40 m assumed (under walls), 215M ± 2° assumed (sighting compass), "
        "8 m paced ± 0.8 m"
    )


def test_what_was_given_is_said_so() -> None:
    known = replace(UNDER_A_WALL, error_m=7.0, error_basis="given")
    there = offset(known, bearing("90T", instrument="baseplate"), 100.0, distance_error_m=0.5)
    assert there.error_basis == "place ± 7 m given, 90T ± 3°, 100 m ± 0.5 m given"


def test_an_offset_of_an_offset_goes_on_where_the_first_ends() -> None:
    """However many there are, no bracket stands within another and nothing is said twice."""
    place = UNDER_A_WALL
    for turn in ("90T", "180T", "270T"):
        place = offset(place, bearing(turn, instrument="phone"), 50.0, distance_by="taped")
    assert place.error_basis == (
        "place ± 40 m assumed (under walls), 90T ± 10°, 50 m taped ± 0.5 m, "
        "then 180T ± 10°, 50 m taped ± 0.5 m, then 270T ± 10°, 50 m taped ± 0.5 m"
    )


def test_several_assumptions_share_a_bracket() -> None:
    there = offset(UNDER_A_WALL, bearing("215"), 8.0)
    assert "215 ± 2° assumed (sighting compass; true, as no T or M was written)" in (
        there.error_basis
    )


@pytest.mark.parametrize("basis", ["scatter of 14 fixes at a stop", "assumed: open sky", "given"])
def test_a_place_of_its_own_has_its_basis_in_brackets(basis: str) -> None:
    place = replace(UNDER_A_WALL, error_m=40.01, error_basis=basis)
    assert error_text(place) == f"± 41 m ({basis})"


def test_a_bearing_says_what_it_was_made_from() -> None:
    assert bearing_text(bearing(), date(2026, 3, 14)) == (
        "209° true ± 2° (215M, declination 6.0° W on 2026-03-14, assumed: sighting compass)"
    )
    assert bearing_text(bearing("215T", instrument="phone")) == "215° true ± 10° (215T)"


@pytest.mark.parametrize(
    ("metres", "error_m", "shown"),
    [
        (7.09, 0.86, "7.1 m ± 0.9 m"),
        (36.58, 3.66, "37 m ± 4 m"),
        (7.09, None, "7.1 m"),
        (36.58, None, "37 m"),
        (0.94, 0.05, "0.9 m ± 0.1 m"),
        (9.96, 0.95, "10 m ± 1 m"),
    ],
)
def test_a_size_is_shown_no_finer_than_its_error(
    metres: float, error_m: float | None, shown: str
) -> None:
    assert size_text(metres, error_m) == shown


@pytest.mark.parametrize(
    ("error_deg", "shown"),
    [(0.0, 0), (0.1, 1), (2.0, 2), (2.08, 2), (2.3, 3), (11.25, 11), (22.5, 23), (180.0, 180)],
)
def test_a_bearing_error_is_in_whole_degrees(error_deg: float, shown: int) -> None:
    assert bearing_error_text(replace(bearing(), error_deg=error_deg)) == f"± {shown}°"


@given(st.floats(0.0, 1e6))
def test_an_error_shown_is_never_less_than_it_is(error_m: float) -> None:
    shown = whole_error_m(error_m)
    assert error_m - 1e-5 <= shown < error_m + 1
