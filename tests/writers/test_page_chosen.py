"""The tables from which a page's script shows another day: what the plan put there, read back."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from backbearing.models.sun import sun_position
from backbearing.plans.chosen import STEP_MIN, SunMinutes
from backbearing.plans.light.sky import FLAT
from backbearing.plans.light.spot import local_minutes
from backbearing.plans.tones import TWILIGHT_DEG, days_tones
from backbearing.records import Place
from backbearing.writers.page.chosen import LETTERS, LIFT, pair, sun_texts
from backbearing.writers.page.render import own_text

START = date(2026, 3, 20)


def number(text: str, at: int) -> int:
    return LETTERS.index(text[at]) * 64 + LETTERS.index(text[at + 1])


def read(text: str) -> list[tuple[int, float, float, int]]:
    """Clock, azimuth, altitude, near the line: as year.js reads them."""
    found, at = [], 0
    while at < len(text):
        first, count = number(text, at), number(text, at + 2)
        at += 4
        for row in range(count):
            lifted = number(text, at + 2)
            altitude = (lifted // 2 - LIFT) / 10.0
            found.append((first + row * STEP_MIN, number(text, at) / 10.0, altitude, lifted % 2))
            at += 4
    return found


def test_every_number_there_may_be_has_its_two_letters() -> None:
    assert {pair(each) for each in range(4096)} == {a + b for a in LETTERS for b in LETTERS}
    assert all(number(pair(each), 0) == each for each in range(4096))


@pytest.mark.parametrize("latitude", [47.0, 70.0, -33.9])
def test_the_sun_of_a_year_is_read_back_to_a_tenth_of_a_degree(latitude: float) -> None:
    """With a day of 23 hours and one of 25, polar day and polar night in it."""
    local = local_minutes(START, START + timedelta(days=364), "Europe/Paris")
    keep = np.flatnonzero(local.clock_min % STEP_MIN == 0)
    sun = sun_position(local.time[keep], latitude, 6.0)
    light = sun.altitude_deg > TWILIGHT_DEG
    near = np.arange(light.sum()) % 3 == 0
    held = SunMinutes(
        day=(local.day[keep] - local.day[0])[light],
        clock_min=local.clock_min[keep][light],
        azimuth_deg=sun.azimuth_deg[light],
        altitude_deg=sun.altitude_deg[light],
        near_line=near,
    )
    texts = list(sun_texts(held, 365))
    rows = [(day, *row) for day, text in enumerate(texts) for row in read(text)]
    day, clock, azimuth, altitude, flag = map(np.array, zip(*rows, strict=True))
    assert (day == held.day).all()
    assert (clock == held.clock_min).all()
    off = (azimuth - held.azimuth_deg + 180.0) % 360.0 - 180.0
    assert abs(off).max() <= 0.0501
    assert abs(altitude - held.altitude_deg).max() <= 0.0501
    assert (flag == near).all()


def test_tones_of_many_days_are_those_of_each_alone() -> None:
    place = Place(latitude_deg=66.0, longitude_deg=14.0, error_m=5.0, error_basis="given")
    end = START + timedelta(days=9)
    every = days_tones(FLAT, place, START, end, "Europe/Oslo")
    assert len(every) == 10
    for number_, tones in enumerate(every):
        day = START + timedelta(days=number_)
        assert days_tones(FLAT, place, day, day, "Europe/Oslo") == [tones]
        minutes = sum(last - first for first, last, _ in tones)
        assert minutes == (23 * 60 if day == date(2026, 3, 29) else 24 * 60)


def test_our_own_script_stays_small() -> None:
    """Under 40 kB, as it is sent."""
    scripts = ["page.js", "places.js", "record.js", "year.js", "choose.js"]
    assert sum(len(own_text(name).encode()) for name in scripts) < 40_000
