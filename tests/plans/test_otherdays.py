"""Days of a page besides the planned one: which are held, and that their seconds are `expose`'s."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time
from pathlib import Path

import pytest
from tests.writers.test_page_tripod import equip

from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.subjects import add_subject
from backbearing.places.zones import zone
from backbearing.plans.expose.seconds import setup
from backbearing.plans.lightcalendar import NEAR_DAYS
from backbearing.plans.otherdays import OtherDays, held_days, other_days, rests_on
from backbearing.plans.outing import ask_outing
from backbearing.plans.outing.seconds import Exposures
from backbearing.plans.page import ReturnPage, gather_page
from backbearing.plans.pageasked import ask_page
from backbearing.plans.wishes import store_wish
from backbearing.records import Place, Subject, WantedLight
from backbearing.writers.page import render_page
from backbearing.writers.page.otherdays import draw_other_days
from backbearing.writers.page.outing import day_words

START = date(2027, 6, 20)
FAR_NORTH = Place(latitude_deg=67.0, longitude_deg=15.0, error_m=10.0, error_basis="given")


@pytest.fixture(scope="module")
def notebook(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Notebook]:
    """A cairn where the sun stays up, wanted in the light of before and after midnight."""
    path = tmp_path_factory.mktemp("days") / "n.gpkg"
    with open_notebook(path, create=True) as opened:
        with opened.writing():
            wanted = WantedLight(sun_altitude_deg=(-0.5, 6.0))
            add_subject(opened, Subject(name="cairn", place=FAR_NORTH, wanted=wanted))
        yield opened


@pytest.fixture(scope="module")
def page(notebook: Notebook) -> ReturnPage:
    equip(notebook)
    return gather_page(notebook, ["cairn"], start=START)


@pytest.fixture(scope="module")
def days(notebook: Notebook, page: ReturnPage) -> OtherDays:
    return other_days(notebook, page, {}, progress=lambda line: None)


def test_the_near_days_are_held_and_no_day_of_the_year_is_farther_than_three(
    page: ReturnPage,
) -> None:
    (held,) = held_days(page)
    assert held[:NEAR_DAYS] == tuple(range(NEAR_DAYS))
    assert max(min(abs(day - one) for one in held) for day in range(365)) <= 3


def test_seconds_are_those_of_their_own_minutes_over_midnight_too(
    notebook: Notebook, page: ReturnPage, days: OtherDays
) -> None:
    assert page.tripod is not None
    assert page.tripod.batch is not None
    way = setup(page.tripod.batch, page.tripod.aperture.f_number)
    expose = Exposures(notebook, way)
    subject = page.subjects[0].subject
    (exposed,) = days.exposed
    over = [
        one.course
        for one in exposed
        if one.course is not None and one.course.window.end.date() > one.course.window.start.date()
    ]
    assert over, "light over midnight"
    for course in over[:2]:
        for moment in (*course.moments[:2], *course.moments[-2:], *course.told[-1:]):
            for sky, seconds in zip(course.skies, moment.seconds, strict=True):
                alone = expose.at(subject, moment.at, sky)
                assert seconds is not None
                assert alone is not None
                assert seconds.exact_s == pytest.approx(alone.exact_s, rel=1e-6), moment.at
    first = exposed[0]
    for minute in first.minutes[::37]:
        hour, rest = divmod(minute.clock_min, 60)
        when = datetime.combine(START, time(hour, rest), tzinfo=zone(page.chosen[0].calendar.zone))
        alone = expose.at(subject, when, "clear")
        assert alone is not None
        assert minute.seconds[0] is not None
        assert minute.seconds[0].shown_s == alone.shown_s


def test_without_kit_and_start_nothing_is_made_up(page: ReturnPage, notebook: Notebook) -> None:
    bare = other_days(notebook, replace(page, tripod=None), {}, progress=lambda line: None)
    assert bare.exposed == ((),)
    assert bare.outings == ()
    assert len(draw_other_days(page, bare)) < 400


def test_another_batch_or_wish_is_another_answer(page: ReturnPage) -> None:
    """What is kept of other days is not given where the plate or the light wanted has changed."""
    assert page.tripod is not None
    assert page.tripod.batch is not None
    faster = replace(page.tripod, batch=replace(page.tripod.batch, speed_iso=8.0))
    year = page.chosen[0]
    first, *rest = year.calendar.every
    darker = replace(
        year, calendar=replace(year.calendar, every=(replace(first, windows=()), *rest))
    )
    answers = [
        rests_on(each)
        for each in (page, replace(page, tripod=faster), replace(page, chosen=(darker,)))
    ]
    assert answers[0] == rests_on(page)
    assert answers[0] not in answers[1:]


@pytest.fixture(scope="module")
def evenings(island: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Notebook]:
    """The demo's notebook, the arch wanted under a low sun: in the morning and in the evening."""
    path = Path(shutil.copy(island / "island.gpkg", tmp_path_factory.mktemp("two") / "n.gpkg"))
    with open_notebook(path) as opened:
        store_wish(opened, "arch", {"sun_altitude_deg": "3-12"}, clear=True)
        yield opened


def of_some_days(page: ReturnPage, days: int) -> ReturnPage:
    """The page with a calendar of its first days only, without seconds: sooner made."""
    (year,) = page.chosen
    short = replace(year.calendar, every=year.calendar.every[:days])
    subject = replace(page.subjects[0], windows=())
    chosen = (replace(year, calendar=short),)
    return replace(page, subjects=(subject,), tripod=None, chosen=chosen)


@pytest.mark.parametrize("leave", ["11:00", None])
def test_of_several_windows_a_day_that_one_is_taken_which_outing_takes(
    evenings: Notebook, leave: str | None
) -> None:
    asked = {"day": "2027-03-01", "drive": "1h", "leave": leave, "back_by": "23:00"}
    now = datetime(2027, 2, 1, tzinfo=UTC)
    page = of_some_days(ask_page(evenings, ["arch"], first=None, now=now, **asked), 17)
    days = other_days(evenings, page, asked, progress=lambda line: None)
    told = {answer.day: answer for answer in days.outings}
    for day in (date(2027, 3, 3), date(2027, 3, 15)):
        alone = ask_outing(evenings, "arch", now=now, **{**asked, "day": day.isoformat()})
        assert told[day].window == alone.window
        assert told[day].works == alone.works
        assert told[day].times == alone.times
        assert [leg.turn_back for leg in told[day].out] == [leg.turn_back for leg in alone.out]
    words = [day_words(page, answer) for answer in days.outings if not answer.works]
    assert not any("No day" in text for each in words for text in each.warnings)


def test_on_the_day_itself_tomorrow_may_be_left_for_this_evening(evenings: Notebook) -> None:
    asked = {"drive": "9h"}
    now = datetime(2026, 11, 26, 12, 5, tzinfo=UTC)
    page = of_some_days(ask_page(evenings, ["arch"], first=None, now=now, **asked), 2)
    days = other_days(evenings, page, asked, progress=lambda line: None)
    tomorrow = next(answer for answer in days.outings if answer.day == date(2026, 11, 27))
    alone = ask_outing(evenings, "arch", now=now, day="2026-11-27", **asked)
    assert tomorrow.times == alone.times
    assert tomorrow.works
    assert tomorrow.times.leave_home is not None
    assert tomorrow.times.leave_home.date() == date(2026, 11, 26)


def test_the_same_days_are_drawn_as_the_same_text(page: ReturnPage, days: OtherDays) -> None:
    drawn = draw_other_days(page, days)
    assert drawn == draw_other_days(page, days)
    assert drawn in render_page(page, other_days=drawn)
