"""Records become JSON values any reader takes: no bare NaN, instants in UTC, dates as dates."""

import json
from datetime import UTC, date, datetime, time, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.records import Bearing, Place, Sighting
from backbearing.writers.plain import plain


def test_instants_are_utc_with_a_z() -> None:
    east = timezone(timedelta(hours=2))
    assert plain(datetime(2026, 3, 14, 14, 32, tzinfo=east)) == "2026-03-14T12:32:00Z"
    assert plain(datetime(2026, 3, 14, 14, 32, 1, 250000, tzinfo=UTC)) == "2026-03-14T14:32:01.250Z"


def test_a_naive_instant_is_refused_with_the_repair() -> None:
    with pytest.raises(TypeError, match="attach one"):
        plain(datetime(2026, 3, 14))  # noqa: DTZ001


def test_records_nest() -> None:
    bearing = Bearing(true_deg=215.0, error_deg=2.0, as_written="215T")
    assert plain(Sighting(to="knoll", bearing=bearing))["bearing"]["true_deg"] == 215.0


def test_dates_times_and_spans() -> None:
    assert plain([date(2026, 3, 14), time(10, 30), timedelta(minutes=2)]) == [
        "2026-03-14",
        "10:30:00",
        120.0,
    ]


def test_arrays_lose_their_gaps_as_null() -> None:
    times = np.array(["2026-03-14T14:32", "NaT"], dtype="datetime64[ms]")
    assert plain(times) == ["2026-03-14T14:32:00.000Z", None]
    assert plain(np.array([1.5, np.nan])) == [1.5, None]


def test_an_unknown_type_is_refused() -> None:
    with pytest.raises(TypeError, match="no plain form"):
        plain(object())


@given(st.floats(), st.floats())
def test_whatever_the_number_the_json_is_strict(latitude: float, height: float) -> None:
    place = Place(
        latitude_deg=latitude, longitude_deg=0.0, height_m=height, error_m=1.0, error_basis="given"
    )
    json.dumps(plain(place), allow_nan=False)
