"""The clock of a place: zones, local days of 23 to 25 hours, what a watch shows."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.places.zones import (
    clock_name,
    clock_text,
    day_bounds,
    local,
    offset_text,
    zone,
    zone_name,
)


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "name"),
    [
        (37.74, -25.67, "Atlantic/Azores"),
        (46.5, 8.0, "Europe/Zurich"),
        (-16.8, 179.9, "Pacific/Fiji"),
    ],
)
def test_a_place_has_its_zone(latitude_deg: float, longitude_deg: float, name: str) -> None:
    assert zone_name(latitude_deg, longitude_deg) == name


def test_a_setting_rules_at_sea_and_never_on_land() -> None:
    assert zone_name(47.0, -21.0, "Atlantic/Azores") == "Atlantic/Azores"
    assert zone_name(47.0, -21.0) == "Etc/GMT+1"
    assert zone_name(46.5, 8.0, "Atlantic/Azores") == "Europe/Zurich"


def test_a_nautical_zone_goes_by_its_offset_not_by_a_name_with_the_sign_turned() -> None:
    """POSIX signs: the tz database's `etcetera` file has Etc/GMT+1 as one hour *behind* UTC."""
    assert clock_name("Etc/GMT+1") == "UTC−1"
    assert clock_name("Etc/GMT-12") == "UTC+12"
    assert clock_name("Etc/GMT") == clock_name("Etc/UTC") == clock_name("UTC") == "UTC"
    assert clock_name("Atlantic/Azores") == "Atlantic/Azores"
    assert clock_text(datetime(2026, 6, 1, 12, tzinfo=UTC), "Etc/GMT+1", abbreviation=True) == (
        "11:00 UTC−1"
    )


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_every_place_on_earth_has_a_usable_zone(latitude_deg: float, longitude_deg: float) -> None:
    assert local(datetime(2026, 6, 1, tzinfo=UTC), zone_name(latitude_deg, longitude_deg))


@pytest.mark.parametrize(
    "name", ["Atlantic/Azors", "../../etc/passwd", "/etc/passwd", "", "Europe", "a\x00b", "x" * 999]
)
def test_an_unknown_zone_is_refused(name: str) -> None:
    with pytest.raises(BadInput, match="no time zone is called"):
        zone(name)


def test_the_nearest_zone_is_suggested() -> None:
    with pytest.raises(BadInput, match="did you mean Atlantic/Azores"):
        zone("atlantic/azors")


def test_a_watch_cuts_seconds_off() -> None:
    instant = datetime(2026, 1, 15, 15, 41, 59, tzinfo=UTC)
    assert clock_text(instant, "Europe/Zurich") == "16:41"
    assert clock_text(instant, "Europe/Zurich", abbreviation=True) == "16:41 CET"
    assert clock_text(instant, "Atlantic/Azores", abbreviation=True) == "14:41 UTC−1"


def test_a_naive_instant_is_refused_with_the_repair() -> None:
    with pytest.raises(ValueError, match="tzinfo=UTC"):
        local(datetime(2026, 1, 1), "UTC")  # noqa: DTZ001


@pytest.mark.parametrize(
    ("day", "name", "hours"),
    [
        (date(2026, 6, 1), "Europe/Zurich", 24),
        (date(2026, 3, 29), "Europe/Zurich", 23),
        (date(2026, 10, 25), "Europe/Zurich", 25),
        (date(2026, 3, 29), "Atlantic/Azores", 23),  # the clock jumps from 00:00 to 01:00
        (date(2026, 10, 25), "Atlantic/Azores", 25),  # midnight comes twice
        (date(2025, 10, 5), "Australia/Lord_Howe", 23.5),
        (date(2011, 12, 30), "Pacific/Apia", 0),  # the day that was left out
    ],
)
def test_a_local_day_is_as_long_as_the_clock_makes_it(day: date, name: str, hours: float) -> None:
    start, end = day_bounds(day, name)
    assert end - start == timedelta(hours=hours)


@given(
    st.dates(date(1950, 1, 1), date(2050, 1, 1)),
    st.sampled_from(["Atlantic/Azores", "America/Santiago", "Africa/Cairo", "Asia/Kathmandu"]),
)
def test_days_follow_without_gap_or_overlap(day: date, name: str) -> None:
    assert day_bounds(day, name)[1] == day_bounds(day + timedelta(days=1), name)[0]


def test_the_ends_of_the_calendar_are_refused() -> None:
    with pytest.raises(BadInput):
        day_bounds(date.max, "UTC")


@pytest.mark.parametrize("name", ["Atlantic/Azores", "Pacific/Auckland", "Asia/Kathmandu"])
@pytest.mark.parametrize("end", [datetime.min, datetime.max])  # noqa: DTZ901
def test_an_instant_at_the_ends_of_the_calendar_has_a_clock_too(name: str, end: datetime) -> None:
    """Recorders whose clock was never set stamp such: nothing may fall over them."""
    instant = end.replace(tzinfo=UTC)
    there = local(instant, name)
    assert there == instant
    assert clock_text(instant, name) == f"{there:%H:%M}"
    assert offset_text(instant, name).startswith("UTC")
