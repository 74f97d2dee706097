"""The sun's day and moment at a place: days of 23 and 25 hours, polar states, compasses."""

from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest

from backbearing.errors import BadInput, NotFound
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.plans.sun import (
    FLAT_HORIZON,
    NO_HEIGHT,
    ask_sun,
    instant_on_clock,
    sun_day,
    sun_moment,
)
from backbearing.records import CameraPosition, Place, Subject

NOW = datetime(2026, 3, 14, 12, tzinfo=UTC)


def place(latitude: float, longitude: float, height: float | None = None) -> Place:
    return Place(
        latitude_deg=latitude,
        longitude_deg=longitude,
        height_m=height,
        error_m=10.0,
        error_basis="given",
    )


ISLAND = place(47.0, -21.0, 9.0)
LEDGE = place(47.0, -21.0, 437.0)


def test_a_day_says_what_it_rests_on() -> None:
    day = sun_day(ISLAND, date(2026, 3, 14), "Atlantic/Azores")
    assert FLAT_HORIZON in day.assumptions
    assert NO_HEIGHT not in day.assumptions
    assert NO_HEIGHT in sun_day(place(47.0, -21.0), date(2026, 3, 14), "UTC").assumptions


@pytest.mark.parametrize(
    ("day", "hours"), [(date(2026, 3, 29), 23), (date(2026, 7, 1), 24), (date(2026, 10, 25), 25)]
)
def test_a_day_has_as_many_hours_as_the_clock_gives_it(day: date, hours: int) -> None:
    assert len(sun_day(ISLAND, day, "Atlantic/Azores").hours) == hours


def test_every_event_falls_on_the_local_day() -> None:
    """East of Greenwich the local day starts the evening before, in UTC."""
    day = sun_day(place(-17.8, 177.9), date(2026, 3, 14), "Pacific/Fiji")
    assert [event.kind for event in day.events if event.kind in ("sunrise", "sunset")] == [
        "sunrise",
        "sunset",
    ]
    assert all(day.start <= event.when < day.end for event in day.events)
    assert day.start.date() == date(2026, 3, 13)


def test_astral_stands_beside_ours_within_half_a_minute() -> None:
    day = sun_day(ISLAND, date(2026, 3, 14), "Atlantic/Azores")
    ours = next(event.when for event in day.events if event.kind == "sunset")
    theirs = day.astral["sunset"]
    assert theirs is not None
    assert abs(theirs - ours) < timedelta(seconds=30)


def test_rise_and_set_carry_their_doubt_and_noon_none() -> None:
    day = sun_day(ISLAND, date(2026, 3, 14), "Atlantic/Azores")
    doubt = {event.kind: event.plus_minus_min for event in day.events}
    assert doubt["sunrise"] is not None
    assert 0.5 <= doubt["sunrise"] < 2.0
    assert doubt["noon"] is None


def test_polar_night_is_an_answer() -> None:
    day = sun_day(place(80.0, 15.0), date(2026, 12, 21), "Arctic/Longyearbyen")
    assert "sun stays down" in day.states
    assert day.astral["sunrise"] is None


def test_a_grazing_rise_cannot_be_told() -> None:
    """The last noon with any sun before the polar night: up for minutes, due south."""
    spot = place(67.385, 25.0)
    days = [sun_day(spot, date(2026, 12, 1) + timedelta(days=i), "UTC") for i in range(22)]
    last = next(d for d in reversed(days) if any(e.kind == "sunrise" for e in d.events))
    rise = next(event for event in last.events if event.kind == "sunrise")
    assert rise.cannot_be_told or (rise.plus_minus_min or 0.0) > 5.0


def test_the_moment_turns_azimuth_to_magnetic() -> None:
    moment = sun_moment(ISLAND, datetime(2026, 3, 14, 17, 40, tzinfo=UTC))
    assert moment.state == "up"
    assert moment.declination_deg is not None
    assert moment.declination_deg < 0.0  # west of true north, mid-Atlantic
    assert moment.magnetic_azimuth_deg == pytest.approx(
        moment.azimuth_deg - moment.declination_deg, abs=0.06
    )


def test_where_no_compass_can_be_trusted_it_says_why() -> None:
    moment = sun_moment(place(86.4, 160.0), datetime(2026, 3, 14, 12, tzinfo=UTC))
    assert moment.magnetic_azimuth_deg is None
    assert "compass" in moment.no_compass
    old = sun_moment(ISLAND, datetime(1900, 3, 14, 12, tzinfo=UTC))
    assert "1900" in old.no_compass


@pytest.mark.parametrize(
    ("clock", "state"),
    [
        (time(13, 0), "up"),
        (time(19, 40), "civil twilight"),
        (time(20, 10), "nautical twilight"),
        (time(20, 50), "astronomical twilight"),
        (time(23, 0), "night"),
    ],
)
def test_the_state_of_the_sky(clock: time, state: str) -> None:
    """Sunset is at 19:28 UTC, the dusks at 19:58, 20:34 and 21:10."""
    when = datetime.combine(date(2026, 3, 14), clock, tzinfo=UTC)
    assert sun_moment(ISLAND, when).state == state


def test_a_clock_that_is_put_forward_jumps_over_an_hour() -> None:
    with pytest.raises(BadInput, match="jumps over 02:30"):
        instant_on_clock(date(2026, 3, 29), time(2, 30), "Europe/Berlin")


def test_a_clock_that_is_put_back_shows_an_hour_twice() -> None:
    when, twice = instant_on_clock(date(2026, 10, 25), time(2, 30), "Europe/Berlin")
    assert twice
    assert when == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    answer = ask_sun(None, "52.5200 N 13.4000 E", day="2026-10-25", clock="2:30", now=NOW)
    assert answer.moment is not None
    assert "twice" in answer.moment.assumptions[0]


def test_the_question_in_words() -> None:
    spot = "47.0123 N 21.0456 W"
    today = ask_sun(None, spot, now=NOW)
    assert today.day is not None
    assert today.day.day == date(2026, 3, 14)
    assert today.moment is None
    # without a year: the next such day, today included
    for words, expected in (("14 March", date(2026, 3, 14)), ("13 March", date(2027, 3, 13))):
        named = ask_sun(None, spot, day=words, now=NOW).day
        assert named is not None
        assert named.day == expected
    # the next 29 February comes in 2028, and a Tuesday 14 March in that year too
    for words, expected in (("29 feb", date(2028, 2, 29)), ("Tue 14 March", date(2028, 3, 14))):
        named = ask_sun(None, spot, day=words, now=NOW).day
        assert named is not None
        assert named.day == expected
    assert ask_sun(None, spot, day="2024-02-29", now=NOW).day is not None  # with its year: as said
    now = ask_sun(None, spot, clock="now", now=NOW).moment
    assert now is not None
    assert now.when == NOW


@pytest.mark.parametrize(
    ("words", "error", "says"),
    [
        ({"text": "winding house"}, NotFound, "no notebook"),
        ({"text": "95.1234 N 21.0000 W"}, BadInput, "swapped|outside|latitude"),
        ({"text": "47.0123 N 21.0456 W", "day": "someday"}, BadInput, "--date"),
        ({"text": "47.0123 N 21.0456 W", "day": "1700-01-01"}, BadInput, "1700"),
        ({"text": "47.0123 N 21.0456 W", "clock": "25:00"}, BadInput, "--time"),
        (
            {"text": "47.0123 N 21.0456 W", "clock": "now", "day": "2026-03-14"},
            BadInput,
            "leave --date out",
        ),
    ],
)
def test_bad_questions_name_what_is_wrong(
    words: dict[str, str], error: type[Exception], says: str
) -> None:
    with pytest.raises(error, match=says):
        ask_sun(None, now=NOW, **words)  # type: ignore[arg-type]


@pytest.mark.parametrize("clock", [None, "14:30"])
def test_a_day_that_a_place_left_out_is_refused_as_that(clock: str | None) -> None:
    """Samoa went from 29 to 31 December 2011 (IANA tz database, Pacific/Apia)."""
    with pytest.raises(BadInput, match=r"no 2011-12-30 there: .* left it out"):
        ask_sun(None, "13.8333 S 171.7667 W", day="2011-12-30", clock=clock, now=NOW)


def test_a_naive_instant_is_refused() -> None:
    with pytest.raises(BadInput, match="no zone"):
        sun_moment(ISLAND, datetime(2026, 3, 14, 12))  # noqa: DTZ001


def test_a_known_height_names_how_far_the_open_sea_lies_below() -> None:
    """437 m: 1.76 arcminutes times its root are 36.8, six tenths of a degree."""
    first, *_ = sun_day(LEDGE, date(2026, 3, 14), "UTC").assumptions
    assert first.startswith(FLAT_HORIZON)
    assert "from 437 m the open sea lies 0.6° below level" in first


def test_a_subject_without_a_height_has_that_of_its_camera(tmp_path: Path) -> None:
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        with notebook.writing():
            subject = add_subject(notebook, Subject(name="arch", place=place(47.0, -21.0)))
            camera = CameraPosition(name="ledge", place=LEDGE, subject_id=subject.id)
            add_camera_position(notebook, camera)
        for clock in (None, "12:00"):
            answer = ask_sun(notebook, "arch", day="2026-03-14", clock=clock, now=NOW)
            found = answer.day or answer.moment
            assert answer.place.height_m == 437.0
            assert found is not None
            assert "height 437 m: that of its camera position 'ledge'" in found.assumptions
            assert NO_HEIGHT not in found.assumptions
