"""A search's walk is in light: short nights, days without a night, both sides of ±180°."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.fieldwork import put_walk
from tests.plans.test_approach import bare

from backbearing.models.sun import sun_position
from backbearing.models.usablelight import usable_light
from backbearing.plans.approach.way import Going
from backbearing.plans.pace import pace_of
from backbearing.plans.search.afterwards import WalkQuestion
from backbearing.plans.search.limits import DayLimits, day_limits
from backbearing.plans.search.stations import Stations
from backbearing.plans.search.ways import ways_between
from backbearing.records import Place, Segment, Track

if TYPE_CHECKING:
    from backbearing.notebook import Notebook

__all__ = ["bare"]  # fixture

ZONE = "UTC"


def places(*spots: tuple[float, float]) -> Stations:
    count = len(spots)
    return Stations(
        names=tuple(f"place {number}" for number in range(count)),
        latitude_deg=np.array([latitude for latitude, _ in spots]),
        longitude_deg=np.array([longitude for _, longitude in spots]),
        share=np.full(count, 0.9 / count),
        size_m2=np.full(count, 100.0),
        seen_chance=np.zeros(count),
        sweep_m=np.full(count, 20.0),
    )


def limits(
    notebook: Notebook, spot: tuple[float, float], day: date, leave: datetime | None
) -> DayLimits:
    start = Place(latitude_deg=spot[0], longitude_deg=spot[1], error_m=5.0, error_basis="given")
    question = WalkQuestion(
        start=start, start_name="start", time_s=3600.0, leave=leave, day=day, zone=ZONE
    )
    return day_limits(notebook, question, places(spot))


def sun_deg(at: datetime, spot: tuple[float, float]) -> float:
    when = np.array([np.datetime64(at.replace(tzinfo=None), "ms")])
    return float(sun_position(when, *spot, refraction=False).altitude_deg[0])


ICELAND, SVALBARD = (65.6, -18.1), (78.2, 15.6)
SHORT_NIGHT = date(2027, 5, 10)  # the sun is 6° down from 00:04 to 02:13


@pytest.mark.parametrize(
    ("leave", "first"),
    [("00:00", "02:12"), ("01:20", "02:12"), ("02:30", None), ("12:00", None), (None, "02:12")],
)
def test_dark_in_the_middle_of_the_night_is_dark(
    bare: Notebook, leave: str | None, first: str | None
) -> None:
    at = None if leave is None else datetime.fromisoformat(f"2027-05-10T{leave}:00+00:00")
    found = limits(bare, ICELAND, SHORT_NIGHT, at)
    if first is not None:
        assert f"{found.first:%d %H:%M}" == f"10 {first}"
    begins = found.first if at is None else max(at, found.first)
    # the whole walk is in the light: a plain is usable to 6° below (Circular 171)
    while begins < found.home_by:
        assert sun_deg(begins, ICELAND) > -6.05
        begins += timedelta(minutes=20)
    # it goes on over midnight, to the next night's dark less half an hour
    assert found.limited_by == "usable light"
    assert datetime(2027, 5, 10, 23, 30, tzinfo=UTC) < found.home_by
    assert found.home_by < datetime(2027, 5, 11, 0, 10, tzinfo=UTC)


def test_the_dark_between_two_lights_is_between_the_spans() -> None:
    start, end = np.datetime64("2027-05-10T00:00", "ms"), np.datetime64("2027-05-11T00:00", "ms")
    first, second = usable_light(*ICELAND, start, end)
    assert first[0] == start
    assert second[1] == end
    assert np.datetime64("2027-05-10T00:00") < first[1] < np.datetime64("2027-05-10T00:10")
    assert np.datetime64("2027-05-10T02:08") < second[0] < np.datetime64("2027-05-10T02:18")


@pytest.mark.parametrize("leave", ["00:00", "12:00", "22:00", None])
def test_where_the_sun_never_sets_dark_is_no_limit(bare: Notebook, leave: str | None) -> None:
    at = None if leave is None else datetime.fromisoformat(f"2027-06-20T{leave}:00+00:00")
    found = limits(bare, SVALBARD, date(2027, 6, 20), at)
    assert found.first == datetime(2027, 6, 20, tzinfo=UTC)
    assert found.home_by == datetime(2027, 6, 22, tzinfo=UTC)
    assert found.limited_by == "the end of the next day"


def test_places_on_both_sides_of_the_antimeridian_are_as_far_as_they_are(bare: Notebook) -> None:
    """1.2 km over ±180°, a degree of longitude at 16.8° S on WGS 84 is 106.6 km."""
    east = np.linspace(179.991, 180.002, 120)
    walked = Track(
        name="walked",
        segments=(
            Segment(
                latitude_deg=np.full(120, -16.8),
                longitude_deg=(east + 180.0) % 360.0 - 180.0,
                height_m=np.full(120, 20.0),
                time=np.datetime64("2026-05-01T08:00", "ms")
                + (np.arange(120) * 10_000).astype("timedelta64[ms]"),
            ),
        ),
    )
    put_walk(bare, walked)
    start = Place(latitude_deg=-16.8, longitude_deg=179.991, error_m=5.0, error_basis="given")
    ways = ways_between(
        bare,
        start,
        "start",
        places((-16.8, 179.9995), (-16.8, -179.9985), (-16.8, -179.9980)),
        on=date(2026, 11, 29),
        pace=pace_of(bare, "DIN 33466"),
        going=Going(),
        limit_s=7200.0,
        progress=lambda line: None,
    )
    assert ways.kept == (0, 1, 2)
    assert ways.shut.area.grid.cell_m < 25.0
    metres = np.array([8.5, 10.5, 11.0]) * 1e-3 * 106_580.0
    # level on a track, at the slow end: 4 km/h and a third of the time more (DIN 33466)
    assert ways.shut.slow_s[0, 1:] / metres == pytest.approx(0.9 * 1.3, rel=0.06)
