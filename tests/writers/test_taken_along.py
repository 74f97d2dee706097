"""What leaves with the walker: no clock without its day, no deadline that is over by plan."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

import gpxpy
import pytest
from icalendar import Calendar, Event
from tests.fieldwork import put_walk
from tests.plans.test_approach import place, walked

from backbearing.errors import BadInput
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.kit import put_entry
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.plans.outing import OutingAnswer, ask_outing
from backbearing.plans.outing.answer import can_be_kept
from backbearing.plans.taking import calendar_entry, gather_sheet, route_card, whom_to_call
from backbearing.records import (
    ApertureMark,
    Bearing,
    Camera,
    CameraPosition,
    Lens,
    Subject,
    WantedLight,
)
from backbearing.writers.calendar import calendar_text, outing_description
from backbearing.writers.framedrawing import frame_svg
from backbearing.writers.lightclocks import best_missed_text
from backbearing.writers.outing import outing_text
from backbearing.writers.outingwords import six_times
from backbearing.writers.plangeojson import plan_geojson
from backbearing.writers.sheet import overdue_text, sheet_html, times_html
from backbearing.writers.walkgpx import walk_gpx
from backbearing.writers.words import clock_on

NOW = datetime(2026, 11, 20, 6, 0, tzinfo=UTC)
DAY = "2026-11-28"
SATURDAY = "Sat 28 Nov"
CLOCK = r"(?:[A-Z][a-z]{2} )?\d\d:\d\d"


def in_order(clock: str) -> tuple[int, str]:
    """A clock around the Saturday, so that it compares."""
    *day, at = clock.split()
    return ["Fri", "Sat", "Sun"].index(day[0] if day else "Sat"), at


@pytest.fixture(scope="module")
def notebook(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Notebook]:
    """A walked way from a jetty to an arch, with two camera positions, each with its own hour."""
    with open_notebook(tmp_path_factory.mktemp("taken") / "n.gpkg", create=True) as book:
        put_walk(book, walked((-600.0, 0.0), (0.0, 0.0), (600.0, 0.0)))
        with book.writing():
            add_subject(book, Subject(name="jetty", place=place(-600.0, 0.0)))
            day = WantedLight(earliest=time(9), latest=time(10))
            arch = add_subject(
                book, Subject(name="arch", place=place(610.0, 0.0), wanted=day, tall_m=6.0)
            )
            sides = {"plate_wide_mm": 165, "plate_high_mm": 105}
            image = {"image_wide_mm": 160, "image_high_mm": 100}
            put_entry(book, Camera(name="box", **sides, **image))
            f16 = ApertureMark(engraved="16", f_number=16.0)
            put_entry(book, Lens(name="long", focal_mm=170, apertures=(f16,)))
            for name, east_m, bearing_deg, hours in (
                ("whole", 600.0, 90.0, (9, 10)),
                ("detail", 400.0, 80.0, (12, 13)),
            ):
                to = Bearing(true_deg=bearing_deg, error_deg=2.0, as_written=f"{bearing_deg:.0f}T")
                add_camera_position(
                    book,
                    CameraPosition(
                        name=name,
                        place=place(east_m, 0.0),
                        bearing=to,
                        distance_m=8.0,
                        subject_id=arch.id,
                        wanted=WantedLight(earliest=time(hours[0]), latest=time(hours[1])),
                    ),
                )
        yield book


def ask(notebook: Notebook, name: str, **asked: object) -> OutingAnswer:
    asked = {"start": "jetty", "day": DAY, "pace": "DIN 33466", "now": NOW, **asked}
    return ask_outing(notebook, name, **asked)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def works(notebook: Notebook) -> OutingAnswer:
    found = ask(notebook, "arch", back_by="16:00", drive="40min", number=1)
    assert found.works
    return found


@pytest.fixture(scope="module")
def fails(notebook: Notebook) -> OutingAnswer:
    """Back before the light has begun: every deadline is over before one sets out."""
    asked = {"back_by": "05:00", "leave": "05:30", "drive": "40min"}
    both = [ask(notebook, "arch", number=number, **asked) for number in (1, 2)]
    (found,) = (each for each in both if each.camera_position == "detail")
    assert not found.works
    return found


@pytest.fixture(scope="module")
def night(notebook: Notebook) -> OutingAnswer:
    """Begun the evening before the day of the light."""
    found = ask(notebook, "arch", set_up="10h", number=1)
    assert found.works
    return found


def message(notebook: Notebook, outing: OutingAnswer) -> str:
    return overdue_text(outing, route_card(notebook, outing), call="coast guard, 112")


def event(notebook: Notebook, outing: OutingAnswer) -> Event:
    entry = calendar_entry(notebook, outing, description=outing_description(outing))
    (found,) = Calendar.from_ical(calendar_text([entry], written_at=NOW)).walk("VEVENT")
    assert isinstance(found, Event)
    return found


def test_every_clock_of_the_message_has_its_day(notebook: Notebook, night: OutingAnswer) -> None:
    text = message(notebook, night)
    assert text.startswith("Fri 27 Nov 2026: I walk to arch")
    assert re.search(r"leaving it Fri 27 Nov, 2\d:\d\d ", text)
    assert re.search(rf"At the subject from {SATURDAY}, 0\d:\d\d, away", text)
    assert re.search(rf"heard from me by {SATURDAY}, 1[2-4]:\d\d, call coast guard, 112 and", text)
    clocks = re.findall(r"\d\d:\d\d", text)
    assert len(clocks) == len(re.findall(r"(?:Fri 27|Sat 28) Nov, \d\d:\d\d", text)) == 6


def test_clocks_of_another_day_carry_it(notebook: Notebook, night: OutingAnswer) -> None:
    leave = {what: clock for what, clock, _ in six_times(night)}["leave start"]
    assert re.fullmatch(r"Fri 2\d:\d\d", leave)
    (waypoint,) = gpxpy.parse(walk_gpx(night, route_card(notebook, night))).waypoints[-1:]
    assert re.search(r"arch.*, pass by Fri 2\d:\d\d", waypoint.name or "")
    assert re.search(r"leave jetty Fri 2\d:\d\d, away by [01]\d:\d\d", outing_description(night))
    assert re.search(r"arch.* +Fri 2\d:\d\d +Fri 2\d:\d\d +Fri 2\d:\d\d", outing_text(night))


def test_a_day_that_does_not_work_says_so_first(notebook: Notebook, fails: OutingAnswer) -> None:
    why = "This day does not work: back at the start by 05:00: short by "
    assert message(notebook, fails).startswith(why)
    entry = event(notebook, fails)
    assert str(entry["summary"]).startswith("does not work: arch")
    assert str(entry["description"]).startswith(why)
    assert not entry.walk("VALARM")
    gpx = gpxpy.parse(walk_gpx(fails, route_card(notebook, fails)))
    assert (gpx.description or "").startswith(why)
    assert all((one.name or "").startswith("does not work: ") for one in gpx.routes + gpx.tracks)
    assert {one.name for one in gpx.waypoints} == {
        f"{leg.leg.end_name}, exposure lost, turn back before here" for leg in fails.out
    }
    plan = json.loads(plan_geojson(fails, route_card(notebook, fails)))
    assert (plan["works"], plan["why_not"][: len(why)]) == (False, why)
    out = plan["features"][0]["properties"]
    assert (out["pass_by"], out["turn_back"]) == (None, None)
    assert out["too_late"] == ["pass_by", "turn_back"]
    text = outing_text(fails)
    assert text.index("This day does not work") < text.index("leave home")


def test_the_sheet_of_such_a_day_says_so_before_its_times(
    notebook: Notebook, fails: OutingAnswer
) -> None:
    sheet = gather_sheet(notebook, fails, now=NOW)
    for text, times in ((sheet_html(sheet), 'class="six"'), (times_html(sheet), 'class="big"')):
        assert 0 < text.index("This day does not work: ") < text.index(times)
        assert text.index("No day until") < text.index(times)
    card = sheet_html(sheet).partition("Route card")[2].partition("<b>Back</b>")[0]
    deadlines = re.findall(r'<td class="late">([^<]*)</td>', card)
    # the page's own words of it
    assert "Turn back: later than this there, the way home is not done in time." in sheet_html(
        sheet
    )
    assert deadlines == ["lost", "too late"] * len(fails.out)
    # the picture is that of the camera position one goes to, its verdict in the sheet's own type
    assert sheet.frame is not None
    assert sheet.frame.position == "detail"
    assert "<b>arch from detail</b>, long" in sheet_html(sheet)
    assert "from detail" not in frame_svg(sheet.frame, worded=False).partition("</title>")[2]


def test_the_sheet_has_a_row_for_each_plate_and_names_an_overcast_sky(
    notebook: Notebook, works: OutingAnswer
) -> None:
    sheet = gather_sheet(notebook, works, now=NOW)
    for plates, rows in ((1, 3), (5, 5), (40, 6)):
        planned = replace(works, budget=replace(works.budget, plates=plates))
        made = sheet_html(replace(sheet, outing=planned)).partition("<h2>Made</h2>")[2]
        assert made.partition("</table>")[0].count("<tr>") == 1 + rows
    overcast = replace(works, window=replace(works.window, sky="overcast"))
    for outing, said in ((works, False), (overcast, True)):
        text = sheet_html(replace(sheet, outing=outing))
        assert ("This window is one for an overcast sky." in text) is said


def test_the_sheet_says_first_that_the_plate_does_not_hold_it(
    notebook: Notebook, works: OutingAnswer
) -> None:
    sheet = gather_sheet(notebook, works, now=NOW)
    assert sheet.frame is not None
    for fits, said in (("yes", False), ("no", True)):
        picture = replace(sheet.frame.picture, fits=fits, holds_height=0.44)
        held = replace(sheet, frame=replace(sheet.frame, picture=picture))
        for text in (sheet_html(held).partition("Route card")[0], times_html(held)):
            assert ("It does not fit: " in text) is said
            assert ("the plate takes 44 % of its height" in text) is said


def test_one_says_why_set_up_is_after_the_best_minute(works: OutingAnswer) -> None:
    assert best_missed_text(works) == ""
    set_up = works.times.set_up_by
    late = replace(works, window=replace(works.window, best=set_up - timedelta(minutes=15)))
    clock = clock_on(set_up, works.zone, works.day)
    assert f"and set up at {clock}, " in best_missed_text(late)
    assert "usable light" not in best_missed_text(late)  # no leg held it up
    first = replace(works.out[0], needs_light=True, usable_from=works.times.leave_start)
    held = replace(late, out=(first, *works.out[1:]))
    assert "is not begun before usable light, " in best_missed_text(held)
    assert best_missed_text(replace(held, works=False)) == ""


def test_the_sheet_names_the_next_days_of_light(notebook: Notebook, works: OutingAnswer) -> None:
    text = sheet_html(gather_sheet(notebook, works, now=NOW))
    (said,) = re.findall(r"If the weather spoils it, the next light: ([^<]*)</p>", text)
    assert said.count("Sun 29 Nov 2026 ") == 1  # of this camera position, not of the other
    assert "28 Nov" not in said


def test_a_day_that_works_says_nothing_of_the_kind(notebook: Notebook, works: OutingAnswer) -> None:
    told = [message(notebook, works), walk_gpx(works, route_card(notebook, works))]
    told += [outing_description(works), outing_text(works)]
    assert not any(
        "does not work" in text or "too late" in text or "lost," in text for text in told
    )
    plan = json.loads(plan_geojson(works, route_card(notebook, works)))
    assert (plan["works"], plan["why_not"]) == (True, "")
    assert event(notebook, works).walk("VALARM")


@pytest.mark.parametrize(
    "asked",
    [
        {"back_by": "05:00"},
        {"margin": "12h", "back_by": "16:00"},
        {"plates": 100},
        {"leave": "09:30"},
        {"back_by": "09:15"},
    ],
)
def test_no_deadline_comes_before_the_plan(notebook: Notebook, asked: dict[str, object]) -> None:
    outing = ask(notebook, "arch", number=1, drive="40min", **asked)
    assert not outing.works
    kept = [(in_order(clock), remark) for _, clock, remark in six_times(outing) if clock != "–"]
    assert kept == sorted(kept)
    for clock, remark in kept:
        for latest in re.findall(rf"(?:at the latest|begin by) ({CLOCK})", remark):
            assert in_order(latest) >= clock
        for planned in re.findall(rf"by plan ({CLOCK})", remark):
            assert in_order(planned) <= clock
    said = re.findall(r"(?:Fri 27|Sat 28|Sun 29) Nov, \d\d:\d\d", message(notebook, outing))
    assert len(said) == 6  # leaving, there, away, back by plan, at the latest, call
    assert said == sorted(said, key=lambda one: one[4:])


def test_a_deadline_is_kept_to_the_second() -> None:
    assert can_be_kept(NOW, None)
    assert can_be_kept(NOW, NOW)
    assert can_be_kept(NOW, NOW - timedelta(seconds=1))  # both were rounded
    assert not can_be_kept(NOW, NOW - timedelta(seconds=2))


def test_each_window_of_a_day_has_an_entry_of_its_own_where_its_camera_stands(
    notebook: Notebook,
) -> None:
    first, second = (ask(notebook, "arch", number=number) for number in (1, 2))
    assert {first.camera_position, second.camera_position} == {"whole", "detail"}
    for outing in (first, second):
        east_m = {"whole": 600.0, "detail": 400.0}[outing.camera_position]
        geo = event(notebook, outing)["geo"]
        assert (geo.latitude, geo.longitude) == pytest.approx(
            (place(east_m, 0.0).latitude_deg, place(east_m, 0.0).longitude_deg), abs=2e-6
        )
    assert str(event(notebook, first)["uid"]) != str(event(notebook, second)["uid"])


def test_two_windows_of_one_camera_position_keep_their_uids_whenever_they_are_written(
    notebook: Notebook,
) -> None:
    """The second stays the second when the first is over, and when it has itself begun."""
    with notebook.writing():
        wanted = WantedLight(delta_deg=(20.0, 150.0))  # off the line at both ends of the day
        gate = add_subject(notebook, Subject(name="gate", place=place(610.0, 0.0), wanted=wanted))
        to = Bearing(true_deg=180.0, error_deg=2.0, as_written="180T")
        stand = CameraPosition(place=place(600.0, 0.0), bearing=to, subject_id=gate.id)
        add_camera_position(notebook, stand)
    both = [ask(notebook, "gate", number=number) for number in (1, 2)]
    early = {outing.window.start: str(event(notebook, outing)["uid"]) for outing in both}
    assert len(set(early.values())) == 2
    opens = max(early)
    for now in (opens - timedelta(minutes=5), opens + timedelta(minutes=20)):
        late = ask(notebook, "gate", now=now)
        assert late.window.end > opens
        assert str(event(notebook, late)["uid"]) == early[opens]


def test_light_over_midnight_keeps_its_uid_while_it_lasts_and_shares_it_with_no_other(
    notebook: Notebook,
) -> None:
    """Planned the evening before, and again past midnight, when tonight's is a light of its own."""
    with notebook.writing():
        wanted = WantedLight(sun_altitude_deg=(-90.0, -10.0), earliest=time(22), latest=time(2))
        add_subject(notebook, Subject(name="moth lamp", place=place(610.0, 0.0), wanted=wanted))
    before = ask(notebook, "moth lamp", number=1)
    past = before.window.end - timedelta(minutes=90)  # of 22:00 to 02:00: half past midnight
    rest, tonight = (
        ask(notebook, "moth lamp", number=number, day=None, now=past, start="moth lamp")
        for number in (1, 2)
    )
    if rest.window.start > tonight.window.start:
        rest, tonight = tonight, rest
    assert rest.window.end == before.window.end
    assert tonight.window.start > before.window.end
    uids = [str(event(notebook, outing)["uid"]) for outing in (before, rest, tonight)]
    assert uids[0] == uids[1] != uids[2]


def test_whom_to_call_is_typed_or_kept_and_never_left_blank(notebook: Notebook) -> None:
    with pytest.raises(BadInput, match="no one to call"):
        whom_to_call(notebook, None)
    with pytest.raises(BadInput, match="no one to call"):
        whom_to_call(notebook, "  ")
    with notebook.writing():
        set_setting(notebook, "call", "my sister, 555 0100")
    assert whom_to_call(notebook, None) == "my sister, 555 0100"
    assert whom_to_call(notebook, "coast guard, 112") == "coast guard, 112"
