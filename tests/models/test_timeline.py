"""An outing's clock over thousands of made-up outings: what it promises at the slow pace holds."""

from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.timeline import Demand, LegTime, margin_s, outing_clock

H, MIN = 3600.0, 60.0


@st.composite
def demands(draw: st.DrawFn) -> Demand:
    """Days with a window, a dusk, legs of which some need light, and limits."""
    count = draw(st.integers(1, 5))
    dawn, dusk = draw(st.floats(5 * H, 9 * H)), draw(st.floats(15 * H, 22 * H))
    usual = [draw(st.floats(2 * MIN, 90 * MIN)) for _ in range(count)]
    slow = [seconds * draw(st.floats(1.0, 1.8)) for seconds in usual]
    rough = [draw(st.booleans()) for _ in range(count)]
    legs = [
        LegTime(
            usual_s=u,
            slow_s=s,
            light_from=dawn if r else -inf,
            light_until=dusk - draw(st.floats(0, 30 * MIN)) if r else inf,
        )
        for u, s, r in zip(usual, slow, rough, strict=True)
    ]
    opens = draw(st.floats(dawn, dusk))
    length = draw(st.floats(0.0, 4 * H))
    return Demand(
        out=tuple(legs),
        back=tuple(reversed(legs)),
        opens=opens,
        best=opens + length * draw(st.floats(0, 1)),
        closes=opens + length,
        plus_minus_s=draw(st.floats(0, 40 * MIN)),
        set_up_s=draw(st.floats(0, 60 * MIN)),
        exposing_s=draw(st.floats(1.0, 40 * MIN)),
        pack_s=draw(st.floats(0, 20 * MIN)),
        back_by=draw(st.just(inf) | st.floats(dusk - 2 * H, dusk + 4 * H)),
        not_before=draw(st.just(-inf) | st.floats(3 * H, 12 * H)),
        margin_s=draw(st.none() | st.floats(0, 90 * MIN)),
    )


@settings(max_examples=3000)
@given(demands())
def test_an_outing_that_works_keeps_every_promise_at_the_slow_pace(demand: Demand) -> None:
    clock = outing_clock(demand)
    if not clock.works:
        return
    tick = 1e-6
    assert clock.leave >= demand.not_before - tick
    assert clock.leave <= clock.leave_by + tick
    assert clock.ready == pytest.approx(clock.arrive_slow[-1] + demand.set_up_s)
    assert clock.ready <= clock.expose + tick
    assert clock.expose >= demand.opens - tick
    assert clock.expose + demand.exposing_s <= demand.closes + tick
    assert clock.away <= clock.away_by + tick
    for leg, end in zip(demand.back, clock.back_slow, strict=True):
        assert end <= leg.light_until - clock.margin_s + tick
    assert clock.back_slow[-1] <= demand.back_by - clock.margin_s + tick
    # on the way out no leg that needs light is begun in the dark, even by a quick walker
    begins = (clock.leave, *clock.arrive_usual)
    for leg, begin in zip(demand.out, begins, strict=False):
        assert begin >= leg.light_from - tick


@settings(max_examples=1000)
@given(demands(), st.floats(0.0, 1.0))
def test_whoever_passes_in_time_makes_the_exposure_and_gets_home(
    demand: Demand, share: float
) -> None:
    """Turned loose at any place before its deadlines, the slow walker keeps all limits."""
    clock = outing_clock(demand)
    tick = 1e-6
    for number, (pass_by, turn_back) in enumerate(
        zip(clock.pass_by, clock.turn_back, strict=True), start=1
    ):
        begun = pass_by - share * H
        ready = begun + sum(leg.slow_s for leg in demand.out[number:]) + demand.set_up_s
        exposed = max(ready, min(demand.opens, clock.expose_by)) + demand.exposing_s
        assert exposed <= demand.closes + tick
        at = exposed + demand.pack_s
        for leg in demand.back:
            at += leg.slow_s
            assert at <= leg.light_until - clock.margin_s + tick
        assert at <= demand.back_by - clock.margin_s + tick
        at = turn_back
        for leg in demand.back[len(demand.out) - number :]:
            at += leg.slow_s
            assert at <= leg.light_until - clock.margin_s + tick
        assert at <= demand.back_by - clock.margin_s + tick


@settings(max_examples=1000)
@given(demands())
def test_what_is_short_is_really_short(demand: Demand) -> None:
    """With every shortfall granted and a second more, the day works; without, it does not."""
    clock = outing_clock(demand)
    worst = {}
    for short in clock.shortfalls:
        assert short.short_s > 0.0
        worst[short.what] = max(worst.get(short.what, 0.0), short.short_s)
    if set(worst) == {"back by"}:
        eased = _with(demand, back_by=demand.back_by + worst["back by"] + 1.0)
        assert outing_clock(eased).works
        nearly = _with(demand, back_by=demand.back_by + worst["back by"] - 1.0)
        assert not outing_clock(nearly).works


def _with(demand: Demand, **change: float) -> Demand:
    names = demand.__slots__
    return Demand(**{**{name: getattr(demand, name) for name in names}, **change})


def simple(**change: object) -> Demand:
    leg = LegTime(usual_s=60 * MIN, slow_s=90 * MIN)
    parts: dict[str, object] = {
        "out": (leg,),
        "back": (leg,),
        "opens": 12 * H,
        "best": 12.5 * H,
        "closes": 13 * H,
        "plus_minus_s": 5 * MIN,
        "set_up_s": 20 * MIN,
        "exposing_s": 5 * MIN,
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
    short_window = outing_clock(simple(exposing_s=2 * H))
    assert "window" in [short.what for short in short_window.shortfalls]


@pytest.mark.parametrize(
    "change", [{"set_up_s": -1.0}, {"best": 11 * H}, {"pack_s": inf}, {"margin_s": -5.0}]
)
def test_impossible_times_are_refused(change: dict[str, float]) -> None:
    with pytest.raises(BadInput):
        outing_clock(simple(**change))
