"""Words for the sun: what a name may not do, and what states are worth saying."""

from datetime import UTC, date, datetime

import pytest

from backbearing.plans.sun import SunAnswer, sun_day, sun_moment
from backbearing.records import Place
from backbearing.writers.sun import sun_text

SPOT = Place(
    latitude_deg=69.0,
    longitude_deg=21.0,
    height_m=120.0,
    error_m=40.0,
    error_basis="assumed: under walls",
)


def of_day(day: date, name: str = "arch") -> str:
    zone = "Europe/Oslo"
    answer = sun_day(SPOT, day, zone)
    return sun_text(SunAnswer(name=name, place=SPOT, zone=zone, day=answer, moment=None))


def test_a_name_cannot_reach_the_terminal_raw() -> None:
    text = of_day(date(2026, 3, 14), name="arch\x1b[2J\u202e\nsecond line")
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert "arch�[2J� second line: 69.0" in text.splitlines()[0]


def test_position_error_and_height_are_said() -> None:
    first, second = of_day(date(2026, 3, 14)).splitlines()[:2]
    assert "120 m above the sea" in first
    assert second == "  position ± 40 m (assumed: under walls)"


@pytest.mark.parametrize(
    ("day", "said", "unsaid"),
    [
        (date(2026, 6, 21), ["stays up all day"], ["twilight"]),
        (date(2026, 5, 15), ["Civil twilight or lighter throughout"], ["Nautical twilight or"]),
        (date(2026, 12, 21), ["stays down all day"], ["Darker than"]),
    ],
)
def test_only_the_state_that_tells_most(day: date, said: list[str], unsaid: list[str]) -> None:
    text = of_day(day)
    assert all(words in text for words in said)
    assert not any(words in text for words in unsaid)


def test_a_day_of_changed_clocks_names_both() -> None:
    assert "CET, later CEST" in of_day(date(2026, 3, 29))


def test_a_moment_below_the_horizon() -> None:
    when = datetime(2026, 12, 21, 10, 40, tzinfo=UTC)
    moment = sun_moment(SPOT, when)
    text = sun_text(SunAnswer(name="arch", place=SPOT, zone="Europe/Oslo", day=None, moment=moment))
    assert "below the horizon, civil twilight" in text
