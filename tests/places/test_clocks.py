"""Clock times and days in the forms people write them."""

from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput
from backbearing.places.clocks import read_clock, read_day

AUTUMN = date(2026, 10, 1)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        *[(t, time(14, 32)) for t in ("14:32", "14.32", "14h32", "1432", "1432 hrs", "2:32pm")],
        *[(t, time(2, 5)) for t in ("2:05", "02:05", "0205", "2.05 a.m.", "2:05AM")],
        ("14:32:05", time(14, 32, 5)),
        ("12am", time(0)),
        ("12 pm", time(12)),
        ("00:00", time(0)),
    ],
)
def test_clock_times(text: str, expected: time) -> None:
    assert read_clock(text) == expected


@pytest.mark.parametrize(
    "text", ["", "14", "25:00", "14:60", "2460", "13pm", "0am", "noon", "１４:３２"]
)
def test_what_is_no_clock_time(text: str) -> None:
    with pytest.raises(BadInput, match="--time"):
        read_clock(text, where="--time")


@given(st.times())
def test_a_clock_time_written_plainly_comes_back(clock: time) -> None:
    assert read_clock(f"{clock:%H:%M:%S}") == clock.replace(microsecond=0)


@given(st.dates(min_value=date(1900, 1, 1)))
def test_a_day_comes_back_from_every_way_of_writing_it(day: date) -> None:
    forms = [
        day.isoformat(),
        f"{day.day} {day:%B} {day.year}",
        f"{day:%a} {day.day} {day:%b} {day.year}",
        f"{day:%A}, {day.day} {day:%B} {day.year}",
        f"{day:%B} {day.day}, {day.year}",
    ]
    assert {read_day(form, latest=AUTUMN) for form in forms} == {day}


@given(st.dates(min_value=date(2020, 1, 1), max_value=AUTUMN))
def test_without_a_year_it_is_the_last_such_day_that_fits(day: date) -> None:
    read = read_day(f"{day.day} {day:%B}", latest=AUTUMN)
    assert (read.day, read.month) == (day.day, day.month)
    assert day <= read <= AUTUMN
    with_weekday = read_day(f"{day:%a} {day.day} {day:%B}", latest=AUTUMN)
    assert with_weekday.weekday() == day.weekday()
    assert day <= with_weekday <= read


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("3/4/2026", "could be two days"),
        ("31 February 2026", "not in the calendar"),
        ("Mon 14 March 2026", "is a Saturday"),
        ("soon", "is not a day"),
        ("", "is not a day"),
        ("14/13/2026", "not in the calendar"),
    ],
)
def test_a_day_that_cannot_be_read_says_why(text: str, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        read_day(text, latest=AUTUMN)
