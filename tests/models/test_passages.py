"""Chances of a passage: only a wall stays closed, and time takes what was found away."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.models.passages import chance_open, worth_trying
from backbearing.records import (
    PASSAGE_CAUSES,
    PASSAGE_KINDS,
    PASSAGE_STATES,
    Passage,
    PassageReport,
    Place,
)

DAY = date(2026, 7, 15)


def passage(
    state: str,
    cause: str = "",
    *,
    days_ago: int | None = 0,
    kind: str = "gap",
    latitude_deg: float = 46.0,
    on: date = DAY,
) -> Passage:
    when = None if days_ago is None else on - timedelta(days=days_ago)
    return Passage(
        name="it",
        kind=kind,  # type: ignore[arg-type]
        place=Place(
            latitude_deg=latitude_deg, longitude_deg=8.0, error_m=10.0, error_basis="given"
        ),
        reports=(PassageReport(state=state, cause=cause, on=when),),  # type: ignore[arg-type]
    )


@given(
    st.sampled_from(PASSAGE_STATES),
    st.sampled_from(PASSAGE_CAUSES),
    st.sampled_from(PASSAGE_KINDS),
    st.none() | st.integers(-30, 5000),
    st.dates(date(2000, 1, 1), date(2099, 12, 31)),
    st.floats(-80, 80),
)
def test_a_chance_is_a_chance_and_only_a_wall_takes_the_ground_beyond(
    state: str, cause: str, kind: str, days_ago: int | None, on: date, latitude_deg: float
) -> None:
    chance = chance_open(
        passage(state, cause, days_ago=days_ago, kind=kind, latitude_deg=latitude_deg, on=on), on
    )
    assert 0.0 <= chance <= 1.0
    assert (chance == 0.0) == (state == "blocked" and cause == "wall")


@pytest.mark.parametrize("cause", ["water", "snow", "windfall", ""])
def test_what_was_found_blocked_becomes_likelier_open_with_the_days(cause: str) -> None:
    chances = [
        chance_open(passage("blocked", cause, days_ago=days), DAY) for days in (0, 3, 30, 300, 3000)
    ]
    assert chances[0] == pytest.approx(0.02)
    assert chances == sorted(chances)
    assert chances[-1] > 0.3


def test_snow_goes_with_summer_on_either_side_of_the_equator() -> None:
    for latitude_deg, summer, winter in ((60.0, 7, 1), (-45.0, 1, 7)):
        chance = {
            month: chance_open(
                passage(
                    "blocked",
                    "snow",
                    days_ago=200,
                    latitude_deg=latitude_deg,
                    on=date(2026, month, 15),
                ),
                date(2026, month, 15),
            )
            for month in (summer, winter)
        }
        assert chance[summer] > chance[winter] + 0.3


def test_running_out_of_time_says_nothing_of_the_passage() -> None:
    assert chance_open(passage("blocked", "ran out of time"), DAY) == chance_open(
        passage("unknown"), DAY
    )


def test_what_only_looked_blocked_may_be_open_today() -> None:
    looked = chance_open(passage("looked blocked", "windfall"), DAY)
    assert chance_open(passage("blocked", "windfall"), DAY) < looked < 0.5
    # even a wall, seen from afar
    assert chance_open(passage("looked blocked", "wall"), DAY) > 0.2


def test_an_open_ford_is_soon_forgotten_and_an_open_bridge_is_not() -> None:
    ford, bridge = (
        chance_open(passage("open", days_ago=60, kind=kind), DAY) for kind in ("ford", "bridge")
    )
    assert bridge > 0.95
    assert ford < 0.9


def test_a_look_of_six_minutes_that_may_save_twenty_five_pays_at_even_chances() -> None:
    assert worth_trying(0.5, 6 * 60, 25 * 60) == pytest.approx(6.5 * 60)
    assert worth_trying(0.1, 6 * 60, 25 * 60) < 0.0
    assert worth_trying(0.5, 6 * 60, 25 * 60, lost_s=0.0) == pytest.approx(12.5 * 60)
