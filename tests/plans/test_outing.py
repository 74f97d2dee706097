"""Outings over made ground: times hang together, what is near is named, bad questions answered."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, cast

import numpy as np
import pytest
from tests.fieldwork import put_walk
from tests.plans.test_approach import CELL_M, CELLS, line, place, put_ground, walked

from backbearing.errors import BadInput, NotFound
from backbearing.models.walking import PATH_NIGHT_FACTOR
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.kit import put_entry
from backbearing.notebook.lines import store_line
from backbearing.notebook.subjects import add_camera_position, add_subject, find_subject
from backbearing.notebook.surroundings import set_trees
from backbearing.places.zones import zone
from backbearing.plans.approach import Going
from backbearing.plans.approach.way import carrying_factor
from backbearing.plans.expose import ask_expose
from backbearing.plans.expose.seconds import setup
from backbearing.plans.light import best_light
from backbearing.plans.outing import OutingAnswer, ask_outing, clocks
from backbearing.plans.outing.reach import ReachedLight, within_reach
from backbearing.plans.outing.seconds import Exposures
from backbearing.plans.pace import Pace
from backbearing.plans.settings import change_setting
from backbearing.records import (
    Batch,
    CameraPosition,
    Lens,
    Subject,
    Trees,
    WantedLight,
)

if TYPE_CHECKING:
    from backbearing.models.pace import OwnPace

NOW = datetime(2026, 11, 20, 6, 0, tzinfo=UTC)
DAY = date(2026, 11, 28)
AFTERNOON = WantedLight(earliest=time(13), latest=time(15), direct_sun=True)
SHADE = WantedLight(earliest=time(13), latest=time(15), direct_sun=False)
LATER = WantedLight(earliest=time(14, 30), latest=time(16), direct_sun=True)
EVENING = WantedLight(earliest=time(17), latest=time(17, 40))


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    """Level ground: a jetty, an arch 1.2 km east of it by open ground, a wheel beyond that."""
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as book:
        put_ground(book, tmp_path, np.full((CELLS, CELLS), 100.0))
        with book.writing():
            add_subject(book, Subject(name="jetty", place=place(-600.0, 0.0)))
            arch = add_subject(
                book, Subject(name="arch", place=place(610.0, 0.0), wanted=AFTERNOON)
            )
            add_camera_position(book, CameraPosition(place=place(600.0, 0.0), subject_id=arch.id))
            add_subject(book, Subject(name="wheel", place=place(600.0, 400.0), wanted=LATER))
            add_subject(book, Subject(name="lamp", place=place(600.0, -300.0), wanted=EVENING))
        yield book


def ask(notebook: Notebook, name: str = "arch", **asked: object) -> OutingAnswer:
    asked = {"start": "jetty", "day": "2026-11-28", "pace": "DIN 33466", "now": NOW, **asked}
    return ask_outing(notebook, name, **asked)  # type: ignore[arg-type]


def minutes(first: datetime, last: datetime) -> float:
    return (last - first).total_seconds() / 60.0


def test_the_clock_adds_up_from_door_to_door(notebook: Notebook) -> None:
    answer = ask(notebook, drive="40min", plates=3, exposure="2min", dark_cloth=True)
    assert answer.works
    times = answer.times
    assert times.leave_home is not None
    assert minutes(times.leave_home, times.leave_start) == 40.0 + 10.0  # to park
    walk_min = sum(leg.slow_s for leg in answer.way.out) / 60.0
    # 40 min with dark cloth and 5 a plate, of which the first counts before the exposures
    assert minutes(times.leave_start, times.set_up_by) == pytest.approx(walk_min + 45.0, abs=0.1)
    assert times.set_up_by <= answer.window.start
    assert answer.budget.exposing_s == 3 * 120.0 + 2 * 300.0
    assert times.expose + timedelta(seconds=answer.budget.exposing_s) <= answer.window.end
    assert minutes(times.away, times.back_slow) == pytest.approx(
        sum(leg.slow_s for leg in answer.way.back) / 60.0, abs=0.1
    )


@pytest.mark.parametrize("limit", [None, "15:30", "16:30"])
def test_six_times_follow_each_other_and_the_last_two_are_limits(
    notebook: Notebook, limit: str | None
) -> None:
    answer = ask(notebook, drive="40min", back_by=limit)
    assert answer.works
    times = answer.times
    assert times.leave_home is not None
    six = [times.leave_home, times.leave_start, times.set_up_by, times.expose]
    six += [times.last_away, times.back_by]
    assert six == sorted(six)
    assert times.last_away == times.away_by
    # by the last of them the way back was walked slowly, away at the latest
    walk_s = sum(leg.slow_s for leg in answer.way.back)
    assert times.back_by - times.last_away == pytest.approx(
        timedelta(seconds=walk_s), abs=timedelta(seconds=1)
    )
    assert times.back_by >= times.back_slow >= times.back_usual
    if times.back_limit is not None:
        assert times.back_by + timedelta(minutes=30) <= times.back_limit + timedelta(seconds=1)


def test_where_nothing_presses_the_light_sets_the_last_return(notebook: Notebook) -> None:
    with notebook.writing():
        store_line(notebook, None, line("path", "", (-600.0, 0.0), (610.0, 0.0)))
    times = (answer := ask(notebook)).times
    assert times.away_by is None
    assert times.last_away > answer.window.end - timedelta(minutes=answer.window.plus_minus_min)
    assert times.back_by > times.last_away


def test_a_load_is_never_dropped_in_silence(notebook: Notebook) -> None:
    from backbearing.models.walking import load_factor

    plain, heavy = ask(notebook), ask(notebook, load_kg=30.0)
    assert heavy.way.slow_s == pytest.approx(plain.way.slow_s * load_factor(30.0), rel=0.01)
    assert any(words.startswith("load 30 kg: × ") for words in heavy.rests_on)
    own = Pace(name="own", own=cast("OwnPace", object()), slow=1.1, basis="own pace", walks=9)
    factor = carrying_factor(own, Going(load_kg=30.0))
    assert factor == pytest.approx(load_factor(30.0) / load_factor(10.0))
    assert factor > 1.1
    assert carrying_factor(own, Going(load_kg=5.0)) == 1.0  # not quicker than was walked
    assert carrying_factor(own, Going()) == 1.0


def test_rough_ground_sets_the_time_away_and_paths_do_not(notebook: Notebook) -> None:
    over_ground = ask(notebook)
    assert over_ground.out[0].needs_light
    until = over_ground.back[-1].usable_until
    assert until is not None
    assert over_ground.times.away_by is not None
    slow_min = sum(leg.slow_s for leg in over_ground.way.back) / 60.0
    assert minutes(over_ground.times.away_by, until) == pytest.approx(slow_min + 30.0, abs=0.1)
    with notebook.writing():
        store_line(notebook, None, line("path", "", (-600.0, 0.0), (610.0, 0.0)))
    by_path = ask(notebook)
    assert by_path.times.away_by is None
    assert [leg.turn_back for leg in by_path.out] == [None] * len(by_path.out)
    limited = ask(notebook, back_by="16:00")
    assert limited.times.away_by is not None
    assert limited.times.back_limit == datetime(2026, 11, 28, 17, 0, tzinfo=UTC)


def test_trees_near_take_light_from_the_way(notebook: Notebook) -> None:
    plain = ask(notebook).back[0]
    assert plain.sky_view == pytest.approx(1.0, abs=0.01)
    with notebook.writing():
        grove = add_subject(notebook, Subject(name="grove", place=place(300.0, 50.0)))
        assert grove.id is not None
        pines = Trees(tall_m=15.0, beyond_m=20.0, leaf_months=(), evergreen=True, note="")
        set_trees(notebook, grove.id, pines)
    wooded = ask(notebook).back[0]
    assert wooded.canopy_stops == 5.0  # evergreens 4 ± 1, at the dark end
    assert plain.usable_until is not None
    assert wooded.usable_until is not None
    # 32 times less light: at 47° N in November the sun takes some 20 min from 6° to 3° down
    assert 15.0 < minutes(wooded.usable_until, plain.usable_until) < 30.0


def test_the_darkest_place_of_a_leg_counts(tmp_path: Path) -> None:
    """A trench 40 m wide and 60 m deep across a level country; the way goes along its floor."""
    heights = np.full((CELLS, CELLS), 160.0)
    middle = CELLS // 2
    heights[middle - 2 : middle + 3, :] = 100.0
    with open_notebook(tmp_path / "trench.gpkg", create=True) as book:
        put_ground(book, tmp_path, heights)
        with book.writing():
            add_subject(book, Subject(name="jetty", place=place(-600.0, 0.0)))
            add_subject(book, Subject(name="arch", place=place(600.0, 0.0), wanted=SHADE))
        put_walk(book, walked((-600.0, 0.0), (600.0, 0.0)))
        answer = ask(book, steepest_deg=80.0)
    assert CELL_M == 10.0
    # an endless trench 30 m to each side and 58.5 m over the eye leaves the sine of atan(30 / 58.5)
    assert answer.back[0].sky_view == pytest.approx(30.0 / np.hypot(30.0, 58.5), abs=0.01)


def test_another_subject_is_offered_with_the_way_to_it(notebook: Notebook) -> None:
    answer = ask(notebook)
    assert "lamp" not in {each.subject for each in answer.near}  # after the last time away
    near = next(each for each in answer.near if each.subject == "wheel")
    assert near.distance_m == pytest.approx(400.0, abs=5.0)
    assert min(near.bearing_true_deg, 360.0 - near.bearing_true_deg) < 2.0
    slow_s = near.distance_m * 0.9 * 5.0 / 3.0 * 1.3  # DIN on the level, off the path, slow
    assert near.slow_s == pytest.approx(slow_s, rel=0.1)
    assert near.exposure is None
    assert answer.times.away_by is not None
    assert near.end <= answer.times.away_by - timedelta(seconds=near.slow_s * 0.9)
    with notebook.writing():
        put_entry(
            notebook, Batch(name="slate", emulsion="ordinary", speed_iso=2.0, process="dry plate")
        )
    timed = ask(notebook, batch="slate", aperture="16")
    assert timed.exposure is not None
    assert all(each.exposure is not None for each in timed.near)
    assert timed.budget.exposure_s == timed.exposure.high_s


def test_to_another_subject_one_walks_where_its_window_is_photographed_from(
    notebook: Notebook,
) -> None:
    wheel = find_subject(notebook, "wheel")
    morning = WantedLight(earliest=time(9), latest=time(10), direct_sun=True)
    with notebook.writing():
        for name, north_m, wanted in (("first", 900.0, morning), ("second", 200.0, LATER)):
            add_camera_position(
                notebook,
                CameraPosition(
                    place=place(600.0, north_m), name=name, subject_id=wheel.id, wanted=wanted
                ),
            )
    near = next(each for each in ask(notebook).near if each.subject == "wheel")
    assert near.window.camera_position == "second"
    assert near.distance_m == pytest.approx(200.0, abs=5.0)


def test_in_the_dusk_what_is_begun_at_the_latest_is_done_in_the_light(notebook: Notebook) -> None:
    """On a path, so that nothing but the plates decides: they take longer by the minute."""
    plate = Batch(name="slate", emulsion="ordinary", speed_iso=2.0, process="dry plate")
    dusk = WantedLight(sun_altitude_deg=(-9.0, -1.0), earliest=time(12))
    with notebook.writing():
        store_line(notebook, None, line("path", "", (-600.0, 0.0), (600.0, -300.0)))
        put_entry(notebook, plate)
        add_subject(notebook, Subject(name="mast", place=place(600.0, -300.0), wanted=dusk))
    answer = ask(notebook, "mast", batch="slate", aperture="16")
    assert answer.works
    assert answer.times.away_by is None
    shown = answer.exposure
    begun = [answer.times.expose_by, answer.window.best]
    exposures = Exposures(notebook, setup(plate, 16.0))
    mast = find_subject(notebook, "mast")
    last, at_best = (exposures.at(mast, each, answer.window.sky) for each in begun)
    # the seconds told are those of the minute planned, not of the best, by which it is too dark
    assert last is not None
    assert shown is not None
    assert at_best is None or at_best.high_s > 1.5 * shown.high_s
    assert answer.times.expose <= answer.times.expose_by < answer.window.best
    done = answer.times.expose_by + timedelta(seconds=answer.budget.plates * last.high_s + 300.0)
    assert done <= answer.window.end
    # begun at the end of the window less what the planned ones take, they would not be
    assert (
        minutes(answer.times.expose_by, answer.window.end) > answer.budget.exposing_s / 60.0 + 5.0
    )
    # home by torch, and that is said
    day_s = sum(leg.slow_s for leg in answer.way.back)
    assert (answer.times.back_by - answer.times.last_away).total_seconds() == pytest.approx(
        day_s * PATH_NIGHT_FACTOR, rel=0.05
    )
    assert any("by torch, before and after" in each for each in answer.rests_on)


def test_a_day_that_cannot_work_says_why_and_which_can(notebook: Notebook) -> None:
    answer = ask(notebook, leave="14:50")
    assert not answer.works
    assert {short.what for short in answer.short} >= {"arrival"}
    assert all(short.short_s is None or short.short_s > 0.0 for short in answer.short)
    assert answer.next_day is None  # 14:50 is too late on any day
    assert answer.sought_until == DAY + timedelta(days=60)
    # five o'clock on a January evening: no light to walk back by; in February there is
    late = ask(notebook, "lamp", day="2027-01-25")
    assert not late.works
    assert {short.what for short in late.short} == {"light on the way back"}
    assert late.next_day is not None
    assert ask(notebook, "lamp", day=late.next_day.day.isoformat()).works
    before = late.next_day.day - timedelta(days=1)
    assert not ask(notebook, "lamp", day=before.isoformat()).works


def test_without_a_day_the_best_that_works_is_taken(notebook: Notebook) -> None:
    answer = ask(notebook, day=None)
    assert answer.works
    assert NOW.date() <= answer.day <= NOW.date() + timedelta(days=27)
    second = ask(notebook, day=None, number=2)
    assert second.window != ask(notebook, day=None, number=1).window


def test_no_day_works_until_the_last_that_was_judged(
    notebook: Notebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The sun stands on the arch on each afternoon: a window a day."""
    assert ask(notebook, back_by="08:00").sought_until == DAY + timedelta(days=60)
    monkeypatch.setattr(clocks, "MOST_CLOCKS", 5)
    answer = ask(notebook, back_by="08:00")
    assert answer.next_day is None
    assert answer.sought_until == DAY + timedelta(days=5)


def test_a_window_already_begun_counts_from_now(notebook: Notebook) -> None:
    # half past one there; an hour and a half of light is left
    begun = ask(notebook, now=datetime(2026, 11, 28, 14, 30, tzinfo=UTC))
    assert begun.window_begun
    assert begun.times.leave_start >= datetime(2026, 11, 28, 14, 30, tzinfo=UTC)
    late = ask(notebook, now=datetime(2026, 11, 28, 15, 30, tzinfo=UTC))
    assert not late.works
    assert late.next_day is not None


def test_settings_stand_in_for_start_and_drive(notebook: Notebook) -> None:
    with pytest.raises(BadInput, match="no start is given"):
        ask(notebook, start=None)
    change_setting(notebook, "start", "jetty")
    change_setting(notebook, "drive", "1h10")
    assert ask(notebook, start=None).budget.park_s == 600.0
    change_setting(notebook, "park", "25min")
    answer = ask(notebook, start=None, a_plate="3min", pack="15min")
    assert answer.start_name == "jetty"
    assert answer.budget.drive_s == 70 * 60.0
    assert answer.budget.park_s == 25 * 60.0
    assert answer.budget.set_up_s == 23 * 60.0
    assert answer.budget.pack_s == 15 * 60.0
    assert ask(notebook, start=None, park="0min").budget.park_s == 0.0
    assert ask(notebook, start=None, drive="10min").budget.drive_s == 600.0
    with pytest.raises(NotFound):
        change_setting(notebook, "start", "nowhere at all")
    with pytest.raises(BadInput):
        change_setting(notebook, "drive", "far")


@pytest.mark.parametrize(
    ("asked", "why"),
    [
        ({"start": "46.0 N 20.0 W"}, "km apart"),
        ({"start": "47.02 N 21.0 W"}, "no ground to walk on is known"),
        ({"day": "1700-01-01"}, "sun is known for the years"),
        ({"day": "9999-12-31"}, "--date: the sun is known for the years"),
        ({"day": "2026-11-31"}, "not a day"),
        ({"number": 9}, "1 light window at"),
        ({"drive": "2 days"}, "not a span"),
        ({"drive": "25h"}, "longer than a day"),
        ({"leave": "late"}, "not a clock time"),
        ({"pace": "hare"}, "no pace is called"),
        ({"now": datetime(2026, 11, 28, 20, 0, tzinfo=UTC)}, "no light as wanted"),
    ],
)
def test_what_cannot_be_planned_is_said(
    notebook: Notebook, asked: dict[str, object], why: str
) -> None:
    with pytest.raises(BadInput, match=why):
        ask(notebook, **asked)  # type: ignore[arg-type]


def test_no_way_is_said_with_what_bars_it(notebook: Notebook) -> None:
    with notebook.writing():
        store_line(notebook, None, line("river", "Slate Water", (0.0, -3000.0), (0.0, 3000.0)))
    with pytest.raises(BadInput, match="lies across"):
        ask(notebook)


def reach(notebook: Notebook, **asked: object) -> ReachedLight:
    answer = best_light(notebook, ["arch", "wheel", "lamp"], start=DAY, end=DAY)
    asked = {"start": "jetty", "depart": None, "back_by": None, "limit": None, "now": NOW, **asked}
    return within_reach(notebook, answer, **asked)  # type: ignore[arg-type]


def test_of_all_light_that_stays_which_can_be_reached_and_left(notebook: Notebook) -> None:
    open_day = reach(notebook)
    assert {window.subject for window in open_day.answer.windows} == {"arch", "wheel"}
    assert open_day.dropped == ()
    early = reach(notebook, back_by="14:45")
    assert [window.subject for window in early.windows] == ["arch"]
    assert early.windows[0].times.back_by <= datetime(2026, 11, 28, 15, 15, tzinfo=UTC)
    (dropped,) = early.dropped
    assert (dropped.subject, dropped.windows, dropped.of) == ("wheel", 1, 1)
    assert dropped.least is not None
    assert dropped.least.what == "back by"
    late = reach(notebook, depart="14:20")
    assert [window.subject for window in late.windows] == ["wheel"]
    assert late.dropped[0].least is not None
    assert late.dropped[0].least.what == "arrival"


def test_the_drive_on_record_counts_before_the_walk(notebook: Notebook) -> None:
    without = reach(notebook, depart="13:30")
    assert {window.subject for window in without.windows} == {"arch", "wheel"}
    change_setting(notebook, "drive", "1h")
    late = reach(notebook, depart="13:30")
    assert {window.subject for window in late.windows} == {"wheel"}
    (wheel,) = late.windows
    assert wheel.times.leave_home is not None
    assert wheel.times.leave_home.astimezone(zone(wheel.zone)).time() >= time(13, 30)
    assert minutes(wheel.times.leave_home, wheel.times.leave_start) == 70.0


def test_what_no_way_leads_to_is_dropped_with_the_reason(notebook: Notebook) -> None:
    with notebook.writing():
        store_line(notebook, None, line("river", "Slate Water", (0.0, -3000.0), (0.0, 3000.0)))
    cut_off = reach(notebook)
    assert cut_off.windows == ()
    assert {dropped.subject for dropped in cut_off.dropped} == {"arch", "wheel"}
    assert all("lies across" in dropped.why for dropped in cut_off.dropped)


def test_a_start_in_a_void_of_the_terrain_is_refused(tmp_path: Path) -> None:
    heights = np.full((CELLS, CELLS), 100.0)
    heights[:, :160] = np.nan
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as book:
        put_ground(book, tmp_path, heights)
        with book.writing():
            add_subject(book, Subject(name="jetty", place=place(-700.0, 0.0)))
            add_subject(book, Subject(name="arch", place=place(610.0, 0.0), wanted=AFTERNOON))
        with pytest.raises(BadInput) as refused:
            ask(book)
    assert "jetty" in str(refused.value)


def test_the_other_camera_position_is_gone_to_where_the_first_is_out_of_reach(
    notebook: Notebook,
) -> None:
    """The one beyond walled-off water has the better light, and no way leads there."""
    arch = find_subject(notebook, "arch")
    moat = [(500.0, 300.0), (700.0, 300.0), (700.0, 500.0), (500.0, 500.0), (500.0, 300.0)]
    with notebook.writing():
        store_line(notebook, None, line("stream", "moat", *moat))
        add_camera_position(
            notebook,
            CameraPosition(
                place=place(600.0, 400.0),
                name="isle",
                subject_id=arch.id,
                wanted=WantedLight(earliest=time(12), latest=time(14), direct_sun=True),
            ),
        )
    answer = ask(notebook)
    assert answer.works
    assert answer.camera_position != "isle"
    assert any("isle" in each and "left out" in each for each in answer.rests_on)


def test_seconds_are_those_of_the_window_s_camera_position_with_its_bellows(
    notebook: Notebook,
) -> None:
    arch = find_subject(notebook, "arch")
    plate = Batch(name="slate", emulsion="ordinary", speed_iso=2.0, process="dry plate")
    near = CameraPosition(
        place=place(609.0, 0.0),
        name="close",
        subject_id=arch.id,
        distance_m=0.34,
        wanted=WantedLight(earliest=time(12), latest=time(14), direct_sun=True),
    )
    with notebook.writing():
        put_entry(notebook, plate)  # the only one: nobody has to name it
        add_camera_position(notebook, near)
    without = ask(notebook, number=1)
    with notebook.writing():
        put_entry(notebook, Lens(name="plain", focal_mm=170.0, apertures=()))
    answer = ask(notebook, number=1)
    assert answer.camera_position == "close"
    assert answer.batch == "slate"
    assert without.exposure is not None
    assert answer.exposure is not None
    assert "2.0 stop counted for the bellows, with plain" in answer.rests_on
    # twice its focal length away: two stops (FACTS 4, bellows), a little more by reciprocity
    assert answer.exposure.exact_s >= 3.9 * without.exposure.exact_s
    there = answer.times.expose.astimezone(zone(answer.zone))
    told = ask_expose(notebook, "arch", at=f"{there:%Y-%m-%d %H:%M}", position="close", now=NOW)
    assert told.seconds is not None
    assert told.seconds.shown_s == answer.exposure.shown_s
