"""Windows of direct sun begin and end with the sunrise and sunset of two outside libraries.

Sources: astral 3.x (`astral.sun.sun`, NOAA's equations, 34′ of refraction and 16′ of radius);
skyfield (`almanac.sunrise_sunset`, USNO's −0.8333°) with the JPL ephemeris DE421.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import astral
import astral.sun
import pytest
from skyfield import almanac
from skyfield.api import Loader, wgs84
from skyfield_data import get_skyfield_data_path

from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_subject
from backbearing.plans.light import best_light
from backbearing.records import LightWindow, Place, Subject, WantedLight

# Where the sun sets slantwise (60° in June: 0.07° a minute) the minute of arc between the
# outside's fixed 34′ of refraction and the formula's 35′ is a quarter of a minute, and astral's
# own error half a minute (measured in test_events_astral); inwards comes the rounding.
OUTWARDS = timedelta(seconds=75)
INWARDS = timedelta(seconds=75 + 60)

PLACES = [
    (47.0, -21.0, "Atlantic/Azores"),
    (0.5, 37.0, "Africa/Nairobi"),
    (-44.6, 169.1, "Pacific/Auckland"),
    (60.2, 24.9, "Europe/Helsinki"),
    (51.9, -176.6, "America/Adak"),
    (-17.8, 177.9, "Pacific/Fiji"),
]
DAYS = [date(2026, 1, 10), date(2026, 3, 29), date(2026, 6, 21), date(2026, 10, 25)]


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "n.gpkg", create=True) as opened:
        yield opened


def sun_window(
    notebook: Notebook, latitude: float, longitude: float, zone: str, day: date
) -> LightWindow:
    place = Place(latitude_deg=latitude, longitude_deg=longitude, error_m=10, error_basis="given")
    wish = WantedLight(direct_sun=True)
    with notebook.writing():
        set_setting(notebook, "zone", zone)
        add_subject(notebook, Subject(name="plain", place=place, wanted=wish))
    (window,) = best_light(notebook, ["plain"], start=day, end=day).windows
    return window


def assert_between(window: LightWindow, sunrise: datetime, sunset: datetime) -> None:
    assert sunrise - OUTWARDS <= window.start <= sunrise + INWARDS
    assert sunset - INWARDS <= window.end <= sunset + OUTWARDS


@pytest.mark.parametrize(("latitude", "longitude", "zone"), PLACES)
@pytest.mark.parametrize("day", DAYS)
def test_direct_sun_against_astral(
    notebook: Notebook, latitude: float, longitude: float, zone: str, day: date
) -> None:
    window = sun_window(notebook, latitude, longitude, zone, day)
    observer = astral.Observer(latitude, longitude)
    times = astral.sun.sun(observer, day, tzinfo=ZoneInfo(zone))
    assert_between(window, times["sunrise"], times["sunset"])


@pytest.mark.parametrize(("latitude", "longitude", "zone"), PLACES)
@pytest.mark.parametrize("day", DAYS)
def test_direct_sun_against_skyfield(
    notebook: Notebook, latitude: float, longitude: float, zone: str, day: date
) -> None:
    window = sun_window(notebook, latitude, longitude, zone, day)
    with warnings.catch_warnings():
        # the package warns that its table of UT1 has run out; sunrise does not feel a second
        warnings.simplefilter("ignore", RuntimeWarning)
        load = Loader(get_skyfield_data_path())
    ephemeris, scale = load("de421.bsp"), load.timescale(builtin=True)
    start = datetime.combine(day, time(), ZoneInfo(zone)).astimezone(UTC)
    end = datetime.combine(day + timedelta(days=1), time(), ZoneInfo(zone)).astimezone(UTC)
    rises_or_sets = almanac.sunrise_sunset(ephemeris, wgs84.latlon(latitude, longitude))
    found, up = almanac.find_discrete(
        scale.from_datetime(start), scale.from_datetime(end), rises_or_sets
    )
    sunrise = next(t.utc_datetime() for t, rising in zip(found, up, strict=True) if rising)
    sunset = next(t.utc_datetime() for t, rising in zip(found, up, strict=True) if not rising)
    ephemeris.close()
    assert_between(window, sunrise, sunset)
