"""Since when a place has been in sun: over a plain, and over a wall that cuts the day in two."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from numpy.typing import NDArray

from backbearing.models.sunlight import flat_skyline
from backbearing.plans.light.sky import FLAT, Sky
from backbearing.plans.sunsince import in_sun_since
from backbearing.records import Place

PLACE = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=10.0, error_basis="given")
ZONE = "Atlantic/Azores"  # UTC−1 in winter


def at(hour: int, minute: int = 0, day: int = 21) -> datetime:
    return datetime(2026, 12, day, hour, minute, tzinfo=UTC)


def test_on_a_plain_the_sun_is_on_a_place_from_sunrise_to_sunset() -> None:
    noon = in_sun_since(FLAT, PLACE, at(13), ZONE)
    assert noon.in_sun
    assert noon.since is not None
    assert noon.until is not None
    # 8 h 27 min of sun is an almanac's day at 47° N at the winter solstice (from memory)
    assert abs((noon.until - noon.since).total_seconds() / 3600 - 8.45) < 0.1
    assert noon == in_sun_since(FLAT, PLACE, at(10), ZONE), "one stretch, whenever one asks"


def test_before_first_and_after_last_sun_it_tells_the_next_and_the_last() -> None:
    noon = in_sun_since(FLAT, PLACE, at(13), ZONE)
    early, late = in_sun_since(FLAT, PLACE, at(5), ZONE), in_sun_since(FLAT, PLACE, at(22), ZONE)
    assert (early.in_sun, early.since, early.until) == (False, None, noon.since)
    assert (late.in_sun, late.since, late.until) == (False, noon.until, None)


@pytest.mark.parametrize("error_deg", [np.zeros(720), None], ids=["with its error", "bare"])
def test_a_wall_across_the_south_parts_the_day(error_deg: NDArray[np.float64] | None) -> None:
    flat = flat_skyline()
    south = np.abs(flat.azimuth_deg - 180.0) < 10.0
    skyline = replace(flat, altitude_deg=np.where(south, 60.0, 0.0))
    wall = Sky(skyline=skyline, error_deg=error_deg)
    behind = in_sun_since(wall, PLACE, at(13, 20), ZONE)  # the sun stands due south about 13:22
    assert not behind.in_sun
    assert behind.since is not None
    assert behind.until is not None
    assert behind.since < at(13, 20) < behind.until
    again = in_sun_since(wall, PLACE, behind.until.replace(second=59), ZONE)
    assert again.in_sun
    assert again.since == behind.until
