"""Where the sun comes near the camera's line, the page says so: positions from the almanac rule.

At an equinox the sun stands due west as it sets and due south at noon, at 90° − latitude
(any textbook of spherical astronomy).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from tests.writers.return_pages import quarry_subject, window

from backbearing.plans.dazzle import near_line, sun_ways
from backbearing.records import Bearing, LightWindow

QUARRY = quarry_subject()  # 47° N, 21.3° W: noon at about 13:33 UTC on the equinox, sunset 19:35


def at(hour: int, minute: int, *, lasts_min: int = 20) -> LightWindow:
    start = datetime(2027, 3, 20, hour, minute, tzinfo=UTC)
    return replace(
        window("Winding house"),
        start=start,
        best=start + timedelta(minutes=lasts_min / 2),
        end=start + timedelta(minutes=lasts_min),
    )


def looking(true_deg: float, *, error_deg: float = 0.0, top_deg: float | None = None) -> object:
    bearing = Bearing(true_deg=true_deg, error_deg=error_deg, as_written=f"{true_deg:.0f}T")
    return replace(QUARRY.cameras[0], bearing=bearing, top_deg=top_deg)


def dazzles(camera: object, when: LightWindow) -> bool:
    (way,) = sun_ways(QUARRY.subject, [when])
    return near_line(QUARRY.subject, (camera,), when, way)  # type: ignore[arg-type]


def test_the_setting_sun_due_west() -> None:
    evening = at(19, 10)
    (way,) = sun_ways(QUARRY.subject, [evening])
    assert way.azimuth_deg[-1] == pytest.approx(269.5, abs=1.5)
    assert dazzles(looking(270.0), evening)
    assert dazzles(looking(252.0), evening)
    assert not dazzles(looking(240.0), evening)
    assert dazzles(looking(240.0, error_deg=20.0), evening), "a bearing may be off"
    assert not dazzles(looking(90.0), evening)


def test_the_noon_sun_stands_over_a_level_line_and_in_that_of_a_tower() -> None:
    noon = at(13, 20)
    assert not dazzles(looking(180.0), noon), "43° up, the camera looks level"
    assert dazzles(looking(180.0, top_deg=38.0), noon)


def test_without_a_bearing_the_back_of_a_facing_wall_stands_in() -> None:
    camera = replace(QUARRY.cameras[0], bearing=None)
    east_face = replace(QUARRY.subject, facing_deg=90.0)
    evening = at(19, 10)
    (way,) = sun_ways(east_face, [evening])
    assert near_line(east_face, (camera,), evening, way)
    assert not near_line(replace(east_face, facing_deg=None), (camera,), evening, way)


def test_an_overcast_sky_hides_it() -> None:
    assert not dazzles(looking(270.0), replace(at(19, 10), sky="overcast"))


def test_several_windows_are_followed_apart() -> None:
    ways = sun_ways(QUARRY.subject, [at(13, 20), at(19, 10, lasts_min=45)])
    assert [len(way.azimuth_deg) for way in ways] == [4, 6]
    assert ways[0].altitude_deg == pytest.approx(42.9, abs=0.6)
    assert sun_ways(QUARRY.subject, []) == []
