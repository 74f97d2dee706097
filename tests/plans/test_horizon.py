"""What stands around a place: the demo's winding house, a wall, and a plain."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from astral import Observer
from astral.sun import elevation, noon
from tests.readers.rasters import spot, write_tif

from backbearing.errors import BadInput
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.subjects import add_subject
from backbearing.plans.horizon import MOST_DAYS, ask_skyline
from backbearing.plans.light import best_light
from backbearing.plans.terrain import add_terrain
from backbearing.records import Place, Subject, WantedLight

NOW = datetime(2026, 11, 25, 9, tzinfo=UTC)


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    """A wall of 200 m, 500 m to the south of the spot, and level ground all round."""
    ground = np.full((200, 200), 50.0, "float32")
    ground[150:] += 200.0
    with open_notebook(tmp_path / "n.gpkg", create=True) as opened:
        add_terrain(opened, [write_tif(tmp_path / "wall.tif", ground)], ground="bare ground")
        yield opened


def words() -> str:
    latitude, longitude = spot(100, 100)
    return f"{latitude:.6f}, {longitude:.6f}"


def test_the_wall_stands_where_and_as_high_as_it_is(notebook: Notebook) -> None:
    answer = ask_skyline(notebook, words(), days=[], now=NOW)
    south = next(each for each in answer.blockers if each.point == "S")
    assert south.distance_m == pytest.approx(500.0, rel=0.03)
    assert south.altitude_deg == pytest.approx(np.degrees(np.arctan(198.5 / 500.0)), abs=0.6)
    assert south.error_deg is not None
    assert south.error_deg > 0.3  # 5 m of height, 10 m of position, at 500 m
    assert not south.near
    north = next(each for each in answer.blockers if each.point == "N")
    assert north.altitude_deg < 0.5
    assert answer.blockers[-1].point == "highest"


def test_in_winter_the_wall_hides_the_sun_and_the_season_says_from_when(
    notebook: Notebook,
) -> None:
    """Over a straight wall to the south the sun is highest at noon: hidden then, hidden all day.

    The dates are those on which astral's noon sun, with half its disc, stays under the edge.
    """
    answer = ask_skyline(notebook, words(), days=["2026-12-21", "2027-06-21"], now=NOW)
    winter, summer = answer.days
    assert winter.appearances == ()
    assert not any(winter.on_place)
    assert any(summer.on_place)
    edge_deg = np.degrees(np.arctan(198.5 / 500.0))
    latitude, longitude = spot(100, 100)
    observer = Observer(latitude, longitude)
    days = [answer.year_from + timedelta(days=n) for n in range(365)]
    hidden = [d for d in days if elevation(observer, noon(observer, d)) + 0.2666 < edge_deg]
    assert 30 < len(hidden) < 60  # some six weeks about the solstice
    before, after = answer.seasons
    a_day = timedelta(days=1)  # the edge lies between two cells, 0.1° of it a day of the year
    assert abs(before.last - (hidden[0] - a_day)) <= a_day
    assert abs(after.first - (hidden[-1] + a_day)) <= a_day
    assert (before.first, after.last) == (days[0], days[-1])


def test_an_edge_carries_its_minutes_and_what_it_comes_over(notebook: Notebook) -> None:
    (day,) = ask_skyline(notebook, words(), days=["2027-03-01"], now=NOW).days
    for appearance in day.appearances:
        assert appearance.start < appearance.end
        assert appearance.start_plus_minus_min is not None
        assert appearance.start_plus_minus_min >= 1.0
        assert appearance.comes_over is not None


def test_an_edge_has_one_figure_whether_asked_for_by_light_or_by_skyline(
    notebook: Notebook,
) -> None:
    latitude, longitude = spot(100, 100)
    place = Place(
        latitude_deg=latitude, longitude_deg=longitude, error_m=25.0, error_basis="assumed"
    )
    with notebook.writing():
        add_subject(notebook, Subject(name="kiln", place=place))
    asked = date(2027, 3, 1)
    sun = WantedLight(direct_sun=True)
    (day,) = ask_skyline(notebook, "kiln", days=[str(asked)], now=NOW).days
    windows = best_light(notebook, ["kiln"], start=asked, end=asked, wanted=sun).windows
    assert windows
    for window in windows:
        (same,) = (each for each in day.appearances if each.start <= window.start <= each.end)
        assert window.start - same.start <= timedelta(minutes=1)
        both = (same.start_plus_minus_min or 0.0, same.end_plus_minus_min or 0.0)
        assert window.plus_minus_min == max(both)
        assert max(both) > 1.0  # a figure of the ground, not the least there is


def test_without_terrain_it_is_flat_and_says_so() -> None:
    answer = ask_skyline(None, "47.0000, -21.0000", days=["2026-12-21"], now=NOW)
    assert answer.flat
    assert answer.basis == "flat horizon assumed"
    assert answer.error_deg is None
    assert [each.point for each in answer.blockers] == ["N", "NE", "E", "SE", "S", "SW", "W", "NW"]
    (season,) = answer.seasons
    assert (season.first, season.last) == (date(2026, 11, 25), date(2027, 11, 24))


def test_in_polar_night_there_is_no_sun_and_that_is_an_answer() -> None:
    answer = ask_skyline(None, "78.2200, 15.6500", days=["2026-12-21", "2027-06-21"], now=NOW)
    assert answer.days[0].appearances == ()
    (all_day,) = answer.days[1].appearances
    assert all_day.start_plus_minus_min is None  # the day cuts it, nothing blocks
    assert answer.seasons[0].first > date(2027, 1, 31)


def test_too_many_days_are_refused() -> None:
    with pytest.raises(BadInput, match="name fewer"):
        ask_skyline(None, "47.0, -21.0", days=["today"] * (MOST_DAYS + 1), now=NOW)


def test_it_says_how_much_of_the_sky_is_left(notebook: Notebook) -> None:
    """Of level ground always; of a face where it is known which way that looks."""
    latitude_deg, longitude_deg = spot(100, 100)
    place = Place(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, error_m=5.0, error_basis="given"
    )
    with notebook.writing():
        add_subject(notebook, Subject(name="to the wall", place=place, facing_deg=180.0))
        add_subject(notebook, Subject(name="from it", place=place, facing_deg=0.0))
        add_subject(notebook, Subject(name="who knows", place=place))
    to_wall, from_it, unknown, typed = (
        ask_skyline(notebook, name, days=["2027-06-21"], now=NOW).sky_views[0]
        for name in ("to the wall", "from it", "who knows", words())
    )
    assert 0.85 < typed.level == to_wall.level < 1.0
    assert to_wall.face is not None
    assert from_it.face is not None
    assert to_wall.face < from_it.face == pytest.approx(0.5, abs=0.01)
    assert (unknown.face, typed.face) == (None, None)
