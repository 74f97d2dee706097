"""Bearings as written, made true, with the error of instrument and declination."""

from __future__ import annotations

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.places.bearings import (
    NORMAL_95,
    back_bearing,
    declination_deg,
    read_bearing,
    short_bearing,
    true_degrees,
)
from backbearing.records import Bearing

DAY = date(2026, 7, 1)


def bearing(text: str, *, on: date = DAY, latitude_deg: float = 47.0, **how: object) -> Bearing:
    return read_bearing(text, latitude_deg=latitude_deg, longitude_deg=-21.0, on=on, **how)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "true_deg"),
    [
        ("215T", 215.0),
        ("215 true", 215.0),
        ("215° T", 215.0),
        ("7.5T", 7.5),
        ("360T", 0.0),
        ("S35W T", 215.0),
        ("N 10 W true", 350.0),
        ("SW T", 225.0),
        ("nne t", 22.5),
    ],
)
def test_true_bearings(text: str, true_deg: float) -> None:
    read = bearing(text)
    assert read.true_deg == pytest.approx(true_deg)
    assert read.declination_deg is None
    assert read.as_written == text


def test_a_magnetic_bearing_is_turned_by_the_declination_and_carries_its_error() -> None:
    declination, sigma_deg = declination_deg(47.0, -21.0, None, DAY)
    read = bearing("215M", instrument="baseplate")
    assert read.true_deg == pytest.approx(215.0 + declination)
    assert read.declination_deg == declination
    assert read.error_deg == pytest.approx(math.hypot(3.0, NORMAL_95 * sigma_deg))
    assert read.basis == "given"


@pytest.mark.parametrize(
    ("how", "error_deg"),
    [
        ({}, 2.0),
        ({"instrument": "sighting compass"}, 2.0),
        ({"instrument": "baseplate"}, 3.0),
        ({"instrument": "phone"}, 10.0),
        ({"instrument": "phone", "error_deg": 1.0}, 1.0),
    ],
)
def test_the_instrument_sets_the_error_unless_told(
    how: dict[str, object], error_deg: float
) -> None:
    assert bearing("215T", **how).error_deg == error_deg


def test_what_was_assumed_is_said() -> None:
    assert bearing("215T").basis == "assumed: sighting compass"
    assert "assumed: true, as no T or M was written" in bearing("215").basis
    assert bearing("SW T").error_deg == 22.5
    assert "half a compass point" in bearing("SW T").basis


@pytest.mark.parametrize("instrument", ["sighting compass", "baseplate"])
def test_a_bare_figure_off_a_named_compass_is_magnetic_and_that_is_said(instrument: str) -> None:
    read, marked = bearing("215", instrument=instrument), bearing("215M", instrument=instrument)
    assert (read.true_deg, read.error_deg) == (marked.true_deg, marked.error_deg)
    assert read.basis == f"assumed: magnetic, as a {instrument} was named and no T or M written"
    assert bearing("215T", instrument=instrument).true_deg == 215.0
    assert bearing("215", instrument="phone").true_deg == 215.0


@pytest.mark.parametrize(
    "text", ["", "361T", "-5T", "215G", "215X", "N95E", "SWW", "a long way round", "٢١٥"]
)
def test_what_is_no_bearing_is_refused_by_name(text: str) -> None:
    with pytest.raises(BadInput, match=r"^--bearing: "):
        bearing(text, where="--bearing")


def test_no_model_is_stretched_beyond_its_years() -> None:
    for on in (date(2009, 12, 31), date(2030, 1, 1)):
        with pytest.raises(BadInput, match="no magnetic model covers"):
            bearing("215M", on=on)
        assert bearing("215T", on=on).true_deg == 215.0
    for on in (date(2010, 1, 1), date(2029, 12, 31)):
        assert bearing("215M", on=on).declination_deg is not None


def test_near_the_magnetic_poles_a_needle_is_refused_or_doubted() -> None:
    # the north magnetic dip pole of 2025 lies near 86° N 139° E
    with pytest.raises(BadInput, match="a compass cannot be trusted there"):
        read_bearing("215M", latitude_deg=86.0, longitude_deg=139.0, on=DAY)
    doubted = read_bearing("215M", latitude_deg=72.0, longitude_deg=100.0, on=DAY)
    assert "caution: weak magnetic field" in doubted.basis
    assert doubted.error_deg == pytest.approx(math.hypot(2.0, 1.96 * 1.172), abs=0.01)


def test_declination_is_the_same_when_asked_twice() -> None:
    first = declination_deg(47.0, -21.0, 300.0, DAY)
    declination_deg(-80.0, 120.0, 0.0, date(2012, 5, 1))
    assert declination_deg(47.0, -21.0, 300.0, DAY) == first


@given(st.integers(2010, 2028), st.floats(-55, 55), st.floats(-180, 180))
def test_declination_has_no_step_between_epochs(
    year: int, latitude_deg: float, longitude_deg: float
) -> None:
    before, _ = declination_deg(latitude_deg, longitude_deg, 0.0, date(year, 12, 31))
    after, _ = declination_deg(latitude_deg, longitude_deg, 0.0, date(year + 1, 1, 1))
    # a new model may correct the old one's forecast, by less than the models' own doubt
    assert abs(before - after) < 1.0


@given(st.floats(0, 360))
def test_back_bearing_of_a_back_bearing_is_the_bearing(angle_deg: float) -> None:
    read = bearing(f"{angle_deg:.3f}T")
    back = back_bearing(read)
    assert abs(abs(back.true_deg - read.true_deg) - 180) < 1e-9
    assert back_bearing(back).true_deg == pytest.approx(read.true_deg)
    assert back.error_deg == read.error_deg


@given(st.floats(-1e6, 1e6))
def test_true_degrees_stay_in_the_circle(angle_deg: float) -> None:
    assert 0 <= true_degrees(angle_deg) < 360


def test_a_hair_below_north_is_north() -> None:
    assert true_degrees(-1e-300) == 0.0


@pytest.mark.parametrize(
    ("written", "short"),
    [
        ("215 degrees magnetic", "215M"),
        ("two one five mag", "215M"),
        ("oh nine oh true", "090T"),
        ("215 °M", "215M"),
        ("215 deg. true", "215T"),
        ("south-west", "SW"),
        ("north 35 west", "N35W"),
        ("21 5", "21 5"),  # two figures stay two
        ("-5", "-5"),
    ],
)
def test_one_spelling_of_many(written: str, short: str) -> None:
    assert short_bearing(written) == short
    assert short_bearing(short) == short
