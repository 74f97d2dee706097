"""A day's clock over thousands of made-up days under the real sun: light, limits, deadlines.

What `day_of` promises is checked in instants and lux: the light on the ground a leg ends on is
worked out anew, from the sun's place then and Circular 171's curve for open level ground.
"""

from datetime import UTC, date, datetime, time, timedelta
from math import isinf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backbearing.models.events import ends_of_days
from backbearing.models.illuminance import sun_level_lux
from backbearing.models.sun import sun_position
from backbearing.models.usablelight import USABLE_LUX
from backbearing.places.zones import day_bounds, local
from backbearing.plans.outing.day import A_PLATE_S, Day, Needs, Walk, day_of, short_of, times_of
from backbearing.plans.outing.ground import LegGround
from backbearing.records import Leg, LightWindow, Trees

LATITUDE, LONGITUDE, ZONE = 47.0, -21.0, "Atlantic/Azores"
MIN = 60.0


def leg(usual_s: float, *, rough: bool, slow: float = 1.3) -> Leg:
    return Leg(
        name="over open ground" if rough else "along a path",
        start_name="here",
        end_name="there",
        line=((LATITUDE, LONGITUDE), (LATITUDE, LONGITUDE + 0.01)),
        length_m=usual_s,
        ascent_m=None,
        descent_m=None,
        usual_s=usual_s,
        slow_s=usual_s * slow,
        footing="trackless" if rough else "path",
        steepest_deg=None,
        steepest_at=None,
        rough=rough,
    )


def ground(sky_view: float = 1.0, trees: Trees | None = None) -> LegGround:
    return LegGround(
        sky_view=sky_view,
        trees=trees,
        darkest=(LATITUDE, LONGITUDE),
        foot=(LATITUDE, LONGITUDE),
        foot_what="steepest ground",
        foot_share=0.5,
        foot_skyline=None,
    )


def window(begin: datetime, minutes: float, *, plus_minus_min: float = 5.0) -> LightWindow:
    end = begin + timedelta(minutes=minutes)
    return LightWindow(
        subject="arch",
        camera_position="main",
        day=local(begin, ZONE).date(),
        zone=ZONE,
        start=begin,
        best=begin + timedelta(minutes=minutes / 2.0),
        end=end,
        plus_minus_min=plus_minus_min,
        score=1.0,
        sky="clear",
        sun_azimuth_deg=180.0,
        sun_altitude_deg=20.0,
        delta_deg=None,
        lit_from="",
        why="",
        rests_on=(),
    )


EVERGREENS = Trees(tall_m=12.0, beyond_m=0.0, leaf_months=(), evergreen=True, note="")


@st.composite
def days(draw: st.DrawFn) -> tuple[Walk, LightWindow, Needs, float, datetime | None]:
    """A way of one to four legs, some rough and some under walls or trees; a window; limits."""
    count = draw(st.integers(1, 4))
    legs = tuple(
        leg(
            draw(st.floats(3 * MIN, 100 * MIN)),
            rough=draw(st.booleans()),
            slow=draw(st.floats(1.0, 1.6)),
        )
        for _ in range(count)
    )
    grounds = tuple(
        ground(draw(st.floats(0.02, 1.0)), draw(st.sampled_from([None, None, EVERGREENS])))
        for _ in range(count)
    )
    day = date(2026, 1, 1) + timedelta(days=draw(st.integers(0, 364)))
    begin = datetime.combine(day, time(6), UTC) + timedelta(minutes=draw(st.integers(0, 15 * 60)))
    needs = Needs(
        drive_s=draw(st.none() | st.floats(0, 120 * MIN)),
        leave=draw(st.none() | st.just(time(7, 0)) | st.just(time(10, 30))),
        back_by=draw(st.none() | st.just(time(17, 0)) | st.just(time(22, 0))),
        set_up_s=draw(st.sampled_from([20 * MIN, 40 * MIN])),
        plates=draw(st.integers(1, 4)),
        margin_s=draw(st.none() | st.floats(0, 60 * MIN)),
    )
    walk = Walk(out=legs, back=legs[::-1], out_ground=grounds, back_ground=grounds[::-1])
    now = draw(st.none() | st.just(begin - timedelta(hours=2)))
    light = window(begin, draw(st.integers(1, 240)), plus_minus_min=draw(st.floats(0, 40)))
    return walk, light, needs, draw(st.floats(1.0, 20 * MIN)), now


def lux(seconds: float, share: float) -> float:
    """On level ground with a share of the open sky, the sun's own light left out by night."""
    instant = np.array([round(seconds * 1000)]).astype("datetime64[ms]")
    sun = sun_position(instant, LATITUDE, LONGITUDE, refraction=False)
    return float(sun_level_lux(sun.altitude_deg)[0]) * share


@settings(max_examples=2000)
@given(days())
def test_a_day_that_works_is_in_time_in_light_and_within_its_limits(
    case: tuple[Walk, LightWindow, Needs, float, datetime | None],
) -> None:
    walk, light, needs, exposure_s, now = case
    day = day_of(walk, light, needs, exposure_s=exposure_s, now=now)
    assert day.works == (not short_of(day))
    if not day.works:
        return
    times = times_of(day, needs)
    second = timedelta(seconds=1)
    out_s = sum(each.slow_s for each in walk.out)
    ready = times.leave_start + timedelta(seconds=out_s + needs.set_up_s + A_PLATE_S)
    assert abs(ready - times.set_up_by) <= 2 * second
    exposing = timedelta(seconds=needs.plates * exposure_s + (needs.plates - 1) * A_PLATE_S)
    # arriving, setting up and exposing at the slow pace is over when the light is
    assert max(ready, times.expose) + exposing <= light.end + 2 * second
    assert times.expose >= light.start - second
    assert times.expose + exposing + timedelta(seconds=needs.pack_s) <= times.away + 2 * second
    at = times.away.timestamp()
    margin = day.clock.margin_s
    for each, over in zip(walk.back, walk.back_ground, strict=True):
        at += each.slow_s
        if each.rough:  # left with the margin still to run, and there is usable light then
            share = over.sky_view * 2.0 ** -over.stops(light.day.month)
            assert lux(at + margin - 2.0, share) >= 0.97 * USABLE_LUX
            assert lux(at, share) >= 0.97 * USABLE_LUX
    if needs.back_by is not None:
        limit = datetime.combine(light.day, needs.back_by, local(light.start, ZONE).tzinfo)
        if limit < light.start:
            limit += timedelta(days=1)
        assert at + margin <= limit.timestamp() + 2.0
    begun = times.leave_start.timestamp()
    for each, over in zip(walk.out, walk.out_ground, strict=True):
        if each.rough:
            share = over.sky_view * 2.0 ** -over.stops(light.day.month)
            assert lux(begun + 2.0, share) >= 0.97 * USABLE_LUX
        begun += each.usual_s
    if needs.leave is not None and times.leave_home is not None:
        assert local(times.leave_home + second, ZONE).time() >= needs.leave
    if now is not None:
        assert (times.leave_home or times.leave_start) >= now - second


def plain_day(**needs: object) -> Day:
    walk = Walk(
        out=(leg(60 * MIN, rough=True),),
        back=(leg(60 * MIN, rough=True),),
        out_ground=(ground(0.5),),
        back_ground=(ground(0.5),),
    )
    begin = datetime(2026, 12, 21, 14, 0, tzinfo=UTC)  # 13:00 there
    return day_of(walk, window(begin, 90.0), Needs(**needs), exposure_s=60.0)  # type: ignore[arg-type]


def test_a_plain_winter_day_turns_back_before_dusk() -> None:
    day = plain_day()
    assert day.works
    dusk = datetime.fromtimestamp(day.back_light[0][1], UTC)
    bounds = day_bounds(date(2026, 12, 21), ZONE)
    ((_, civil_dusk),) = ends_of_days(LATITUDE, LONGITUDE, [bounds])
    assert civil_dusk is not None
    # half the sky: light is halved in some five minutes then
    assert timedelta(minutes=2) < civil_dusk - dusk < timedelta(minutes=8)
    away_by = times_of(day, Needs()).away_by
    assert away_by is not None
    assert abs(dusk - away_by - timedelta(minutes=78 + 30)) < timedelta(seconds=2)


def test_a_limit_too_early_says_by_how_much() -> None:
    (short,) = short_of(plain_day(back_by=time(14, 0)))
    assert short.what == "back by"
    # light from 13:00 there: 7 min of exposures, 10 to pack, 78 back and 30 in hand, from 13:00
    assert short.short_s == pytest.approx((7 + 10 + 78 + 30 - 60) * MIN, abs=2.0)


def test_a_limit_in_the_small_hours_is_that_of_the_next_day() -> None:
    day = plain_day(back_by=time(1, 0))
    limit = times_of(day, Needs()).back_limit
    assert limit == datetime(2026, 12, 22, 2, 0, tzinfo=UTC)
    assert isinf(plain_day().demand.back_by)
    early = plain_day(back_by=time(6, 0))
    assert times_of(early, Needs()).back_limit == datetime(2026, 12, 21, 7, 0, tzinfo=UTC)


def test_a_window_already_begun_is_judged_from_now() -> None:
    walk = Walk(out=(leg(60 * MIN, rough=False),), back=(), out_ground=(ground(),), back_ground=())
    begin = datetime(2026, 12, 21, 14, 0, tzinfo=UTC)
    late = day_of(walk, window(begin, 60.0), Needs(), exposure_s=60.0, now=begin)
    (short,) = short_of(late)
    assert short.what == "arrival"
    # 78 min on foot, 25 to set up, 7 to expose, for a window of 60 less 5
    assert short.short_s == pytest.approx((78 + 25 + 7 - 55) * MIN, abs=2.0)


def test_polar_night_has_no_usable_light_at_all() -> None:
    dark = ground()
    north = LegGround(
        **{name: getattr(dark, name) for name in dark.__slots__ if name != "darkest"},
        darkest=(85.0, LONGITUDE),
    )
    walk = Walk(
        out=(leg(60.0, rough=True),),
        back=(leg(60.0, rough=True),),
        out_ground=(north,),
        back_ground=(north,),
    )
    begin = datetime(2026, 12, 21, 14, 0, tzinfo=UTC)
    day = day_of(walk, window(begin, 60.0), Needs(), exposure_s=60.0)
    assert not day.works
    assert {short.short_s for short in short_of(day) if "light" in short.what} == {None}
