"""A place as people write it, and what is said where it is none."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from tests.fieldwork import BEGAN, START, STOOD_AT, field_notebook, put_walk, put_waypoint, walk

from backbearing.errors import BadInput, NotFound
from backbearing.models.choosing import chosen
from backbearing.notebook import Notebook
from backbearing.places.geodesy import inverse
from backbearing.plans.locate import Located, locate, means_a_place
from backbearing.plans.marking import mark
from backbearing.records import Place, Track


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    opened = field_notebook(tmp_path / "notebook.gpkg")
    yield opened
    opened.__exit__(None, None, None)


def apart_m(place: Place, latitude_deg: float, longitude_deg: float) -> float:
    return inverse(place.latitude_deg, place.longitude_deg, latitude_deg, longitude_deg)[1]


# ---------------------------------------------------------------- coordinates and offsets


def test_a_coordinate_needs_no_notebook() -> None:
    found = locate(None, "47.0431 N 21.0391 W", sky="walls")
    assert apart_m(found.place, 47.0431, -21.0391) < 0.01
    assert (found.place.error_m, found.place.error_basis) == (40.0, "assumed: under walls")
    assert locate(None, "47.0431 N 21.0391 W", error_m=7).place.error_basis == "given"


@pytest.mark.parametrize(
    "text",
    [
        "47.0 N 21.0 W + 090T 100m",
        "090T 100 m from 47.0 N 21.0 W",
        "47.0 N 21.0 W + E 100m",
        "47.0 N 21.0 W + 45T 50 m + 135T 50 m + E 29.29m",
    ],
)
def test_an_offset_moves_a_place_either_way_it_is_written(text: str) -> None:
    place = locate(None, text).place
    azimuth_deg, distance_m = inverse(47.0, -21.0, place.latitude_deg, place.longitude_deg)
    assert azimuth_deg == pytest.approx(90.0, abs=0.01)
    assert distance_m == pytest.approx(100.0, abs=0.01)
    assert place.error_m > 10.0  # the start's, joined by bearing and distance


@pytest.mark.parametrize("text", ["+47 30 +21 30", "+47.5 +21.5", "+47 30 0 +21 30 0"])
def test_a_plus_sign_before_a_longitude_moves_nothing(text: str) -> None:
    place = locate(None, text).place
    assert (place.latitude_deg, place.longitude_deg) == (47.5, 21.5)
    assert locate(None, f"{text} + 90T 5m").place.source.startswith("90T 5 m from")


@pytest.mark.parametrize("text", ["+47 30 + 21 30", "+47 30 +21 30m"])
def test_what_may_be_longitude_or_offset_is_refused(text: str) -> None:
    with pytest.raises((BadInput, NotFound)):
        locate(None, text)


@pytest.mark.parametrize(
    "name",
    [
        "47.0, -21.0",
        "47 0 44 N 21 2 44 W",
        "27T 500000 5205164",
        "geo:47,-21",
        "geo:nothing",
        "track 3 at 14:32",
        "2026-03-14 14:32",
        "wpt 012",
        "arch + 215M 8m",
        "215M 8m from arch",
    ],
)
def test_what_is_read_as_a_place_whatever_is_on_record(name: str) -> None:
    assert means_a_place(name)


@pytest.mark.parametrize("name", ["arch", "arch 2", "bay 12", "012", "No 4-6", "arch + wheel", "7"])
def test_names_are_none_of_these(name: str) -> None:
    assert not means_a_place(name)


def test_a_magnetic_offset_is_made_true_on_the_day_it_was_taken() -> None:
    then = locate(None, "47.0 N 21.0 W + 90M 1km", on=date(2011, 6, 1)).place
    now = locate(None, "47.0 N 21.0 W + 90M 1km", on=date(2026, 6, 1)).place
    # the needle there has gone east by some degrees in fifteen years: 1 km · sin 3° = 52 m
    assert apart_m(then, now.latitude_deg, now.longitude_deg) > 50.0


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "no place given"),
        ("14:32", "needs a day or a track"),
        ("91.0000 N 21.0 W", "91"),
        ("47.0 N 21.0 W + 361T 5m", "361"),
        ("47.0 N 21.0 W" + " + N 1m" * 9, "offsets"),
    ],
)
def test_what_cannot_be_read_is_named(text: str, part: str) -> None:
    with pytest.raises(BadInput, match=part):
        locate(None, text)


def test_a_name_without_a_notebook_says_what_would_do() -> None:
    with pytest.raises(NotFound, match="no notebook"):
        locate(None, "winding house")


# ---------------------------------------------------------------- names


def test_a_subject_by_name_whatever_the_case_and_with_an_offset(notebook: Notebook) -> None:
    mark(notebook, "Winding House", "47.02 N 21.01 W", error_m=12)
    found = locate(notebook, "winding  house")
    assert found.subject is not None
    assert found.subject.name == found.name == "Winding House"
    assert (found.place.error_m, found.place.source) == (12.0, "subject Winding House")
    moved = locate(notebook, "winding house + N 10m")
    assert moved.subject is None
    assert apart_m(moved.place, 47.02, -21.01) == pytest.approx(10.0, abs=0.01)


def test_a_subjects_name_comes_before_anything_it_could_also_mean(notebook: Notebook) -> None:
    put_waypoint(notebook, "012", 47.01, -21.02)
    mark(notebook, "012", "47.02 N 21.01 W")
    assert locate(notebook, "012").subject is not None


def test_a_waypoint_by_wpt_or_alone(notebook: Notebook) -> None:
    put_waypoint(notebook, "012", 47.01, -21.02)
    for text in ("wpt 012", "waypoint 012", "012"):
        found = locate(notebook, text)
        assert apart_m(found.place, 47.01, -21.02) < 0.01
        assert (found.place.error_m, found.place.error_basis) == (10.0, "assumed: open sky")
        assert found.place.height_m == 90.0


def test_waypoints_of_one_name_are_listed_and_chosen_by_number(notebook: Notebook) -> None:
    first = put_waypoint(notebook, "gate", 47.01, -21.02)
    second = put_waypoint(notebook, "Gate", 47.05, -21.02)
    with pytest.raises(BadInput, match=f"wpt #{first}") as caught:
        locate(notebook, "gate")
    assert f"#{second} at 47.05000" in str(caught.value)
    assert apart_m(locate(notebook, f"wpt #{second}").place, 47.05, -21.02) < 0.01


def test_the_same_waypoint_in_two_files_is_one(notebook: Notebook) -> None:
    for _ in range(2):
        put_waypoint(notebook, "gate", 47.01, -21.02)
    assert locate(notebook, "gate").name == "gate"


def test_an_unknown_name_gets_the_nearest(notebook: Notebook) -> None:
    mark(notebook, "winding house", "47.02 N 21.01 W")
    put_waypoint(notebook, "sluice", 47.01, -21.02)
    with pytest.raises(NotFound, match="did you mean 'winding house'"):
        locate(notebook, "windng house")
    with pytest.raises(NotFound, match="did you mean 'wpt sluice'"):
        locate(notebook, "sluce")


# ---------------------------------------------------------------- times on a track


@pytest.mark.parametrize(
    "text",
    [
        "track 1 at 13:34",  # the clock there is an hour behind UTC
        "track 1 at 1:34pm",
        "track 1 at 2026-03-14 13:34",
        "2026-03-14 13:34",
        "2026-03-14T13:34",
        "14 March 2026 at 13:34",
        "2026-03-14 14:34Z",
        "2026-03-14 15:34 +01:00",
    ],
)
def test_a_time_at_a_stop_is_the_whole_stop(notebook: Notebook, text: str) -> None:
    found = locate(notebook, text)
    assert apart_m(found.place, *STOOD_AT) < 3.0
    assert "stop" in found.place.error_basis
    # 95 % of the scatter, 2.45 · 3 m for a circle, not that over the root of sixty fixes
    assert 5.0 <= found.place.error_m < 12.0
    assert found.place.source == "track 1 at 13:34 UTC−1"
    assert found.when == datetime(2026, 3, 14, 14, 34, tzinfo=UTC)


def test_a_time_on_the_way_carries_the_walk_of_half_a_minute(notebook: Notebook) -> None:
    walked = locate(notebook, "track 1 at 13:10").place
    assert apart_m(walked, START[0] + 630 * 1.2 / 111_170.0, START[1]) < 2.0  # at 13:10:30
    assert walked.error_m == pytest.approx((10.0**2 + 36.0**2) ** 0.5, abs=1.5)
    to_the_second = locate(notebook, "track 1 at 13:10:00").place
    assert apart_m(to_the_second, START[0] + 600 * 1.2 / 111_170.0, START[1]) < 2.0
    assert to_the_second.error_m < walked.error_m


def test_a_minute_that_touches_a_stop_is_the_stop(notebook: Notebook) -> None:
    assert "stop" in locate(notebook, "track 1 at 13:40").place.error_basis


def test_a_stated_sky_widens_a_scatter_and_never_narrows_it(notebook: Notebook) -> None:
    under_walls = locate(notebook, "track 1 at 13:34", sky="walls").place
    assert (under_walls.error_m, under_walls.error_basis) == (40.0, "assumed: under walls")
    on_the_way = locate(notebook, "track 1 at 13:10").place
    among_trees = locate(notebook, "track 1 at 13:10", sky="trees").place
    # 20 m among trees in the place of 10 m in the open; the 36 m of half a minute's walk stay
    assert on_the_way.error_m == pytest.approx(37.4, abs=0.1)
    assert among_trees.error_m == pytest.approx(41.2, abs=0.1)
    assert among_trees.error_basis.startswith("assumed: trees, and 36 m walked")
    assert locate(notebook, "track 1 at 13:34", error_m=3).place.error_m == 3.0


def test_a_track_over_midnight_is_found_on_either_day(notebook: Notebook) -> None:
    # 23:30 to 00:30 there, which keeps UTC in April
    number = put_walk(notebook, walk(shift=timedelta(days=30, hours=9, minutes=30)))
    before = locate(notebook, f"track {number} at 23:45").when
    after = locate(notebook, f"track {number} at 00:15").when
    assert before == datetime(2026, 4, 13, 23, 45, tzinfo=UTC)
    assert after == datetime(2026, 4, 14, 0, 15, tzinfo=UTC)


def test_the_hour_that_comes_twice_is_the_one_the_track_covers(notebook: Notebook) -> None:
    # summer time ends there at 01:00 UTC on 25 October 2026: 00:00 to 01:00 comes twice
    first, second = (datetime(2026, 10, 25, hour, tzinfo=UTC) for hour in (0, 1))
    for began in (first, second):
        number = put_walk(notebook, walk(shift=began - BEGAN))
        assert locate(notebook, f"track {number} at 00:20").when == began + timedelta(minutes=20)


def test_an_offset_from_a_time_on_a_track(notebook: Notebook) -> None:
    found: Located = locate(notebook, "track 1 at 13:34 + 90T 50m")
    assert apart_m(found.place, *STOOD_AT) == pytest.approx(50.0, abs=4.0)
    assert found.when == BEGAN + timedelta(minutes=34)


def test_times_that_no_track_covers(notebook: Notebook) -> None:
    with pytest.raises(NotFound, match="runs from 2026-03-14 13:00 to 2026-03-14 14:00"):
        locate(notebook, "track 1 at 17:00")
    with pytest.raises(NotFound, match="no track covers"):
        locate(notebook, "2026-03-15 13:34")
    with pytest.raises(NotFound, match="no track 9"):
        locate(notebook, "track 9 at 13:34")
    with pytest.raises(BadInput, match="not a clock time"):
        locate(notebook, "track 1 at noonish")


def test_a_time_in_the_silence_of_a_track_is_told_from_one_outside_it(notebook: Notebook) -> None:
    (one,) = walk(shift=timedelta(days=7)).segments
    minutes = (one.time - one.time[0]) / np.timedelta64(1, "m")
    silent = chosen(one, (minutes <= 5) | (minutes >= 25))  # on the way up
    number = put_walk(notebook, Track(name="silent", segments=(silent,)))
    says = f"^place: track {number} is silent from 13:05 to 13:25 UTC−1, so where one was at '"
    with pytest.raises(NotFound, match=f"{says}13:15'"):
        locate(notebook, f"track {number} at 13:15")
    with pytest.raises(NotFound, match=f"{says}2026-03-21 13:15'"):
        locate(notebook, "2026-03-21 13:15")
    with pytest.raises(NotFound, match="does not cover '12:59'"):
        locate(notebook, f"track {number} at 12:59")


def test_two_tracks_at_one_time_agree_or_have_to_be_named(notebook: Notebook) -> None:
    put_walk(notebook, walk(east_deg=0.0001))  # 8 m off: a second receiver on the same walk
    assert "stop" in locate(notebook, "2026-03-14 13:34").place.error_basis
    number = put_walk(notebook, walk(east_deg=0.05))  # a companion 4 km away
    with pytest.raises(BadInput, match="both cover 13:34"):
        locate(notebook, "2026-03-14 13:34")
    assert apart_m(locate(notebook, f"track {number} at 13:34").place, *STOOD_AT) > 3000.0
