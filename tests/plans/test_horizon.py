"""What stands around a place: the demo's winding house, a wall, and a plain."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest
from tests.readers.rasters import spot, write_tif

from backbearing.errors import BadInput
from backbearing.notebook import Notebook, open_notebook
from backbearing.plans.horizon import MOST_DAYS, ask_skyline
from backbearing.plans.terrain import add_terrain

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
    """A wall of 21.6° to the south at this latitude hides a noon sun of less than that."""
    answer = ask_skyline(notebook, words(), days=["2026-12-21", "2027-06-21"], now=NOW)
    winter, summer = answer.days
    noon_deg = float(winter.altitude_deg.max())
    assert (noon_deg < 21.0) is not any(winter.on_place)
    assert len(summer.appearances) >= 1
    assert any(summer.on_place)
    hidden = sum((s.last - s.first).days + 1 for s in answer.seasons)
    assert 0 < hidden <= 365
    for season in answer.seasons:
        assert answer.year_from <= season.first <= season.last


def test_an_edge_carries_its_minutes_and_what_it_comes_over(notebook: Notebook) -> None:
    (day,) = ask_skyline(notebook, words(), days=["2027-03-01"], now=NOW).days
    for appearance in day.appearances:
        assert appearance.start < appearance.end
        assert appearance.start_plus_minus_min is not None
        assert appearance.start_plus_minus_min >= 1.0
        assert appearance.comes_over is not None


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
