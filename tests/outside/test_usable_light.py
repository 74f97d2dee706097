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
from backbearing.models.usablelight import usable_light, usable_sun_altitude_deg

LATITUDE, LONGITUDE = 46.0, 8.0


def dusk(day: date) -> datetime:
    place = LocationInfo(latitude=LATITUDE, longitude=LONGITUDE)
    found: datetime = sun(place.observer, date=day, tzinfo=UTC)["dusk"]
    return found


def until(day: date, sky_view: float) -> datetime:
    start = np.datetime64(day, "ms")
    found = usable_light(
        LATITUDE, LONGITUDE, start, start + np.timedelta64(1, "D"), sky_view=sky_view
    )
    assert found is not None
    last: datetime = found[1].item()
    return last.replace(tzinfo=UTC)


@pytest.mark.parametrize("day", [date(2026, 11, 1), date(2026, 12, 21), date(2027, 2, 10)])
def test_under_the_open_sky_it_ends_with_civil_twilight(day: date) -> None:
    # 3.412 lx at 6° down by the curve, 3.4 asked for; astral's dusk knows no refraction
    assert abs((until(day, 1.0) - dusk(day)).total_seconds()) <= 3 * 60


@pytest.mark.parametrize(
    ("sky_view", "least_min", "most_min"), [(0.10, 12, 14), (0.05, 17, 19), (0.02, 23, 26)]
)
def test_under_cover_it_ends_before(sky_view: float, least_min: int, most_min: int) -> None:
    for day in (date(2026, 11, 15), date(2026, 12, 21), date(2027, 2, 1)):
        minutes = (dusk(day) - until(day, sky_view)).total_seconds() / 60.0
        assert least_min - 2.0 <= minutes <= most_min + 2.0


def test_less_sky_needs_a_higher_sun_and_a_stop_of_leaves_is_half_the_sky() -> None:
    heights = [usable_sun_altitude_deg(view) for view in (1.0, 0.5, 0.1, 0.02)]
    assert heights == sorted(heights)
    assert usable_sun_altitude_deg(1.0, canopy_stops=1.0) == pytest.approx(heights[1])
    assert heights[0] == pytest.approx(-6.0, abs=0.05)


def test_polar_night_has_none_and_polar_day_no_end() -> None:
    start = np.datetime64("2026-12-21", "ms")
    day = np.timedelta64(1, "D")
    assert usable_light(85.0, 0.0, start, start + day) is None
    summer = np.datetime64("2026-06-21", "ms")
    found = usable_light(85.0, 0.0, summer, summer + day)
    assert found is not None
    assert found[1] - found[0] >= np.timedelta64(23 * 60, "m")


@pytest.mark.parametrize(("sky_view", "stops"), [(0.0, 0.0), (1.2, 0.0), (0.5, -1.0)])
def test_an_impossible_sky_is_refused(sky_view: float, stops: float) -> None:
    with pytest.raises(BadInput):
        usable_sun_altitude_deg(sky_view, canopy_stops=stops)
