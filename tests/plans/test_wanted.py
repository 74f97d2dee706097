"""The wish as it is typed and as it is said."""

from __future__ import annotations

from datetime import date, time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.models.wanted import SpotMinutes, conditions
from backbearing.plans.periods import read_period
from backbearing.plans.wanted import (
    generic_wish,
    lit_from_words,
    read_wanted,
    wanted_clauses,
    wanted_words,
)
from backbearing.records import OtherSky, WantedLight


def read(base: WantedLight | None = None, **options: object) -> WantedLight:
    wish = read_wanted(options, base)
    assert wish is not None
    return wish


@pytest.mark.parametrize(
    ("text", "delta", "side"),
    [
        ("back", (0.0, 45.0), None),
        ("side", (45.0, 135.0), None),
        ("front-lit", (135.0, 180.0), None),
        ("left", (45.0, 135.0), "left"),
        ("Right", (45.0, 135.0), "right"),
        ("back left", (0.0, 45.0), "left"),
        ("60-120", (60.0, 120.0), None),
        ("60–120° right", (60.0, 120.0), "right"),
        ("60 to 120", (60.0, 120.0), None),
    ],
)
def test_lit_from(text: str, delta: tuple[float, float], side: str | None) -> None:
    wish = read(lit_from=text)
    assert (wish.delta_deg, wish.side) == (delta, side)


def test_the_other_words() -> None:
    wish = read(
        sun_altitude_deg="-6..4.5",
        sun_azimuth_deg="350-20",
        after_first_sun_min="0-60",
        before_last_sun_min="0-90min",
        months="Oct-Mar",
        weekdays="sat,sun",
        earliest="9:30",
        latest="17:00",
        minimum_min="20 min",
        other_sky="10:30-15:00",
        direct_sun=False,
    )
    assert wish == WantedLight(
        sun_altitude_deg=(-6.0, 4.5),
        sun_azimuth_deg=(350.0, 20.0),
        after_first_sun_min=(0.0, 60.0),
        before_last_sun_min=(0.0, 90.0),
        months=(10, 11, 12, 1, 2, 3),
        weekdays=(5, 6),
        earliest=time(9, 30),
        latest=time(17, 0),
        minimum_min=20.0,
        other_sky=OtherSky(earliest=time(10, 30), latest=time(15, 0)),
        direct_sun=False,
    )


@pytest.mark.parametrize(
    ("text", "months"),
    [
        ("10-3", (10, 11, 12, 1, 2, 3)),
        ("april", (4,)),
        ("4,5,9", (4, 5, 9)),
        ("Nov, Dec - Feb", (11, 12, 1, 2)),
        ("sept", (9,)),
    ],
)
def test_months(text: str, months: tuple[int, ...]) -> None:
    assert read(months=text).months == months


def test_all_azimuths_are_none_in_particular() -> None:
    assert read(WantedLight(direct_sun=True), sun_azimuth_deg="0-360").sun_azimuth_deg is None


def test_only_what_is_named_changes_and_any_lets_go() -> None:
    base = WantedLight(delta_deg=(0.0, 45.0), side="left", direct_sun=True, months=(4,))
    assert read(base, months="5").direct_sun is True
    let_go = read(base, lit_from="any", months="any", minimum_min="any")
    assert let_go == WantedLight(direct_sun=True, minimum_min=0.0)
    assert read_wanted({"months": None, "direct_sun": None}, base) is None


@pytest.mark.parametrize(
    ("option", "text", "named"),
    [
        ("lit_from", "behind", "--lit-from"),
        ("lit_from", "170-190", "--lit-from"),
        ("sun_altitude_deg", "25-5", "--sun-height"),
        ("sun_altitude_deg", "5-95", "--sun-height"),
        ("sun_altitude_deg", "nan-5", "--sun-height"),
        ("sun_azimuth_deg", "south", "--sun-azimuth"),
        ("sun_azimuth_deg", "180-180", "--sun-azimuth"),
        ("lit_from", "45-45", "--lit-from"),
        ("sun_altitude_deg", "5-5", "--sun-height"),
        ("after_first_sun_min", "-5-10", "--after-first-sun"),
        ("months", "13", "--months"),
        ("months", "", "--months"),
        ("months", "marble", "--months"),
        ("months", "decay", "--months"),
        ("weekdays", "sunset", "--weekdays"),
        ("weekdays", "saturn-monkey", "--weekdays"),
        ("months", "jan-feb-mar", "--months"),
        ("weekdays", "1", "--weekdays"),
        ("weekdays", "\x1b[31msat", "--weekdays"),
        ("earliest", "25:00", "--earliest"),
        ("minimum_min", "2 days", "--at-least"),
        ("minimum_min", "1441", "--at-least"),
        ("other_sky", "10:30", "--other-sky"),
        ("other_sky", "12:00-12:00", "--other-sky"),
    ],
)
def test_what_cannot_be_read_names_its_option(option: str, text: str, named: str) -> None:
    with pytest.raises(BadInput) as caught:
        read(**{option: text})
    assert named in str(caught.value)
    assert "\x1b" not in str(caught.value)


def test_a_clock_that_closes_as_it_opens_is_refused() -> None:
    with pytest.raises(BadInput, match="--latest"):
        read(earliest="13:00", latest="13:00")
    with pytest.raises(BadInput, match="--earliest"):
        read(WantedLight(latest=time(13)), earliest="13:00")
    # a wish already on record in that way can still be mended, and other things of it changed
    assert read(WantedLight(earliest=time(13), latest=time(13)), months="5").months == (5,)


@given(text=st.text(max_size=40))
def test_no_text_does_worse_than_be_refused(text: str) -> None:
    for option in ("lit_from", "sun_altitude_deg", "months", "weekdays", "other_sky", "earliest"):
        try:
            read(**{option: text})
        except BadInput:
            continue


# ---------------------------------------------------------------- said


def pairs(low: float, high: float) -> st.SearchStrategy[tuple[float, float] | None]:
    figures = st.tuples(st.integers(int(low), int(high)), st.integers(int(low), int(high)))
    return st.none() | figures.map(lambda p: (float(min(p)), float(max(p))))


clocks = st.none() | st.times().map(lambda t: t.replace(second=0, microsecond=0))
wishes = st.builds(
    WantedLight,
    delta_deg=pairs(0, 180),
    side=st.sampled_from([None, "left", "right"]),
    sun_altitude_deg=pairs(-18, 90),
    sun_azimuth_deg=pairs(0, 360),
    direct_sun=st.sampled_from([None, True, False]),
    after_first_sun_min=pairs(0, 600),
    before_last_sun_min=pairs(0, 600),
    months=st.lists(st.integers(1, 12), unique=True).map(tuple),
    weekdays=st.lists(st.integers(0, 6), unique=True).map(tuple),
    earliest=clocks,
    latest=clocks,
)


@given(wish=wishes)
def test_each_condition_has_its_clause(wish: WantedLight) -> None:
    """What is judged and what is said are the same things, by the same names, in one order."""
    minute = np.arange(10)
    spot = SpotMinutes(
        time=np.datetime64("2026-03-01", "ms") + minute * np.timedelta64(60_000, "ms"),
        azimuth_deg=minute * 0.25,
        altitude_deg=minute * 0.2,
        sunlit=minute > 4,
        day=minute * 0 + 20_000,
        clock_min=minute,
        longitude_deg=0.0,
    )
    judged = [c.name for c in conditions(spot, wish, 100.0)]
    said = [name for name in wanted_clauses(wish) if name not in ("minimum length", "other sky")]
    assert said == judged


def test_a_wish_in_words() -> None:
    wish = WantedLight(
        direct_sun=True,
        delta_deg=(45.0, 135.0),
        side="left",
        sun_altitude_deg=(-2.0, 25.0),
        sun_azimuth_deg=(90.0, 180.0),
        after_first_sun_min=(0.0, 60.0),
        months=(10, 11, 12, 1, 2, 3),
        weekdays=(5, 6),
        earliest=time(9),
        minimum_min=20.0,
        other_sky=OtherSky(earliest=time(10, 30), latest=time(15)),
    )
    assert wanted_words(wish) == (
        "sun on it, side-lit from the left, sun −2 to 25° high, sun between 90° and 180° true, "
        "0–60 min after first sun, Oct–Mar, Sat, Sun, from 09:00, for 20 min at least, "
        "overcast will do 10:30–15:00"
    )


@pytest.mark.parametrize(
    ("delta", "left", "words"),
    [
        (0.0, True, "back-lit"),
        (45.0, True, "back-lit"),
        (46.0, True, "side-lit from the left"),
        (90.0, False, "side-lit from the right"),
        (135.0, False, "front-lit"),
    ],
)
def test_lit_from_in_words(delta: float, left: bool, words: str) -> None:
    assert lit_from_words(delta, left=left) == words


def test_the_generic_wish_asks_for_a_side_only_where_it_can_be_judged() -> None:
    assert generic_wish(bearing_known=True).delta_deg == (45.0, 135.0)
    assert generic_wish(bearing_known=False).delta_deg is None


# ---------------------------------------------------------------- periods

THURSDAY = date(2026, 11, 26)


@pytest.mark.parametrize(
    ("typed", "many", "period"),
    [
        ((None, None, None), False, (THURSDAY, date(2027, 11, 25))),
        ((None, None, None), True, (THURSDAY, date(2026, 12, 9))),
        (("2026-03-01", None, None), True, (date(2026, 3, 1), date(2026, 3, 14))),
        (("sat", "sun", None), True, (date(2026, 11, 28), date(2026, 11, 29))),
        ((None, None, "saturday"), True, (date(2026, 11, 28), date(2026, 11, 28))),
        ((None, None, "thu"), True, (THURSDAY, THURSDAY)),
        ((None, None, "thurs"), True, (THURSDAY, THURSDAY)),
        ((None, None, "tues"), True, (date(2026, 12, 1), date(2026, 12, 1))),
        ((None, "2020-01-01", None), False, (THURSDAY, date(2020, 1, 1))),  # refused as backwards
        ((None, "tomorrow", None), False, (THURSDAY, date(2026, 11, 27))),
    ],
)
def test_periods(
    typed: tuple[str | None, str | None, str | None], many: bool, period: tuple[date, date]
) -> None:
    assert read_period(*typed, today=THURSDAY, many=many) == period


@pytest.mark.parametrize(
    "typed",
    [
        ("soon", None, None),
        (None, "31.2.", None),
        ("today",) * 3,
        (None, None, "sunset"),
        (None, None, "monkey"),
        ("wedge", None, None),
    ],
)
def test_what_is_no_period_is_refused(typed: tuple[str | None, str | None, str | None]) -> None:
    with pytest.raises(BadInput, match="--"):
        read_period(*typed, today=THURSDAY, many=True)
