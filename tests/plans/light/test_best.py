"""The best light at subjects of a notebook, checked minute by minute against its own promises."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from backbearing.errors import BadInput, NotFound
from backbearing.models.sun import sun_position
from backbearing.models.sunlight import PLAIN_EDGE_DEG
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_camera_position, add_subject, update_subject
from backbearing.plans.heights import place_with_height
from backbearing.plans.light import LightAnswer, best_light
from backbearing.plans.light.spot import local_minutes
from backbearing.records import (
    Bearing,
    CameraPosition,
    LightWindow,
    OtherSky,
    Place,
    Subject,
    WantedLight,
)

AZORES = "Atlantic/Azores"
SATURDAY = date(2026, 11, 28)
SEMIDIAMETER_AT_1_AU_DEG = 959.63 / 3600.0  # from memory


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "n.gpkg", create=True) as opened:
        with opened.writing():
            set_setting(opened, "zone", AZORES)
        yield opened


def put(
    notebook: Notebook,
    name: str,
    *,
    at: tuple[float, float] = (47.0, -21.0),
    bearing: float | None = 215.0,
    bearing_error: float = 2.0,
    wanted: WantedLight | None = None,
    **known: object,
) -> Subject:
    place = Place(
        latitude_deg=at[0],
        longitude_deg=at[1],
        height_m=120.0,
        error_m=40.0,
        error_basis="assumed: under walls",
    )
    with notebook.writing():
        subject = add_subject(
            notebook,
            Subject(name=name, place=place, wanted=wanted, **known),  # type: ignore[arg-type]
        )
        if bearing is not None:
            to = Bearing(true_deg=bearing, error_deg=bearing_error, as_written=f"{bearing:.0f}T")
            add_camera_position(
                notebook, CameraPosition(place=place, bearing=to, subject_id=subject.id)
            )
    return subject


def whole_minutes(window: LightWindow) -> list[datetime]:
    count = round((window.end - window.start) / timedelta(minutes=1))
    return [window.start + timedelta(minutes=i) for i in range(count + 1)]


def independently_met(
    when: datetime, at: tuple[float, float], bearing: float, wanted: WantedLight, zone: str
) -> bool:
    """The wish judged anew for one instant, in plain Python, over a plain."""
    sun = sun_position(np.datetime64(when.replace(tzinfo=None), "ms"), *at, height_m=120.0)
    azimuth, altitude = float(sun.azimuth_deg), float(sun.altitude_deg)
    there = when.astimezone(ZoneInfo(zone))
    verdicts = []
    if wanted.direct_sun is not None:
        limb = altitude + SEMIDIAMETER_AT_1_AU_DEG / float(sun.distance_au)
        verdicts.append((limb >= PLAIN_EDGE_DEG) == wanted.direct_sun)
    if wanted.delta_deg is not None:
        delta = abs(azimuth - bearing)
        delta = 360.0 - delta if delta > 180.0 else delta
        verdicts.append(wanted.delta_deg[0] <= delta <= wanted.delta_deg[1])
    if wanted.side is not None:
        verdicts.append((wanted.side == "right") == (0.0 < (azimuth - bearing) % 360.0 < 180.0))
    if wanted.sun_altitude_deg is not None:
        verdicts.append(wanted.sun_altitude_deg[0] <= altitude <= wanted.sun_altitude_deg[1])
    if wanted.months:
        verdicts.append(there.month in wanted.months)
    if wanted.weekdays:
        verdicts.append(there.weekday() in wanted.weekdays)
    if wanted.earliest is not None:
        verdicts.append(there.time() >= wanted.earliest)
    if wanted.latest is not None:
        verdicts.append(there.time() <= wanted.latest)
    return all(verdicts)


WISHES = [
    WantedLight(
        direct_sun=True, delta_deg=(45.0, 135.0), side="left", sun_altitude_deg=(5.0, 25.0)
    ),
    WantedLight(direct_sun=True, delta_deg=(0.0, 45.0), latest=time(15, 30), weekdays=(5, 6)),
    WantedLight(direct_sun=False, sun_altitude_deg=(-6.0, 4.0)),
    WantedLight(direct_sun=True, months=(3, 10), earliest=time(9), latest=time(10, 30)),
]
PLACES = [
    (47.0, -21.0, AZORES, 215.0),
    (-44.6, 169.1, "Pacific/Auckland", 325.0),
    (64.1, -179.9, "Asia/Anadyr", 215.0),
]


@pytest.mark.parametrize("wanted", WISHES)
@pytest.mark.parametrize("spot", PLACES)
def test_every_minute_inside_is_right_and_the_ones_outside_are_not(
    notebook: Notebook, wanted: WantedLight, spot: tuple[float, float, str, float]
) -> None:
    """Both hemispheres, the date line, and the days on which the clocks change."""
    latitude, longitude, zone, bearing = spot
    at = (latitude, longitude)
    with notebook.writing():
        set_setting(notebook, "zone", zone)
    put(notebook, "arch", at=at, bearing=bearing, wanted=wanted)
    checked = 0
    for start in (date(2026, 3, 25), date(2026, 9, 24), date(2026, 10, 22), date(2027, 4, 1)):
        end = start + timedelta(days=5)
        answer = best_light(notebook, ["arch"], start=start, end=end)
        windows = sorted(answer.windows, key=lambda w: w.start)
        assert all(a.end < b.start for a, b in pairwise(windows))
        first, last = (
            datetime.combine(day, time(), ZoneInfo(zone)).astimezone(UTC)
            for day in (start, end + timedelta(days=1))
        )
        for window in windows:
            inside = whole_minutes(window)
            assert window.best in inside
            for when in {*inside[::7], inside[0], inside[-1], window.best}:
                assert independently_met(when, at, bearing, wanted, zone), when
            for when in (inside[0] - timedelta(minutes=1), inside[-1] + timedelta(minutes=1)):
                if first <= when < last:
                    assert not independently_met(when, at, bearing, wanted, zone), when
            checked += 1
    assert checked


def test_a_year_offers_different_dates_before_neighbours(notebook: Notebook) -> None:
    put(notebook, "winding house", wanted=WISHES[0])
    answer = best_light(
        notebook, ["winding house"], start=SATURDAY, end=date(2027, 11, 27), limit=10
    )
    days = sorted(w.day for w in answer.windows)
    assert len(days) == answer.different == 10
    assert all((b - a).days >= 12 for a, b in pairwise(days))
    assert answer.left_off > answer.left_off_alike > 100
    for window in answer.windows:
        assert window.alike is not None
        assert window.alike[0] <= window.day <= window.alike[1]
        assert "much the same" in window.why


def test_over_months_a_date_alike_to_one_shown_comes_after_all_that_are_not(
    notebook: Notebook,
) -> None:
    """And the stretches said of the different ones hold every other date."""
    put(notebook, "arch", wanted=WantedLight(direct_sun=True, delta_deg=(45.0, 135.0)))
    answer = best_light(notebook, ["arch"], start=SATURDAY, end=date(2027, 2, 28))
    different = answer.windows[: answer.different]
    assert 1 < len(different) < 15 < len(answer.windows)
    stretches: list[tuple[date, date]] = []
    for window in different:
        assert not any(first <= window.day <= last for first, last in stretches)
        stretches.append(window.alike or (window.day, window.day))
    neighbours = answer.windows[answer.different :]
    assert all(any(first <= w.day <= last for first, last in stretches) for w in neighbours)
    assert [w.day for w in neighbours] == sorted(w.day for w in neighbours)
    assert answer.left_off == 0


def test_saturday_afternoon_which_of_mine(notebook: Notebook) -> None:
    """All subjects in one order; made and gone ones left out, and that is said."""
    put(notebook, "arch", bearing=45.0, wanted=WantedLight(direct_sun=True, delta_deg=(135, 180)))
    put(notebook, "pump wheel", wanted=WantedLight(direct_sun=True, delta_deg=(0.0, 45.0)))
    put(notebook, "landing stage", bearing=125.0, wanted=WantedLight(delta_deg=(0.0, 20.0)))
    put(notebook, "powder house", state="made")
    answer = best_light(notebook, [], start=SATURDAY, end=SATURDAY, after=time(13))
    one_o_clock = datetime(2026, 11, 28, 13, tzinfo=ZoneInfo(AZORES))
    assert {w.subject for w in answer.windows} == {"arch", "pump wheel"}
    assert all(w.start >= one_o_clock for w in answer.windows)
    assert [w.score for w in answer.windows] == sorted(
        (w.score for w in answer.windows), reverse=True
    )
    assert [u.subject for u in answer.unmatched] == ["landing stage"]
    assert any("powder house" in line for line in answer.assumptions)


def test_each_subject_is_named_before_a_second_date_of_another(notebook: Notebook) -> None:
    """However much better the light at one of them is."""
    put(notebook, "arch", wanted=WantedLight(direct_sun=True))
    put(notebook, "adit", wanted=WantedLight(direct_sun=True, sun_altitude_deg=(18.0, 30.0)))
    answer = best_light(notebook, [], start=SATURDAY, end=SATURDAY + timedelta(days=60), limit=6)
    assert {w.subject for w in answer.windows[:2]} == {"arch", "adit"}
    assert {w.subject for w in answer.windows[2:4]} == {"arch", "adit"}


def test_what_is_over_already_is_not_offered(notebook: Notebook) -> None:
    put(notebook, "arch", wanted=WantedLight(direct_sun=True))
    now = datetime(2026, 11, 28, 14, 0, 30, tzinfo=UTC)
    answer = best_light(notebook, ["arch"], start=SATURDAY, end=SATURDAY, earliest_at=now)
    assert [w.start for w in answer.windows] == [datetime(2026, 11, 28, 14, 1, tzinfo=UTC)]


# ---------------------------------------------------------------- honesty


def test_a_direction_without_a_bearing_is_said_not_matched(notebook: Notebook) -> None:
    put(notebook, "arch", bearing=None, wanted=WantedLight(delta_deg=(0.0, 45.0)))
    answer = best_light(notebook, ["arch"], start=SATURDAY, end=SATURDAY)
    assert not answer.windows
    assert "no bearing" in answer.unmatched[0].sentence


def test_the_generic_default_is_named_as_that(notebook: Notebook) -> None:
    put(notebook, "arch")
    put(notebook, "landing stage", bearing=None)
    answer = best_light(notebook, [], start=SATURDAY, end=SATURDAY)
    assert {w.basis for w in answer.wishes} == {"generic default"}
    named = [line for line in answer.assumptions if "generic default" in line]
    assert "side-lit" in next(line for line in named if "arch" in line)
    assert "side-lit" not in next(line for line in named if "landing stage" in line)
    (stage,) = (w for w in answer.windows if w.subject == "landing stage")
    assert stage.lit_from == "no bearing on record"
    assert stage.delta_deg is None


def test_a_facing_wall_stands_in_for_the_bearing_and_that_is_said(notebook: Notebook) -> None:
    wish = WantedLight(direct_sun=True, delta_deg=(135.0, 180.0))
    put(notebook, "gable", bearing=None, facing_deg=180.0, wanted=wish)
    answer = best_light(notebook, ["gable"], start=SATURDAY, end=SATURDAY)
    (window,) = answer.windows
    # it faces south, so the camera looks north and the midday sun is behind it
    assert window.lit_from == "front-lit"
    assert any("assumed: back bearing" in line for line in window.rests_on)
    assert any("gable" in line and "back bearing" in line for line in answer.assumptions)
    assert window.plus_minus_min > 60  # 20° of a sun that turns a quarter degree a minute


def test_a_poorer_compass_makes_wider_minutes(notebook: Notebook) -> None:
    wish = WantedLight(direct_sun=True, delta_deg=(60.0, 120.0))
    put(notebook, "by sighting compass", bearing_error=2.0, wanted=wish)
    put(notebook, "by telephone", bearing_error=10.0, wanted=wish)
    answer = best_light(notebook, [], start=SATURDAY, end=SATURDAY)
    minutes = {w.subject: w.plus_minus_min for w in answer.windows}
    assert minutes["by telephone"] == pytest.approx(5 * minutes["by sighting compass"], abs=5)
    assert answer.windows[0].subject == "by sighting compass"  # the surer one first


def test_both_skies_are_answered(notebook: Notebook) -> None:
    sky = OtherSky(earliest=time(10, 30), latest=time(15))
    put(notebook, "arch", wanted=WantedLight(direct_sun=True, other_sky=sky))
    put(notebook, "adit", wanted=WantedLight(sun_altitude_deg=(60.0, 70.0), other_sky=sky))
    answer = best_light(notebook, [], start=SATURDAY, end=SATURDAY + timedelta(days=3), limit=3)
    clear, beside = answer.windows[:2]
    assert (clear.subject, clear.sky, beside.sky, beside.day) == (
        "arch",
        "clear",
        "overcast",
        clear.day,
    )
    (alone,) = (w for w in answer.windows if w.subject == "adit")
    assert alone.sky == "overcast"
    assert alone.alike == (SATURDAY, SATURDAY + timedelta(days=3))  # one line for all four days
    there = alone.start.astimezone(ZoneInfo(AZORES))
    assert (there.time(), alone.end - alone.start) == (time(10, 30), timedelta(hours=4, minutes=30))
    assert [u.subject for u in answer.unmatched] == ["adit"]


def test_relaxing_gives_what_it_says(notebook: Notebook) -> None:
    wish = WantedLight(direct_sun=True, sun_altitude_deg=(30.0, 60.0), latest=time(12))
    put(notebook, "arch", wanted=wish)
    period = {"start": SATURDAY, "end": SATURDAY + timedelta(days=13)}
    (missing,) = best_light(notebook, ["arch"], **period).unmatched
    assert missing.excludes_most == "sun 30–60° high"
    option = missing.relaxing[0]
    dropped = WantedLight(direct_sun=True, latest=time(12))
    windows = best_light(notebook, ["arch"], wanted=dropped, **period).windows
    assert option.windows == len(windows)
    assert option.first_day == min(w.day for w in windows)
    low = float(option.enough.split("–")[0])
    enough = WantedLight(direct_sun=True, sun_altitude_deg=(low, 60.0), latest=time(12))
    assert best_light(notebook, ["arch"], wanted=enough, **period).windows


def test_polar_night_and_polar_day_are_answers(notebook: Notebook) -> None:
    put(notebook, "whaler's hut", at=(78.2, 15.6), wanted=WantedLight(direct_sun=True))
    winter = best_light(notebook, [], start=date(2026, 12, 1), end=date(2026, 12, 7))
    assert not winter.windows
    assert "does not come up" in winter.unmatched[0].sentence
    summer = best_light(notebook, [], start=date(2026, 6, 10), end=date(2026, 6, 12))
    assert len(summer.windows) == 3  # cut at local midnight
    first_sun = WantedLight(direct_sun=True, after_first_sun_min=(0.0, 60.0))
    put(notebook, "boat", at=(78.2, 15.6), wanted=first_sun)
    (never,) = best_light(
        notebook, ["boat"], start=date(2026, 6, 10), end=date(2026, 6, 12)
    ).unmatched
    assert never.excludes_most == "0–60 min after first sun"


def test_first_and_last_sun_reach_over_the_ends_of_the_period(notebook: Notebook) -> None:
    """One day asked about, in a zone whose midnight is the spot's noon."""
    with notebook.writing():
        set_setting(notebook, "zone", "Pacific/Auckland")
    wish = WantedLight(direct_sun=True, before_last_sun_min=(0.0, 60.0), minimum_min=30)
    put(notebook, "arch", at=(47.0, -5.0), wanted=wish)
    day = date(2026, 3, 20)
    answer = best_light(notebook, ["arch"], start=day, end=day)
    (window,) = answer.windows
    assert window.end - window.start == timedelta(minutes=60)
    assert abs(window.sun_altitude_deg) < 12


def test_two_camera_positions_are_judged_each_by_its_bearing(notebook: Notebook) -> None:
    wish = WantedLight(direct_sun=True, delta_deg=(0.0, 45.0))
    subject = put(notebook, "arch", bearing=0.0, wanted=wish)
    with notebook.writing():
        south = Bearing(true_deg=180.0, error_deg=2.0, as_written="180T")
        add_camera_position(
            notebook,
            CameraPosition(
                name="detail", place=subject.place, bearing=south, subject_id=subject.id
            ),
        )
    answer = best_light(notebook, ["arch"], start=SATURDAY, end=SATURDAY)
    assert [w.camera_position for w in answer.windows] == ["detail"]
    assert not answer.unmatched


@pytest.mark.parametrize("wanted", [None, WantedLight(direct_sun=True, delta_deg=(45.0, 135.0))])
def test_a_camera_position_without_a_bearing_never_stands_before_a_measured_one(
    notebook: Notebook, wanted: WantedLight | None
) -> None:
    subject = put(notebook, "arch", bearing=215.0, wanted=wanted)
    with notebook.writing():
        add_camera_position(
            notebook,
            CameraPosition(name="far bank", place=subject.place, subject_id=subject.id),
        )
    answer = best_light(notebook, ["arch"], start=SATURDAY, end=SATURDAY + timedelta(days=13))
    assert answer.windows
    assert {w.camera_position for w in answer.windows} == {"main"}
    assert all(w.lit_from.startswith("side-lit") for w in answer.windows)
    assert (
        "not judged, as no bearing from it is on record: camera position far bank of arch"
        in answer.assumptions
    )


def test_which_camera_position_a_stand_in_is_for_is_said(notebook: Notebook) -> None:
    subject = put(notebook, "arch", bearing=215.0)
    assumed = Bearing(
        true_deg=40.0, error_deg=20.0, as_written="40T", basis="assumed: from the two places"
    )
    with notebook.writing():
        add_camera_position(
            notebook,
            CameraPosition(
                name="far bank", place=subject.place, bearing=assumed, subject_id=subject.id
            ),
        )
    answer = best_light(notebook, ["arch"], start=SATURDAY, end=SATURDAY)
    said = "camera bearing of arch from far bank assumed: from the two places"
    assert said in answer.assumptions


def test_a_window_cut_at_midnight_says_so(notebook: Notebook) -> None:
    """Svalbard in June: the sun stays up through all three days."""
    sun = WantedLight(direct_sun=True)
    put(notebook, "hut", at=(78.2, 15.6), wanted=sun)
    answer = best_light(notebook, ["hut"], start=date(2026, 6, 1), end=date(2026, 6, 3))
    whys = [window.why for window in sorted(answer.windows, key=lambda w: w.start)]
    assert len(whys) == 3
    assert all("opens at midnight, closes at midnight" in why for why in whys)


@pytest.mark.parametrize(
    "wanted",
    [
        WantedLight(sun_altitude_deg=(-90.0, 90.0), earliest=time(22), latest=time(2)),
        WantedLight(sun_altitude_deg=(-90.0, 90.0), earliest=time(23, 57), latest=time(2)),
    ],
)
def test_light_over_midnight_is_one_window_of_the_day_it_begins_on(
    notebook: Notebook, wanted: WantedLight
) -> None:
    put(notebook, "arch", wanted=wanted)
    one_day = best_light(notebook, [], start=SATURDAY, end=SATURDAY).windows
    assert [window.day for window in one_day] == [SATURDAY]
    clock = ZoneInfo(AZORES)
    assert one_day[0].start.astimezone(clock).time() == wanted.earliest
    assert one_day[0].end == datetime(2026, 11, 29, 2, 0, tzinfo=clock)
    days = best_light(notebook, [], start=SATURDAY, end=date(2026, 12, 1)).windows
    assert {(window.start, window.end) for window in one_day} == {
        (window.start, window.end) for window in days if window.day == SATURDAY
    }
    assert len(days) == 4


def test_of_light_over_midnight_the_rest_is_offered_once_it_has_begun(notebook: Notebook) -> None:
    put(
        notebook,
        "arch",
        wanted=WantedLight(sun_altitude_deg=(-90.0, 90.0), earliest=time(22), latest=time(2)),
    )
    now = datetime(2026, 11, 28, 0, 30, tzinfo=ZoneInfo(AZORES))
    found = best_light(notebook, [], start=SATURDAY, end=SATURDAY, earliest_at=now).windows
    begun, coming = sorted(found, key=lambda window: window.start)
    assert begun.start == now
    assert begun.end == now.replace(hour=2, minute=0)
    assert coming.start == now.replace(hour=22, minute=0)


def test_the_sentence_and_the_figure_are_rounded_alike(notebook: Notebook) -> None:
    put(notebook, "arch", wanted=WantedLight(direct_sun=True))
    put(notebook, "cairn", at=(30.0, 10.0), wanted=WantedLight(direct_sun=True))
    answer = best_light(notebook, ["arch", "cairn"], start=date(2026, 1, 1), end=date(2027, 12, 31))
    assert len(answer.windows) == 2 * 730
    for window in answer.windows:
        assert f"sun {window.sun_altitude_deg:.0f}° up" in window.why


# ---------------------------------------------------------------- the face, and what is sure

MARCH = date(2027, 3, 25)


def face_off_deg(when: datetime, facing: float, at: tuple[float, float] = (47.0, -21.0)) -> float:
    """How far off square the sun stands to an upright face, by vectors, in plain Python."""
    sun = sun_position(np.datetime64(when.replace(tzinfo=None), "ms"), *at, height_m=120.0)
    azimuth, altitude = np.radians(float(sun.azimuth_deg)), np.radians(float(sun.altitude_deg))
    to_sun = [np.cos(altitude) * np.sin(azimuth), np.cos(altitude) * np.cos(azimuth)]
    normal = [np.sin(np.radians(facing)), np.cos(np.radians(facing))]
    return float(np.degrees(np.arccos(np.dot(to_sun, normal))))


def test_sun_on_it_means_on_its_face_where_the_facing_is_known(notebook: Notebook) -> None:
    """A face to the NNE has the March sun for two hours after sunrise.

    And what is not sun on its face is shade: the two share the daylight between them.
    """
    sun, shade = (
        WantedLight(direct_sun=True, minimum_min=0),
        WantedLight(direct_sun=False, minimum_min=0),
    )
    put(notebook, "north face", facing_deg=20.0, bearing=250.0, wanted=sun)
    (lit,) = best_light(notebook, [], start=MARCH, end=MARCH).windows
    for when in whole_minutes(lit)[::5]:
        assert face_off_deg(when, 20.0) < 90.0
    assert face_off_deg(lit.end + timedelta(minutes=1), 20.0) >= 90.0
    assert "as the sun leaves its face" in lit.why
    assert f"{face_off_deg(lit.best, 20.0):.0f}° off square to its face;" in lit.why
    assert any("looking 020° true ± 5°" in line for line in lit.rests_on)
    dark = best_light(notebook, [], start=MARCH, end=MARCH, wanted=shade).windows
    by_start = sorted([lit, *dark], key=lambda w: w.start)
    assert all(a.end + timedelta(minutes=1) == b.start for a, b in pairwise(by_start))
    assert "its face in its own shade" in max(dark, key=lambda w: w.end - w.start).why
    answer = best_light(notebook, [], start=MARCH, end=MARCH)
    assert answer.wishes[0].words.startswith("sun on its face (looking 020°)")


def test_sun_that_only_skims_a_face_is_called_grazing(notebook: Notebook) -> None:
    put(notebook, "north face", facing_deg=5.0, wanted=WantedLight(direct_sun=True))
    (window,) = best_light(notebook, [], start=MARCH, end=MARCH).windows
    assert face_off_deg(window.best, 5.0) > 75.0
    assert "off square to its face, grazing;" in window.why


def test_the_edge_a_face_makes_is_as_unsure_as_the_face(notebook: Notebook) -> None:
    """5° of a sun that turns a quarter of a degree a minute or less, not the minute of sunrise."""
    put(notebook, "north face", facing_deg=20.0, wanted=WantedLight(direct_sun=True))
    (window,) = best_light(notebook, [], start=MARCH, end=MARCH).windows
    assert 20 <= window.plus_minus_min <= 35


def test_on_a_known_face_the_best_sun_is_slant(notebook: Notebook) -> None:
    put(notebook, "south wall", facing_deg=180.0, wanted=WantedLight(direct_sun=True))
    (window,) = best_light(notebook, [], start=MARCH, end=MARCH).windows
    assert 30.0 <= face_off_deg(window.best, 180.0) <= 70.0


def test_without_a_facing_it_is_said_that_the_face_is_not_known(notebook: Notebook) -> None:
    said = "whether its face is lit is not known: no facing on record"
    put(notebook, "arch", wanted=WantedLight(direct_sun=True))
    put(notebook, "adit", wanted=WantedLight(sun_altitude_deg=(0.0, 30.0)))
    answer = best_light(notebook, [], start=SATURDAY, end=SATURDAY)
    assert {w.subject for w in answer.windows if said in w.rests_on} == {"arch"}
    assert f"{said}: arch" in answer.assumptions


def test_a_stand_in_bearing_tells_the_facing_and_follows_a_mended_one(notebook: Notebook) -> None:
    subject = put(notebook, "gable", bearing=None, wanted=WantedLight(direct_sun=True))
    behind = Bearing(
        true_deg=200.0,
        error_deg=20.0,
        as_written="back bearing of 20T",
        basis="assumed: back bearing of the facing wall",
    )
    with notebook.writing():
        add_camera_position(
            notebook, CameraPosition(place=subject.place, bearing=behind, subject_id=subject.id)
        )
    (window,) = best_light(notebook, [], start=MARCH, end=MARCH).windows
    assert any("looking 020° true" in line and "stands in" in line for line in window.rests_on)
    with notebook.writing():
        update_subject(notebook, replace(subject, facing_deg=180.0))
    (window,) = best_light(notebook, [], start=MARCH, end=MARCH).windows
    assert any(line.startswith("bearing 000° true") for line in window.rests_on)


def test_side_light_is_best_where_it_does_not_only_graze_a_wall_seen_square_on(
    notebook: Notebook,
) -> None:
    put(notebook, "arch", bearing=215.0, wanted=WantedLight(delta_deg=(45.0, 135.0)))
    (window, *_) = best_light(notebook, [], start=MARCH, end=MARCH).windows
    assert window.delta_deg is not None
    assert 105.0 <= window.delta_deg <= 120.0


@pytest.mark.parametrize("wanted", [*WISHES, WantedLight(delta_deg=(0.0, 45.0))])
@pytest.mark.parametrize("bearing_error", [2.0, 10.0])
def test_the_best_minute_is_surely_inside_and_the_sun_well_up(
    notebook: Notebook, wanted: WantedLight, bearing_error: float
) -> None:
    """A back-light's best is never the sun's disc as it sets."""
    put(notebook, "arch", bearing=250.0, bearing_error=bearing_error, wanted=wanted)
    answer = best_light(notebook, [], start=date(2027, 3, 20), end=date(2027, 5, 20))
    assert answer.windows
    for window in answer.windows:
        sure = timedelta(minutes=window.plus_minus_min)
        long = window.end - window.start >= 2 * sure
        assert window.doubtful is not long
        if long:
            assert window.start + sure <= window.best <= window.end - sure
        low = wanted.sun_altitude_deg is not None and wanted.sun_altitude_deg[0] < 0
        if not low:
            assert window.sun_altitude_deg >= 2.0


def test_doubtful_windows_come_after_all_that_are_surely_there(notebook: Notebook) -> None:
    """And the next window named is a sound one, though a doubtful one comes sooner."""
    narrow = WantedLight(delta_deg=(64.0, 70.0), minimum_min=10)
    put(notebook, "by telephone", bearing=220.0, bearing_error=10.0, wanted=narrow)
    put(notebook, "adit", bearing=None, wanted=WantedLight(direct_sun=True, earliest=time(15)))
    answer = best_light(notebook, [], start=SATURDAY, end=SATURDAY + timedelta(days=13))
    different = answer.windows[: answer.different]
    order = [w.doubtful for w in different]
    assert order == sorted(order)
    assert set(order) == {False, True}
    assert answer.next_window is not None
    assert answer.next_window.subject == "adit"
    assert answer.next_window.start > min(w.start for w in answer.windows)


def test_the_next_window_is_named_though_the_limit_leaves_it_off(notebook: Notebook) -> None:
    put(notebook, "arch", wanted=WISHES[0])
    period = {"start": SATURDAY, "end": date(2027, 11, 27)}
    every = best_light(notebook, ["arch"], **period)
    first = min((w for w in every.windows if not w.doubtful), key=lambda w: w.start)
    answer = best_light(notebook, ["arch"], limit=1, **period)
    assert answer.windows[0].start != first.start
    assert answer.next_window is not None
    assert answer.next_window.start == first.start


def test_shade_needs_something_to_throw_it(notebook: Notebook) -> None:
    put(notebook, "arch", wanted=WantedLight(direct_sun=False))
    (missing,) = best_light(notebook, [], start=SATURDAY, end=SATURDAY).unmatched
    assert missing.sentence.startswith("shade cannot be worked out without a facing or a skyline")
    assert missing.relaxing == ()


def test_what_would_do_is_said_in_whole_degrees(notebook: Notebook) -> None:
    """Outwards, so that it does do."""
    wish = WantedLight(direct_sun=True, sun_altitude_deg=(30.0, 60.0))
    put(notebook, "arch", wanted=wish)
    (missing,) = best_light(notebook, [], start=SATURDAY, end=SATURDAY).unmatched
    enough = missing.relaxing[0].enough
    assert re.fullmatch(r"\d+–60°", enough), enough


def test_a_camera_lends_its_height(notebook: Notebook) -> None:
    place = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=10.0, error_basis="given")
    high = replace(place, height_m=437.0)
    assert place_with_height(high, []) == (high, "")
    lent = CameraPosition(name="ledge", place=high)
    assert place_with_height(place, [CameraPosition(place=place), lent]) == (high, "ledge")
    assert place_with_height(place, []) == (place, "")


# ---------------------------------------------------------------- clocks and input


@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [
        (AZORES, date(2026, 3, 29), 23),
        (AZORES, date(2026, 10, 25), 25),
        ("Australia/Lord_Howe", date(2026, 4, 5), 24.5),  # half an hour of daylight saving
        ("Pacific/Chatham", date(2026, 7, 1), 24),
    ],
)
def test_local_days_are_as_long_as_they_are(zone: str, day: date, hours: float) -> None:
    """Every minute's local clock and day, against zoneinfo one at a time."""
    minutes = local_minutes(day, day, zone, days_around=1)
    assert minutes.inside.sum() == hours * 60
    for i in range(0, len(minutes.time), 11):
        there = minutes.time[i].item().replace(tzinfo=UTC).astimezone(ZoneInfo(zone))
        assert minutes.clock_min[i] == there.hour * 60 + there.minute
        assert np.datetime64(int(minutes.day[i]), "D").item() == there.date()
        assert minutes.inside[i] == (there.date() == day)


def test_the_same_question_has_the_same_answer(notebook: Notebook) -> None:
    for i in range(6):
        put(notebook, f"stone {i}", at=(47.0, -21.0 + i / 50), bearing=30.0 * i)

    def asked() -> LightAnswer:
        return best_light(notebook, [], start=SATURDAY, end=SATURDAY + timedelta(days=6))

    assert asked() == asked()


def test_progress_names_each_subject(notebook: Notebook) -> None:
    put(notebook, "arch")
    put(notebook, "adit")
    told: list[str] = []
    best_light(notebook, [], start=SATURDAY, end=SATURDAY, progress=told.append)
    assert told == ["light at adit (1 of 2)", "light at arch (2 of 2)"]


def test_periods_that_make_no_sense_are_refused(notebook: Notebook) -> None:
    put(notebook, "arch")
    for start, end in (
        (SATURDAY, SATURDAY - timedelta(days=1)),
        (SATURDAY, SATURDAY + timedelta(days=2000)),
        (date(1, 1, 1), date(1, 1, 2)),
        (date(9999, 12, 31), date(9999, 12, 31)),
    ):
        with pytest.raises(BadInput, match="--"):
            best_light(notebook, ["arch"], start=start, end=end)
    with pytest.raises(NotFound):
        best_light(notebook, ["arc"], start=SATURDAY, end=SATURDAY)


def test_an_empty_notebook_has_an_empty_answer(notebook: Notebook) -> None:
    answer = best_light(notebook, [], start=SATURDAY, end=SATURDAY)
    assert (answer.windows, answer.unmatched, answer.wishes) == ((), (), ())


# ---------------------------------------------------------------- a wish for each camera position


def two_positions(notebook: Notebook, own: WantedLight | None) -> Subject:
    """A house seen whole from one side, and a detail of it from the other."""
    house = put(notebook, "house", wanted=WantedLight(months=(1, 2)))
    with notebook.writing():
        add_camera_position(
            notebook,
            CameraPosition(
                name="detail",
                place=house.place,
                bearing=Bearing(
                    true_deg=30.0,
                    error_deg=2.0,
                    as_written="30T",
                    declination_deg=None,
                    basis="sighting compass",
                ),
                subject_id=house.id,
                wanted=own,
            ),
        )
    return house


def test_each_camera_position_is_judged_by_its_own_wish(notebook: Notebook) -> None:
    two_positions(notebook, WantedLight(direct_sun=True, months=(3,), delta_deg=(45.0, 180.0)))
    answer = best_light(notebook, ["house"], start=date(2027, 1, 1), end=date(2027, 3, 31))
    months = {
        name: {w.day.month for w in answer.windows if w.camera_position == name}
        for name in ("main", "detail")
    }
    assert months == {"main": {1, 2}, "detail": {3}}
    assert [(w.camera_position, w.basis) for w in answer.wishes] == [
        ("", "on record"),
        ("detail", "on record"),
    ]
    assert any("facing" in line for w in answer.windows for line in w.rests_on)


def test_a_position_without_a_wish_of_its_own_goes_by_the_subjects(notebook: Notebook) -> None:
    two_positions(notebook, None)
    answer = best_light(notebook, ["house"], start=date(2027, 1, 1), end=date(2027, 3, 31))
    assert {w.camera_position for w in answer.windows} == {"main"}  # one stands for both
    assert [w.camera_position for w in answer.wishes] == [""]


def test_a_wish_that_is_tried_goes_for_every_position(notebook: Notebook) -> None:
    two_positions(notebook, WantedLight(months=(3,)))
    tried = WantedLight(months=(2,))
    answer = best_light(
        notebook, ["house"], start=date(2027, 1, 1), end=date(2027, 3, 31), wanted=tried
    )
    assert {w.day.month for w in answer.windows} == {2}
    assert [(w.camera_position, w.basis) for w in answer.wishes] == [("", "tried")]


def test_a_position_whose_own_wish_finds_nothing_is_named(notebook: Notebook) -> None:
    two_positions(notebook, WantedLight(months=(7,)))
    period = {"start": date(2027, 1, 1), "end": date(2027, 1, 31)}
    answer = best_light(notebook, ["house"], **period)
    assert answer.windows
    assert not answer.unmatched
    assert "nothing under a clear sky in these days: house from detail" in answer.assumptions
    both = best_light(notebook, ["house"], start=date(2027, 1, 1), end=date(2027, 7, 31))
    assert not any("nothing under" in line for line in both.assumptions)
    # nor does a subject that goes by the generic default change what is said of it
    for name, bearing in (("arch", 215.0), ("landing stage", None)):
        put(notebook, name, bearing=bearing)
        said = [
            line
            for line in best_light(notebook, ["house", name], **period).assumptions
            if "nothing under" in line
        ]
        assert said == ["nothing under a clear sky in these days: house from detail"]
    alone = best_light(notebook, ["landing stage"], **period)
    assert alone.windows
    assert not any("nothing under" in line for line in alone.assumptions)


def test_overcast_will_do_for_the_position_that_says_so(notebook: Notebook) -> None:
    other = OtherSky(earliest=time(11), latest=time(13))
    two_positions(notebook, WantedLight(months=(2,), direct_sun=True, other_sky=other))
    day = date(2027, 2, 10)
    answer = best_light(notebook, ["house"], start=day, end=day)
    assert {w.camera_position for w in answer.windows if w.sky == "overcast"} == {"detail"}


def test_a_wish_of_a_position_alone_is_a_wish(notebook: Notebook) -> None:
    house = two_positions(notebook, WantedLight(months=(3,)))
    with notebook.writing():
        update_subject(notebook, replace(house, wanted=None))
    answer = best_light(notebook, ["house"], start=date(2027, 3, 1), end=date(2027, 3, 31))
    assert [(w.camera_position, w.basis) for w in answer.wishes] == [
        ("", "generic default"),
        ("detail", "on record"),
    ]


def test_first_sun_wanted_from_a_position_looks_at_the_days_around(notebook: Notebook) -> None:
    # where the sun sets after midnight, the last sun of a day is looked for beyond the period
    from backbearing.plans.light.share import days_around

    house = two_positions(notebook, WantedLight(before_last_sun_min=(0.0, 30.0)))
    assert days_around(notebook, [house], None) == 1
    assert days_around(notebook, [house], WantedLight()) == 0


def test_a_stretch_cut_by_the_days_asked_about_says_that_it_may_go_on(notebook: Notebook) -> None:
    """So a short look and a long one of the same window do not contradict each other."""
    put(notebook, "winding house", wanted=WISHES[0])
    end = SATURDAY + timedelta(days=3)
    answer = best_light(notebook, ["winding house"], start=SATURDAY, end=end)
    stretches = [(one, one.alike) for one in answer.windows if one.alike is not None]
    assert any(alike[1] == end > one.day for one, alike in stretches)
    for one, (first, last) in stretches:
        cut = last == end > one.day or first == SATURDAY < one.day
        assert one.why.endswith(" at least.") is cut
