"""When the sun reaches a place, in one sentence that holds on whatever day it is asked."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from backbearing.plans.horizon import Season, SkylineAnswer, SkyView, ask_skyline
from backbearing.writers.skyline import seasons_sentence, sky_view_sentence


def asked_on(day: date) -> SkylineAnswer:
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
    return ask_skyline(None, "47.0, -21.0", days=["2030-06-21"], now=noon)


@pytest.mark.parametrize(
    "day",
    [
        date(2026, 11, 25),
        date(2027, 1, 1),  # the year looked at ends in the same calendar year
        date(2027, 6, 1),  # it holds a 29 February
        date(2028, 2, 29),
        date(2028, 3, 1),  # the day before has no like in the next year
    ],
)
def test_over_a_plain_the_sun_comes_on_every_day_whenever_one_asks(day: date) -> None:
    assert "on every day of the year" in seasons_sentence(asked_on(day))


def test_a_season_names_its_first_and_last_day() -> None:
    season = Season(first=date(2027, 3, 3), last=date(2027, 10, 9))
    answer = replace(asked_on(date(2026, 11, 25)), seasons=(season,))
    assert "reaches here from 3 Mar 2027 to 9 Oct 2027," in seasons_sentence(answer)


def test_asked_within_a_season_it_says_until_when_and_from_when_again() -> None:
    answer = replace(
        asked_on(date(2027, 7, 1)),
        seasons=(
            Season(first=date(2027, 7, 1), last=date(2027, 10, 9)),
            Season(first=date(2028, 3, 3), last=date(2028, 6, 29)),  # cut by the year's end
        ),
    )
    said = seasons_sentence(answer)
    assert "from now to 9 Oct 2027 and from 3 Mar 2028 onwards," in said
    assert "Jun" not in said


def test_no_season_is_an_answer() -> None:
    answer = replace(asked_on(date(2027, 7, 1)), seasons=())
    assert "does not reach here on any day" in seasons_sentence(answer)


@pytest.mark.parametrize(
    ("level", "face", "said"),
    [
        (1.0, None, "level ground there 100 % of what it gives in the open, no less."),
        (0.5, None, "level ground there 50 % of what it gives in the open, 1.0 stop less."),
        (0.75, 0.125, "0.4 stop less; its upright face 25 %, 2.0 stops less (south)."),
        (0.0, 0.0, "0 % of what it gives"),
    ],
)
def test_the_sky_that_is_left_is_told_in_stops(level: float, face: float | None, said: str) -> None:
    """A wall in the open has half the sky before it: what is left is counted from that."""
    view = SkyView(
        level=level,
        face=face,
        face_azimuth_deg=None if face is None else 180.0,
        face_words="" if face is None else "south",
    )
    assert said in sky_view_sentence(view)
