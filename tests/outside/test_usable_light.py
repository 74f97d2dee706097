"""Usable light against civil twilight and the minutes lost under a cut sky.

Civil dusk: astral's, sun 6° down. Minutes before it at 46° N in winter, for 10, 5 and 2 % of the
sky: worked out from USNO Circular 171's curve (own list).
"""

from datetime import UTC, date, datetime

import numpy as np
import pytest
from astral import LocationInfo
from astral.sun import sun

from backbearing.errors import BadInput
from backbearing.models.sun import sun_position
from backbearing.models.usablelight import usable_spans, usable_sun_altitude_deg

LATITUDE, LONGITUDE = 46.0, 8.0
MINUTE = np.timedelta64(60_000, "ms")


def dusk(day: date) -> datetime:
    place = LocationInfo(latitude=LATITUDE, longitude=LONGITUDE)
    found: datetime = sun(place.observer, date=day, tzinfo=UTC)["dusk"]
    return found


def spans(
    day: date, sky_view: float, latitude: float = LATITUDE, *, through_air: bool = False
) -> tuple[tuple[np.datetime64, np.datetime64], ...]:
    times = np.datetime64(day, "ms") + np.arange(1440) * MINUTE
    altitude = sun_position(times, latitude, LONGITUDE, refraction=through_air).altitude_deg
    return usable_spans(times, altitude, usable_sun_altitude_deg(sky_view))


def until(day: date, sky_view: float) -> datetime:
    last = spans(day, sky_view)[-1][1].astype("datetime64[ms]").astype(np.int64)
    return datetime.fromtimestamp(int(last) / 1000.0, UTC)


@pytest.mark.parametrize("day", [date(2026, 11, 1), date(2026, 12, 21), date(2027, 2, 10)])
def test_under_the_open_sky_it_ends_with_civil_twilight(day: date) -> None:
    # 3.412 lx at 6° down by the curve, 3.4 asked for
    assert abs((until(day, 1.0) - dusk(day)).total_seconds()) <= 60.0


@pytest.mark.parametrize(
    ("sky_view", "least_min", "most_min"), [(0.10, 12, 14), (0.05, 17, 19), (0.02, 23, 26)]
)
def test_under_cover_it_ends_before(sky_view: float, least_min: int, most_min: int) -> None:
    for day in (date(2026, 11, 15), date(2026, 12, 21), date(2027, 2, 1)):
        minutes = (dusk(day) - until(day, sky_view)).total_seconds() / 60.0
        assert least_min - 0.5 <= minutes <= most_min + 0.5


@pytest.mark.parametrize(
    ("sky_view", "most_min"), [(1.0, 0.05), (0.5, 0.05), (0.10, 0.7), (0.05, 1.6), (0.02, 3.0)]
)
def test_it_is_on_the_dark_side_by_what_the_air_lifts_the_sun(
    sky_view: float, most_min: float
) -> None:
    """The curve's altitudes are through the air; held against lower ones the light ends early."""
    for day in (date(2026, 11, 15), date(2026, 12, 21), date(2027, 2, 1)):
        by_air = spans(day, sky_view, through_air=True)[-1][1]
        early = (by_air - spans(day, sky_view)[-1][1]) / np.timedelta64(60_000, "ms")
        assert 0.0 <= early <= most_min
        assert early >= 0.8 * most_min - 0.05


def test_the_morning_mirrors_the_evening() -> None:
    ((begin, end),) = spans(date(2026, 12, 21), 0.05)
    times = np.array([begin, end])
    heights = sun_position(times, LATITUDE, LONGITUDE, refraction=False).altitude_deg
    assert heights == pytest.approx(usable_sun_altitude_deg(0.05), abs=0.01)


def test_less_sky_needs_a_higher_sun_and_a_stop_of_leaves_is_half_the_sky() -> None:
    heights = [usable_sun_altitude_deg(view) for view in (1.0, 0.5, 0.1, 0.02)]
    assert heights == sorted(heights)
    assert usable_sun_altitude_deg(1.0, canopy_stops=1.0) == pytest.approx(heights[1])
    assert heights[0] == pytest.approx(-6.0, abs=0.05)
    assert usable_sun_altitude_deg(0.0) == np.inf


def test_polar_night_has_none_and_polar_day_no_end() -> None:
    assert spans(date(2026, 12, 21), 1.0, latitude=85.0) == ()
    ((begin, end),) = spans(date(2026, 6, 21), 1.0, latitude=85.0)
    assert end - begin == 1439 * MINUTE


@pytest.mark.parametrize(("sky_view", "stops"), [(-0.1, 0.0), (1.2, 0.0), (0.5, -1.0)])
def test_an_impossible_sky_is_refused(sky_view: float, stops: float) -> None:
    with pytest.raises(BadInput):
        usable_sun_altitude_deg(sky_view, canopy_stops=stops)
