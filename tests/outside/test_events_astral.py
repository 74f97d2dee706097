"""Our flat-horizon events beside those of astral, an independent library of NOAA's formulas.

The gaps were measured with the loop below and are astral's: `test_sun_skyfield` has ours
against the JPL ephemeris to a fraction of a second.
"""

from datetime import UTC, date, datetime, timedelta, timezone

import numpy as np
import pytest

from backbearing.models.events import flat_events_by_name, sun_events
from backbearing.plans.sun import SAME_AS_ASTRAL


def gaps_s(latitudes: tuple[float, ...], every_days: int) -> dict[str, list[float]]:
    """For each of astral's names, how far apart the two are [s], over 2026 and two longitudes."""
    found: dict[str, list[float]] = {name: [] for name in SAME_AS_ASTRAL}
    for latitude in latitudes:
        for longitude in (-21.0, 100.0):
            zone = timezone(timedelta(hours=round(longitude / 15.0)))
            for ordinal in range(0, 365, every_days):
                day = date(2026, 1, 1) + timedelta(days=ordinal)
                start = datetime(day.year, day.month, day.day, tzinfo=zone)
                ours = sun_events(latitude, longitude, start, start + timedelta(days=1))
                for name, theirs in flat_events_by_name(latitude, longitude, day, zone).items():
                    same = [e.when for e in ours if e.kind == SAME_AS_ASTRAL[name] and e.when]
                    if theirs is not None and same:
                        found[name].append(min(abs((theirs - w).total_seconds()) for w in same))
    return found


@pytest.fixture(scope="module")
def to_59() -> dict[str, list[float]]:
    return gaps_s((-45.0, 0.0, 30.0, 47.0, 58.0), every_days=13)


def test_rise_and_set_differ_by_a_quarter_of_a_minute(to_59: dict[str, list[float]]) -> None:
    both = to_59["sunrise"] + to_59["sunset"]
    assert 8.0 < np.median(both) < 20.0
    assert np.percentile(both, 95) < 30.0


def test_noon_differs_by_the_day_s_change_of_the_equation_of_time(
    to_59: dict[str, list[float]],
) -> None:
    """astral reads the equation of time at 0h of the day: it changes by up to 30 s a day."""
    assert max(to_59["noon"]) < 30.0


def test_civil_twilight_differs_by_half_a_minute(to_59: dict[str, list[float]]) -> None:
    both = to_59["dawn"] + to_59["dusk"]
    assert np.median(both) < 30.0
    assert max(both) < 90.0


def test_near_the_polar_circle_it_is_half_a_minute_and_more_where_the_sun_grazes() -> None:
    found = gaps_s((60.0, 63.0, 66.0), every_days=13)
    both = found["sunrise"] + found["sunset"]
    assert 20.0 < np.median(both) < 40.0
    assert max(both) > 60.0
    assert max(both) < 900.0


def test_polar_night_and_day_are_no_events_in_either() -> None:
    day = date(2026, 12, 21)
    assert flat_events_by_name(80.0, 0.0, day)["sunrise"] is None
    start = datetime(2026, 12, 21, tzinfo=UTC)
    kinds = [event.kind for event in sun_events(80.0, 0.0, start, start + timedelta(days=1))]
    assert "sunrise" not in kinds
    assert "sun stays down" in kinds
