"""A day's clock over thousands of made-up days under the real sun: light, limits, deadlines.

What `day_of` promises is checked in instants and lux: the light on the ground a leg ends on is
worked out anew, from the sun's place then and Circular 171's curve for open level ground.
"""

from datetime import UTC, date, datetime, time, timedelta
from math import inf, isinf
from random import Random
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backbearing.models.events import ends_of_days
from backbearing.models.exposing import Exposing
from backbearing.models.illuminance import sun_level_lux
from backbearing.models.sun import sun_position
from backbearing.models.usablelight import USABLE_LUX
from backbearing.models.walking import night_factor
from backbearing.places.zones import day_bounds, local
from backbearing.plans.approach.legs import wants_light
from backbearing.plans.outing.day import A_PLATE_S, Day, Needs, Walk, at, day_of, short_of, times_of
from backbearing.plans.outing.ground import LegGround
from backbearing.records import (
    Leg,
    LightWindow,
    Passage,
    PassageCause,
    PassageKind,
    PassageReport,
    Place,
    Trees,
)

LATITUDE, LONGITUDE, ZONE = 47.0, -21.0, "Atlantic/Azores"
MIN = 60.0


def leg(usual_s: float, *, rough: bool, slow: float = 1.3, back: float = 1.0) -> Leg:
    return Leg(
        retraced_s=usual_s * back,
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


def passage(kind: PassageKind, cause: PassageCause = "") -> Passage:
    here = Place(latitude_deg=LATITUDE, longitude_deg=LONGITUDE, error_m=5.0, error_basis="given")
    return Passage(
        name=kind, kind=kind, place=here, reports=(PassageReport(state="open", cause=cause),)
    )


# what is passed on a path, no line of water on record, and whether one may be there in the dark
BY_THE_WAY = (
    ((), True),
    ((passage("bridge"),), True),
    ((passage("gap", "wall"),), True),
    ((passage("gap", "water"),), False),
    ((passage("ford"),), False),
    ((passage("bridge"), passage("step")), False),
)


@pytest.mark.parametrize(("passages", "dark_will_do"), BY_THE_WAY)
def test_water_and_hands_want_light_without_a_line_on_record(
    passages: tuple[Passage, ...], dark_will_do: bool
) -> None:
    assert wants_light(3.0, (), passages) is not dark_will_do


Case = tuple[Walk, LightWindow, Needs, Exposing, datetime | None]


def ways(chance: Random, slow: float) -> tuple[tuple[Leg, ...], tuple[LegGround, ...]]:
    """One to four legs over open ground, on paths, by passages; some under walls or trees."""
    count = chance.randint(1, 4)
    found = []
    for _ in range(count):
        passages, _ = chance.choice(BY_THE_WAY)
        rough = chance.random() < 0.2 or wants_light(chance.uniform(0.0, 27.0), (), passages)
        usual_s = chance.uniform(3 * MIN, 80 * MIN)
        found.append(leg(usual_s, rough=rough, slow=slow, back=chance.uniform(0.6, 1.6)))
    grounds = tuple(
        ground(chance.uniform(0.02, 1.0), chance.choice([None, None, EVERGREENS])) for _ in found
    )
    return tuple(found), grounds


def growing(chance: Random, light: LightWindow) -> Exposing:
    """Of one plate: steady, or longer by a stop every so often, and too dark at last."""
    one_s = chance.uniform(1.0, 12 * MIN)
    if chance.random() < 0.4:
        return Exposing.steady(one_s)
    stop_min, dark = chance.uniform(4.0, 40.0), chance.uniform(0.3, 1.2)
    minutes = range(int((light.end - light.start) / timedelta(minutes=1)) + 1)
    return Exposing(
        begins=tuple(light.start.timestamp() + k * MIN for k in minutes),
        lasts_s=tuple(
            inf if k > dark * len(minutes) else one_s * 2.0 ** (k / stop_min) for k in minutes
        ),
    )


def case_of(number: int) -> Case:
    """A made-up day: ways out and back, alike or not; a window by day, dusk or night; limits."""
    chance = Random(number)
    slow = chance.uniform(1.0, 1.6)
    out, out_ground = ways(chance, slow)
    back, back_ground = out[::-1], out_ground[::-1]
    if chance.random() < 0.5:
        back, back_ground = ways(chance, slow)
    day = date(2026, 1, 1) + timedelta(days=chance.randint(0, 364))
    begin = datetime.combine(day, time(6), UTC) + timedelta(minutes=chance.randint(0, 15 * 60))
    needs = Needs(
        drive_s=chance.choice([None, chance.uniform(0, 120 * MIN)]),
        leave=chance.choice([None, time(7, 0), time(10, 30)]),
        back_by=chance.choice([None, time(17, 0), time(22, 0)]),
        set_up_s=chance.choice([20 * MIN, 40 * MIN]),
        plates=chance.randint(1, 4),
        margin_s=chance.choice([None, chance.uniform(0, 60 * MIN)]),
    )
    walk = Walk(out=out, back=back, out_ground=out_ground, back_ground=back_ground)
    now = chance.choice([None, begin - timedelta(hours=2)])
    light = window(begin, chance.randint(1, 240), plus_minus_min=chance.uniform(0, 40))
    return walk, light, needs, growing(chance, light), now


def lux(seconds: float, share: float) -> float:
    """On level ground with a share of the open sky, the sun's own light left out by night."""
    instant = np.array([round(seconds * 1000)]).astype("datetime64[ms]")
    sun = sun_position(instant, LATITUDE, LONGITUDE, refraction=False)
    return float(sun_level_lux(sun.altitude_deg)[0]) * share


def usable(over: LegGround, month: int, seconds: float) -> bool:
    """Whether there is usable light then at the darkest place of a leg."""
    return lux(seconds, over.sky_view * 2.0 ** -over.stops(month)) >= 0.97 * USABLE_LUX


def slowly(
    legs: tuple[Leg, ...], light: tuple[tuple[float, float], ...], begin: float
) -> list[float]:
    """When each leg is left at the slow pace, by torch out of its light: a minute at a time."""
    ends = []
    for each, (dawn, dusk) in zip(legs, light, strict=True):
        left = each.slow_s
        factor = night_factor(rough=each.rough)
        if each.rough:
            begin = max(begin, dawn)
        while left > 1e-6:
            pace = 1.0 if dawn <= begin < dusk else factor
            ahead = [edge - begin for edge in (dawn, dusk) if edge > begin]
            step = min([left * pace, *ahead])
            begin, left = begin + step, left - step / pace
        ends.append(begin)
    return ends


@settings(max_examples=2000)
@given(st.integers(0, 10**9))
def test_a_day_that_works_is_in_time_in_light_and_within_its_limits(number: int) -> None:
    walk, light, needs, one, now = case_of(number)
    day = day_of(walk, light, needs, exposure=one, now=now)
    assert day.works == (not short_of(day))
    if not day.works:
        return
    times = times_of(day, needs)
    second = timedelta(seconds=1)
    month = light.day.month
    arrived = slowly(walk.out, day.out_light, times.leave_start.timestamp())
    ready = at(arrived[-1] + needs.set_up_s + A_PLATE_S)
    assert abs(ready - times.set_up_by) <= 2 * second
    # arriving, setting up and exposing at the slow pace is over when the light is, as planned
    # and begun at the latest: each plate as long as the light of its own moment asks
    for begun in (max(ready, times.expose), times.expose_by):
        done = begun.timestamp()
        for plate in range(needs.plates):
            done += A_PLATE_S if plate else 0.0
            done += one.lasts(done - 1.0)
        assert done <= light.end.timestamp() + 5.0
        assert not isinf(done)
        if begun != times.expose_by:
            assert done + needs.pack_s <= times.away.timestamp() + 5.0
    assert times.expose >= light.start - second
    home = slowly(walk.back, day.back_light, times.away.timestamp())
    margin = day.clock.margin_s
    for each, over, end in zip(walk.back, walk.back_ground, home, strict=True):
        if each.rough:  # left with the margin still to run, and there is usable light then
            assert usable(over, month, end + margin - 3.0)
            assert usable(over, month, end)
    if needs.back_by is not None:
        limit = datetime.combine(light.day, needs.back_by, local(light.start, ZONE).tzinfo)
        if limit < light.start:
            limit += timedelta(days=1)
        assert home[-1] + margin <= limit.timestamp() + 3.0
        last = slowly(walk.back, day.back_light, times.last_away.timestamp())[-1]
        assert last + margin <= limit.timestamp() + 3.0
        assert abs(last - times.back_by.timestamp()) <= 2.0
    begun_s = times.leave_start.timestamp()
    for each, over, quick, slow in zip(
        walk.out, walk.out_ground, day.clock.arrive_usual, arrived, strict=True
    ):
        if each.rough:
            assert usable(over, month, begun_s + 2.0)
            assert usable(over, month, slow + margin - 3.0)
        begun_s = quick
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
    return day_of(walk, window(begin, 90.0), Needs(**needs), exposure=Exposing.steady(60.0))  # type: ignore[arg-type]


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


@pytest.mark.parametrize(
    ("begin", "limit", "day"),
    [
        ((22, 0), time(4, 30), 1),  # a light of midsummer night: back in the morning after
        ((22, 0), time(23, 30), 0),
        ((14, 0), time(12, 0), 0),  # noon for a light of the afternoon: it cannot be done
        ((9, 0), time(8, 0), 0),
        ((9, 0), time(15, 0), 0),
    ],
)
def test_the_limit_is_that_night_s_and_never_the_noon_after(
    begin: tuple[int, int], limit: time, day: int
) -> None:
    walk = Walk(out=(leg(60 * MIN, rough=False),), back=(), out_ground=(ground(),), back_ground=())
    start = datetime(2026, 12, 21, *begin, tzinfo=ZoneInfo(ZONE))
    held = window(start.astimezone(UTC), 120.0)
    found = day_of(walk, held, Needs(back_by=limit), exposure=Exposing.steady(60.0))
    back_by = local(datetime.fromtimestamp(found.demand.back_by, UTC), ZONE)
    assert (back_by.date() - start.date()).days == day
    assert back_by.time() == limit


@pytest.mark.parametrize(
    ("begin", "leave", "drive_h", "day"),
    [
        ((0, 30), time(20, 0), None, -1),  # the evening before
        ((6, 45), time(21, 0), 9.0, -1),  # a night's drive to a light at dawn
        ((14, 0), time(7, 0), 1.0, 0),
        ((9, 0), time(15, 0), None, 0),  # too late, and nobody meant the day before
    ],
)
def test_one_leaves_the_evening_before_where_that_is_what_was_meant(
    begin: tuple[int, int], leave: time, drive_h: float | None, day: int
) -> None:
    walk = Walk(out=(leg(60 * MIN, rough=False),), back=(), out_ground=(ground(),), back_ground=())
    start = datetime(2026, 12, 21, *begin, tzinfo=ZoneInfo(ZONE))
    needs = Needs(leave=leave, drive_s=None if drive_h is None else drive_h * 3600.0)
    held = window(start.astimezone(UTC), 120.0)
    found = day_of(walk, held, needs, exposure=Exposing.steady(60.0))
    from_home = datetime.fromtimestamp(found.demand.not_before - needs.from_home_s, UTC)
    assert (local(from_home, ZONE).date() - start.date()).days == day
    assert local(from_home, ZONE).time() == leave


def test_a_window_already_begun_is_judged_from_now() -> None:
    walk = Walk(out=(leg(60 * MIN, rough=False),), back=(), out_ground=(ground(),), back_ground=())
    begin = datetime(2026, 12, 21, 14, 0, tzinfo=UTC)
    late = day_of(walk, window(begin, 60.0), Needs(), exposure=Exposing.steady(60.0), now=begin)
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
    day = day_of(walk, window(begin, 60.0), Needs(), exposure=Exposing.steady(60.0))
    assert not day.works
    assert {short.short_s for short in short_of(day) if "light" in short.what} == {None}
