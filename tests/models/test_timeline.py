"""An outing's clock over thousands of made-up outings: what it promises at the slow pace holds."""

from dataclasses import replace
from math import inf
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.exposing import Exposing
from backbearing.models.timeline import Demand, LegTime, home_at, margin_s, outing_clock

H, MIN = 3600.0, 60.0


def legs(chance: Random, count: int, dawn: float, dusk: float) -> tuple[LegTime, ...]:
    """Legs of which some need light, each darker or lighter than the day; paths by torch."""
    found = []
    for _ in range(count):
        usual = chance.uniform(2 * MIN, 60 * MIN)
        shade = chance.uniform(0, 30 * MIN)
        found.append(
            LegTime(
                usual_s=usual,
                slow_s=usual * chance.uniform(1.0, 1.8),
                light_from=dawn + shade,
                light_until=dusk - shade,
                needs_light=chance.random() < 0.5,
                dark_factor=chance.choice([1.0, 1.25, 1.0 / 0.7]),
            )
        )
    return tuple(found)


def exposures(chance: Random, opens: float, closes: float) -> Exposing:
    """As long all the time, or doubling every so often as the light goes, at last without end."""
    steady_s = chance.uniform(1.0, 20 * MIN)
    if chance.random() < 0.4:
        return Exposing.steady(steady_s)
    doubling_s = chance.uniform(3 * MIN, 60 * MIN)
    growing = chance.choice([-1.0, 1.0])  # in the morning, in the evening
    begins = [opens + (closes - opens) * k / 20 for k in range(21)]
    lasts = [steady_s * 2.0 ** (growing * (t - begins[10]) / doubling_s) for t in begins]
    longest = chance.uniform(MIN, 3 * H)
    return Exposing(
        begins=tuple(begins), lasts_s=tuple(inf if each > longest else each for each in lasts)
    )


def demand_of(number: int) -> Demand:
    """A made-up day with a window, a dusk, legs of which some need light, and limits.

    The way back is the way out, or another with other legs; windows lie by day, across dawn or
    dusk, and by night.
    """
    chance = Random(number)
    dawn, dusk = chance.uniform(5 * H, 9 * H), chance.uniform(15 * H, 22 * H)
    out = legs(chance, chance.randint(1, 5), dawn, dusk)
    back, retraced = out[::-1], out
    if chance.random() < 0.6:
        back = legs(chance, chance.randint(1, 6), dawn, dusk)
        factors = [chance.uniform(0.5, 2.0) for _ in out]
        retraced = tuple(
            replace(leg, usual_s=leg.usual_s * factor, slow_s=leg.slow_s * factor)
            for leg, factor in zip(out, factors, strict=True)
        )
    opens = chance.uniform(dawn - H, dusk + H)
    length = chance.uniform(MIN, 4 * H)
    return Demand(
        out=out,
        back=back,
        retraced=retraced,
        opens=opens,
        best=opens + length * chance.random(),
        closes=opens + length,
        plus_minus_s=chance.uniform(0, 40 * MIN),
        set_up_s=chance.uniform(0, 60 * MIN),
        exposing=exposures(chance, opens, opens + length),
        pack_s=chance.uniform(0, 20 * MIN),
        back_by=chance.choice([inf, chance.uniform(dusk - 2 * H, dusk + 4 * H)]),
        not_before=chance.choice([-inf, chance.uniform(3 * H, 12 * H)]),
        margin_s=chance.choice([None, chance.uniform(0, 90 * MIN)]),
    )


demands = st.integers(0, 10**9).map(demand_of)

TICK = 1e-6


def walk(
    legs: tuple[LegTime, ...], begin: float, *, slow: bool = True
) -> list[tuple[float, float]]:
    """When each leg is begun and ended, in steps of its light and dark parts: by its own sum."""
    found = []
    for leg in legs:
        if leg.needs_light:
            begin = max(begin, leg.light_from)
        left, at = leg.slow_s if slow else leg.usual_s, begin
        for until, factor in (
            (leg.light_from, leg.dark_factor),
            (leg.light_until, 1.0),
            (inf, leg.dark_factor),
        ):
            part = min(left, max(0.0, until - at) / factor)
            at, left = at + part * factor, left - part
        found.append((begin, at))
        begin = at
    return found


def left_in_light(legs: tuple[LegTime, ...], begin: float, margin: float) -> bool:
    """Whether a slow walker leaves every leg that needs light in it."""
    return all(
        not leg.needs_light or end <= leg.light_until - margin + TICK
        for leg, (_, end) in zip(legs, walk(legs, begin), strict=True)
    )


@settings(max_examples=3000)
@given(demands)
def test_an_outing_that_works_keeps_every_promise_at_the_slow_pace(demand: Demand) -> None:
    clock = outing_clock(demand)
    if not clock.works:
        return
    assert clock.leave >= demand.not_before - TICK
    assert clock.leave <= clock.leave_by + TICK
    out = walk(demand.out, clock.leave)
    assert clock.arrive_slow == pytest.approx([end for _, end in out])
    assert clock.ready == pytest.approx(out[-1][1] + demand.set_up_s)
    assert clock.ready <= clock.expose + TICK
    assert clock.expose >= demand.opens - TICK
    assert clock.exposing_s == demand.exposing.lasts(clock.expose) < inf
    assert clock.expose + clock.exposing_s <= demand.closes + TICK
    assert clock.expose <= clock.expose_by + TICK
    assert clock.expose_by + demand.exposing.lasts(clock.expose_by) <= demand.closes + TICK
    assert clock.away == pytest.approx(clock.expose + clock.exposing_s + demand.pack_s)
    assert clock.away <= clock.away_by + TICK
    for begin in (clock.away, clock.away_by):
        if begin < inf:
            assert left_in_light(demand.back, begin, clock.margin_s)
            home = walk(demand.back, begin)[-1][1]
            assert home == pytest.approx(home_at(demand, begin))
            assert home <= demand.back_by - clock.margin_s + TICK
    assert left_in_light(demand.out, clock.leave, clock.margin_s)
    # on the way out no leg that needs light is begun in the dark, even by a quick walker
    begin = clock.leave
    for leg, end in zip(demand.out, clock.arrive_usual, strict=True):
        assert not leg.needs_light or begin >= leg.light_from - TICK
        begin = end


@settings(max_examples=1000)
@given(demands, st.floats(0.0, 1.0))
def test_whoever_passes_in_time_makes_the_exposure_and_gets_home(
    demand: Demand, share: float
) -> None:
    """Turned loose at any place before its deadlines, the slow walker keeps all limits."""
    clock = outing_clock(demand)
    if not clock.works:
        return
    for number, (pass_by, turn_back) in enumerate(
        zip(clock.pass_by, clock.turn_back, strict=True), start=1
    ):
        rest = demand.out[number:]
        # those who come sooner wait for the planned minute; the last to pass begins at once
        ready = (walk(rest, pass_by)[-1][1] if rest else pass_by) + demand.set_up_s
        assert ready <= clock.expose_by + TICK
        assert left_in_light(rest, pass_by, clock.margin_s)
        home = demand.retraced[:number][::-1] if rest else demand.back
        if turn_back < inf and not any(
            leg.needs_light and begin < leg.light_from + TICK
            for leg, (begin, _) in zip(home, walk(home, turn_back - share * H), strict=True)
        ):
            assert left_in_light(home, turn_back - share * H, clock.margin_s)
            end = walk(home, turn_back - share * H)[-1][1]
            assert end <= demand.back_by - clock.margin_s + TICK


@settings(max_examples=1000)
@given(demands)
def test_what_is_short_is_really_short(demand: Demand) -> None:
    """With every shortfall granted and a second more, the day works; without, it does not."""
    clock = outing_clock(demand)
    worst = {}
    for short in clock.shortfalls:
        assert short.short_s > 0.0
        worst[short.what] = max(worst.get(short.what, 0.0), short.short_s)
    if set(worst) == {"back by"}:
        eased = replace(demand, back_by=demand.back_by + worst["back by"] + 1.0)
        assert outing_clock(eased).works
        nearly = replace(demand, back_by=demand.back_by + worst["back by"] - 1.0)
        assert not outing_clock(nearly).works


def simple(**change: object) -> Demand:
    leg = LegTime(usual_s=60 * MIN, slow_s=90 * MIN)
    parts: dict[str, object] = {
        "out": (leg,),
        "back": (leg,),
        "retraced": (leg,),
        "opens": 12 * H,
        "best": 12.5 * H,
        "closes": 13 * H,
        "plus_minus_s": 5 * MIN,
        "set_up_s": 20 * MIN,
        "exposing": Exposing.steady(5 * MIN),
        "pack_s": 10 * MIN,
        **change,
    }
    return Demand(**parts)  # type: ignore[arg-type]


def test_a_plain_day() -> None:
    clock = outing_clock(simple(back_by=16 * H))
    assert clock.works
    assert clock.leave == pytest.approx(12 * H - 5 * MIN - 20 * MIN - 90 * MIN)
    assert clock.expose == 12.5 * H
    # back at four less the margin of half an hour, an hour and a half to walk
    assert clock.away_by == pytest.approx(16 * H - 30 * MIN - 90 * MIN)
    assert clock.turn_back[0] == clock.away_by
    assert clock.pass_by[0] == pytest.approx(13 * H - 5 * MIN - 5 * MIN - 20 * MIN)


def test_the_published_turn_back_example() -> None:
    """Civil end 17:05, 30 min in hand, 2.25 h back at a factor of 1.2: turn at 13:53 (own list)."""
    back = LegTime(usual_s=2.25 * H, slow_s=2.25 * H * 1.2, light_until=17 * H + 5 * MIN)
    back = replace(back, needs_light=True)
    clock = outing_clock(simple(out=(back,), back=(back,), margin_s=30 * MIN))
    assert clock.turn_back[0] == pytest.approx(13 * H + 53 * MIN)


def test_the_margin_is_half_an_hour_or_a_quarter_of_the_way_out() -> None:
    assert margin_s([LegTime(usual_s=H, slow_s=H)]) == 30 * MIN
    assert margin_s([LegTime(usual_s=4 * H, slow_s=6 * H)]) == 90 * MIN


def test_a_day_that_does_not_work_says_what_is_short() -> None:
    clock = outing_clock(simple(back_by=14 * H))
    (short,) = clock.shortfalls
    assert short.what == "back by"
    # exposed at noon at the earliest, packed, walked back: 13:45; 14:00 less half an hour
    assert short.short_s == pytest.approx(15 * MIN)
    late = outing_clock(simple(not_before=11.5 * H))
    assert [short.what for short in late.shortfalls] == ["arrival"]
    short_window = outing_clock(simple(exposing=Exposing.steady(2 * H)))
    assert "window" in [short.what for short in short_window.shortfalls]


@pytest.mark.parametrize(
    "change", [{"set_up_s": -1.0}, {"best": 11 * H}, {"pack_s": inf}, {"margin_s": -5.0}]
)
def test_impossible_times_are_refused(change: dict[str, float]) -> None:
    with pytest.raises(BadInput):
        outing_clock(simple(**change))


def test_turning_back_counts_the_way_one_came_whatever_the_way_back_is_like() -> None:
    """100 min each way, 50 of them behind one, light until 17:00 and no margin: 16:10."""

    def leg(minutes: float) -> LegTime:
        seconds = minutes * MIN
        return LegTime(usual_s=seconds, slow_s=seconds, light_until=17 * H, needs_light=True)

    out = (leg(50), leg(50))
    other = tuple(map(leg, (60, 10, 10, 10, 10)))
    clock = outing_clock(simple(out=out, back=other, retraced=out, margin_s=0.0))
    assert clock.turn_back == (16 * H + 10 * MIN, 15 * H + 20 * MIN)


def test_a_rough_leg_out_is_walked_in_its_light_also_where_one_must_wait_for_a_late_window() -> (
    None
):
    """Out over rough ground, back by a path after dark: there before dusk, less the margin."""
    rough = LegTime(usual_s=H, slow_s=H, light_from=6 * H, light_until=17 * H, needs_light=True)
    path = replace(rough, needs_light=False, dark_factor=1.25)
    evening = simple(out=(rough,), back=(path,), opens=20 * H, best=20.5 * H, closes=21 * H)
    clock = outing_clock(evening)
    assert clock.works
    assert clock.arrive_slow == (16.5 * H,)
    assert clock.pass_by == (16.5 * H,)
    # by torch an hour takes a quarter more
    assert clock.back_slow[0] - clock.away == pytest.approx(75 * MIN)
    (short,) = outing_clock(replace(evening, not_before=18 * H)).shortfalls
    assert (short.what, short.leg, short.short_s) == ("light on the way out", 0, 2.5 * H)


def test_a_leg_half_walked_by_dusk_is_slower_from_there() -> None:
    leg = LegTime(usual_s=H, slow_s=H, light_from=8 * H, light_until=17 * H, dark_factor=1.25)
    assert leg.end(16.5 * H, H) == pytest.approx(17.5 * H + 7.5 * MIN)
    assert leg.end(7.5 * H, H) == pytest.approx(8 * H + 36 * MIN)
    for begin in (5 * H, 7.5 * H, 12 * H, 16.5 * H, 20 * H):
        assert leg.begin(leg.end(begin, H), H) == pytest.approx(begin)


def test_exposures_begun_at_the_latest_end_before_the_light_though_they_grow() -> None:
    """Twice as long every 10 min: 5 min at noon, 10 at 12:10, too dark from 12:30."""
    begins = tuple(12 * H + k * MIN for k in range(61))
    lasts = tuple(5 * MIN * 2.0 ** (k / 10) if k < 30 else inf for k in range(61))
    falling = Exposing(begins=begins, lasts_s=lasts)
    evening = simple(best=12 * H, exposing=falling, plus_minus_s=0.0)
    clock = outing_clock(evening)
    assert 26.5 * MIN <= clock.expose_by - 12 * H <= 27.1 * MIN  # 32 min then
    assert clock.done_by <= 13 * H
    assert clock.pass_by[0] == pytest.approx(clock.expose_by - 20 * MIN)
    # there at 12:18: what is begun then takes three and a half times as long as at noon
    late = outing_clock(replace(evening, not_before=12.3 * H - 110 * MIN))
    assert late.works
    assert late.exposing_s == pytest.approx(5 * MIN * 2.0**1.8, rel=0.08)
    dark = outing_clock(simple(exposing=falling, not_before=12.6 * H - 110 * MIN))
    assert [(each.what, each.short_s) for each in dark.shortfalls] == [("arrival", inf)]


def test_a_window_too_dark_throughout_does_not_work() -> None:
    clock = outing_clock(simple(exposing=Exposing.steady(inf)))
    assert [each.what for each in clock.shortfalls] == ["window"]
