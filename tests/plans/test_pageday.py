"""The day on the page is the day of `outing`, and what hangs on it is said there too."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from tests.plans.test_approach import CELLS, line, place, put_ground
from tests.plans.test_approach_passages import passage
from tests.writers.return_pages import quarry_page, quarry_subject, window

from backbearing.errors import BadInput
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.lines import add_passage, store_line
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_subject
from backbearing.plans.light import best_light
from backbearing.plans.lightcalendar import CalendarDay, LightCalendar
from backbearing.plans.outing import OutingAnswer, ask_outing
from backbearing.plans.page import ReturnPage, ReturnSubject
from backbearing.plans.pageday import with_outing
from backbearing.plans.search import where_likely
from backbearing.records import Subject, WantedLight
from backbearing.writers.outingwords import ground_cautions, hangs_text, six_times
from backbearing.writers.page import render_page
from backbearing.writers.page.dayline import day_line
from backbearing.writers.page.lightcalendar import calendar_words, good_text
from backbearing.writers.page.outing import outing_words
from backbearing.writers.page.sixtimes import head_times
from backbearing.writers.words import clock_on

DAY = date(2027, 6, 20)
NOW = datetime(2027, 6, 1, 8, 0, tzinfo=UTC)
# nine hours of driving to the light of early morning: one sets out the evening before
ASKED = {"start": "jetty", "drive": "9h", "plates": 3, "pace": "DIN 33466", "snow": "ankle"}


@pytest.fixture(scope="module")
def notebook(tmp_path_factory: pytest.TempPathFactory) -> Notebook:
    folder = tmp_path_factory.mktemp("day")
    book = open_notebook(folder / "notebook.gpkg", create=True)
    put_ground(book, Path(folder), np.full((CELLS, CELLS), 100.0))
    with book.writing():
        set_setting(book, "zone", "UTC")
        add_subject(book, Subject(name="jetty", place=place(-600.0, 0.0)))
        wanted = WantedLight(latest=time(8, 30))
        add_subject(book, Subject(name="arch", place=place(600.0, 0.0), wanted=wanted))
        store_line(book, None, line("wall", "old wall", (0.0, -4e3), (0.0, 4e3)))
        add_passage(book, passage("wall hole", "looked blocked", "windfall", kind="gap"))
    return book


@pytest.fixture(scope="module")
def page(notebook: Notebook) -> ReturnPage:
    """A page whose leading light is that of the arch on the day."""
    windows = best_light(notebook, ["arch"], start=DAY, end=DAY).windows
    arch = ReturnSubject(
        subject=Subject(name="arch", place=place(600.0, 0.0)), windows=tuple(windows), zone="UTC"
    )
    return ReturnPage(start=DAY, subjects=(arch,), zone="UTC")


def planned(
    notebook: Notebook, page: ReturnPage, now: datetime | None, **asked: object
) -> ReturnPage:
    return with_outing(notebook, page, asked, now=now, tell=lambda line: None)


@pytest.fixture(scope="module")
def outing(notebook: Notebook, page: ReturnPage) -> OutingAnswer:
    found = planned(notebook, page, NOW, **ASKED, day=DAY.isoformat()).outing
    assert found is not None
    return found


def test_the_same_options_give_the_same_plan(notebook: Notebook, outing: OutingAnswer) -> None:
    asked = ask_outing(notebook, "arch", now=NOW, day=DAY.isoformat(), **ASKED)  # type: ignore[arg-type]
    assert asked.times == outing.times
    assert asked.budget == outing.budget
    assert asked.rests_on == outing.rests_on


def test_a_page_made_ahead_lets_one_leave_the_evening_before(
    notebook: Notebook, page: ReturnPage, outing: OutingAnswer
) -> None:
    assert outing.times.leave_home is not None
    assert outing.times.leave_home < datetime(2027, 6, 20, tzinfo=UTC)
    ahead = planned(notebook, page, None, **ASKED).outing
    assert ahead is not None
    assert ahead.times == outing.times


def test_what_is_typed_amiss_is_refused_and_a_day_without_light_is_told(
    notebook: Notebook, page: ReturnPage
) -> None:
    with pytest.raises(BadInput, match="--back-by"):
        planned(notebook, page, NOW, start="jetty", back_by="tea time")
    assert planned(notebook, page, NOW).outing is None  # no start is set, none is asked
    with pytest.raises(BadInput, match="--window"):
        planned(notebook, page, NOW, start="jetty", number=99)


def test_the_page_says_what_the_day_hangs_on_and_what_the_ground_hides(
    outing: OutingAnswer,
) -> None:
    page = replace(quarry_page(quarry_subject()), outing=outing)
    words = outing_words(page)
    assert words is not None
    assert hangs_text(outing)
    assert any(hangs_text(outing) in each for each in words.first)
    assert set(ground_cautions(outing)) <= {*words.warnings, *words.cautions}
    shown = render_page(page)
    head, _, panels = shown.partition("<main")
    assert "The day hangs on wall hole" in head
    assert "The day hangs on wall hole" in panels
    assert "none was found in the data" in panels


def test_a_clock_of_another_day_has_its_weekday(outing: OutingAnswer) -> None:
    words = outing_words(replace(quarry_page(quarry_subject()), outing=outing))
    assert words is not None
    assert words.six == six_times(outing)
    assert "leave home Sat 1" in words.answer or "leave home Sat 2" in words.answer
    told = outing_words(replace(quarry_page(), outing=replace(outing, day=date(2027, 6, 19))))
    assert told is not None
    clocks = [clock for row in told.out for clock in row[2:6] if clock != "no limit"]
    clocks += [clock for row in told.back for clock in row[2:5] if clock]
    assert all(clock.startswith("Sun ") for clock in clocks)
    assert "away by Sun " in told.answer


def test_the_six_times_stand_once_and_large_at_the_head(outing: OutingAnswer) -> None:
    shown = render_page(replace(quarry_page(quarry_subject()), outing=outing))
    head, _, panels = shown.partition("<main")
    for (what, clock, few), (_, same, _) in zip(head_times(outing), six_times(outing), strict=True):
        assert clock == same
        assert f"<dt>{what}</dt><dd>{clock}<small>{few}</small>" in head
    assert f"best {clock_on(outing.window.best, outing.zone, outing.day)}" in head
    assert 'class="acts' not in panels
    assert "These six are of" in head, "the sentence is of another light than the day planned"


def test_the_day_line_has_every_leg_its_latest_and_its_turning_back(outing: OutingAnswer) -> None:
    drawn = day_line(outing, None)
    assert re.findall(r'class="(dayline \w+)', drawn) == [
        "dayline wide", "dayline middle", "dayline upright",
    ]  # fmt: skip
    for svg in re.findall("<svg.*?</svg>", drawn):
        read = " ".join("".join(t.itertext()) for t in ElementTree.fromstring(svg).iter("text"))
        assert "set up" in read
        assert clock_on(outing.times.expose_by, outing.zone, outing.day) in read
        for one in outing.out:
            assert (
                f"{clock_on(one.arrive_slow, outing.zone, outing.day)} {one.leg.end_name}" in read
            )
        if outing.times.away_by is not None:
            assert "away by" in read
        if any(leg.usable_until for leg in outing.back):
            assert "usable light ends" in read


def test_the_sun_that_does_not_rise_is_said_first() -> None:
    dark = [
        CalendarDay(day=DAY + timedelta(days=n), tones=((0, 1440, "night"),), windows=())
        for n in range(16)
    ]
    # a day that is neither of the near ones nor of those drawn of each week
    back = CalendarDay(day=date(2027, 7, 6), tones=((600, 660, "shade"),), windows=())
    calendar = LightCalendar(
        subject="arch",
        zone="UTC",
        every=(*dark, back),
        good=(),
        good_days=0,
        days=365,
        ground_known=False,
        assumptions=(),
    )
    page = replace(quarry_page(quarry_subject(windows=0)), calendar=calendar)
    head, _, _ = render_page(page).partition("<main")
    assert "The sun does not rise on Sun 20 Jun 2027; it is back by Tue 6 Jul 2027." in head


def test_light_bound_by_the_clock_says_so_and_its_end_over_midnight_has_its_day() -> None:
    night = replace(
        window("hut", DAY),
        start=datetime(2027, 6, 20, 22, 0, tzinfo=UTC),
        end=datetime(2027, 6, 21, 2, 0, tzinfo=UTC),
        plus_minus_min=0.0,
        zone="UTC",
    )
    day = CalendarDay(day=DAY, tones=(), windows=(night,))
    assert good_text(day) == "22:00–Mon 02:00 by the clock"


def test_light_over_midnight_is_drawn_on_both_days_where_the_clock_has_it() -> None:
    """22:00–02:00: to the right edge of its own row, and from the left edge of the next."""
    night = replace(
        window("hut", DAY),
        start=datetime(2027, 6, 20, 22, 0, tzinfo=UTC),
        end=datetime(2027, 6, 21, 2, 0, tzinfo=UTC),
        zone="UTC",
    )
    days = (
        CalendarDay(day=DAY, tones=((240, 1200, "sun"),), windows=(night,)),
        CalendarDay(day=DAY + timedelta(days=1), tones=((240, 1200, "sun"),), windows=()),
    )
    held = LightCalendar(
        subject="hut",
        zone="UTC",
        every=days,
        good=((DAY, DAY),),
        good_days=1,
        days=2,
        ground_known=True,
        assumptions=(),
    )
    words = calendar_words(held)
    near = ElementTree.fromstring(str(words.near))
    left, right = float(near.attrib["data-left"]), float(near.attrib["data-right"])
    first_hour, last_hour = float(near.attrib["data-first"]), float(near.attrib["data-last"])
    (drawn,) = [path.attrib["d"] for path in near if path.attrib.get("class") == "good"]
    boxes = [
        tuple(map(float, found))
        for found in re.findall(r"M([\d.]+) ([\d.]+)H([\d.]+)V([\d.]+)", drawn)
    ]

    def hour(x: float) -> float:
        return first_hour + (x - left) / (right - left) * (last_hour - first_hour)

    spans = [(round(hour(a), 1), round(hour(b), 1)) for a, _, b, _ in boxes]
    assert spans == [(22.0, 24.0), (0.0, 2.0)]
    assert boxes[0][1] < boxes[1][1]


def test_no_day_leads_to_a_place_that_is_still_looked_for(
    notebook: Notebook, page: ReturnPage
) -> None:
    likely = where_likely(notebook, "arch", within_m=100.0)
    for error_m, planned_to in ((700.0, False), (50.0, True)):
        guessed = replace(likely.subject, place=replace(likely.subject.place, error_m=error_m))
        sought = replace(page, searches=(replace(likely, subject=guessed),))
        found = planned(notebook, sought, NOW, **ASKED)
        assert (found.outing is not None) == planned_to
        assert found.why_no_outing.startswith("arch is still looked for") != planned_to
