"""Feet and chances keep off the water: lakes by their shores, the sea by its flat zero."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.fieldwork import put_walk
from tests.plans.search.test_search_walk import ask, lost, put_start
from tests.plans.test_approach import CELL_M, CELLS, END, bare, go, line, place, put_ground, walked

from backbearing.errors import BadInput
from backbearing.notebook import Notebook
from backbearing.notebook.lines import store_line
from backbearing.notebook.search import add_clue
from backbearing.notebook.subjects import find_subject
from backbearing.plans.approach.water import water_on
from backbearing.plans.search.likelihood import Likely, where_likely
from backbearing.plans.terraingrids import grids_round
from backbearing.records import GroundLine, MemoryClue

__all__ = ["bare"]  # fixture

EAST_M, SOUTH_M = (each * CELL_M for each in np.mgrid[0:CELLS, 0:CELLS][::-1] - (CELLS - 1) / 2.0)


def put_lines(notebook: Notebook, *lines: GroundLine) -> None:
    with notebook.writing():
        for each in lines:
            store_line(notebook, None, each)


def ring(name: str, half_m: float, *, east_m: float = 0.0) -> GroundLine:
    corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0)]
    return line("shore", name, *((east_m + x * half_m, y * half_m) for x, y in corners))


def waters(notebook: Notebook, *lines: GroundLine) -> dict[str | None, float]:
    """The waters' names and hectares on the made ground."""
    grid = grids_round(notebook, END.latitude_deg, END.longitude_deg, 1_500.0)[0][0]
    found = water_on(grid, grid.height_m.astype(float), lines)
    return {name: float(cells.sum()) * grid.cell_m**2 / 1e4 for name, cells in found}


@pytest.fixture
def coast(bare: Notebook, tmp_path: Path) -> Notebook:
    """Land that rises from a north-south coast at 0 m east to the west; the sea east of it."""
    put_ground(bare, tmp_path, np.maximum(0.0, np.ceil(-EAST_M / CELL_M) * 0.5))
    return bare


@pytest.fixture
def tarn(bare: Notebook, tmp_path: Path) -> Notebook:
    """A tarn of 600 m by 600 m in level ground, its shore on record, an islet in it."""
    put_ground(bare, tmp_path, np.full((CELLS, CELLS), 100.0))
    put_lines(bare, ring("black tarn", 300.0), ring("", 60.0))
    return bare


def test_a_way_goes_round_a_lake_and_not_over_it(tarn: Notebook) -> None:
    way = go(tarn)
    # from 600 m west to 600 m east round a square of 600 m: twice √(300² + 300²) and 600 m
    assert way.length_m == pytest.approx(2 * 300 * 2**0.5 + 600, rel=0.03)
    assert "within its shore on record taken as water: black tarn" in way.rests_on


def test_where_one_has_walked_over_it_feet_go(tarn: Notebook) -> None:
    put_walk(tarn, walked((-600.0, 0.0), (600.0, 0.0)))
    assert go(tarn).length_m == pytest.approx(1200.0, abs=30.0)


def test_no_way_leads_out_on_the_sea(coast: Notebook) -> None:
    with pytest.raises(BadInput, match="height 0 taken as sea"):
        go(coast)
    way = go(coast, end=place(-40.0, 500.0))
    assert "ground at height 0 taken as sea: it is flat to the centimetre there" in way.rests_on


@pytest.mark.parametrize("low_m", [-3.0, 0.02, 4.0])
def test_level_land_at_another_height_is_land(bare: Notebook, tmp_path: Path, low_m: float) -> None:
    put_ground(bare, tmp_path, np.full((CELLS, CELLS), low_m))
    assert waters(bare) == {}
    assert go(bare).length_m == pytest.approx(1200.0, abs=30.0)


def test_land_below_the_sea_that_is_not_level_is_land(bare: Notebook, tmp_path: Path) -> None:
    rough = np.random.default_rng(3).uniform(-0.3, 0.3, (CELLS, CELLS)) - 0.02
    put_ground(bare, tmp_path, rough)
    assert waters(bare) == {}


def test_a_shore_round_an_island_holds_no_water(bare: Notebook, tmp_path: Path) -> None:
    away_m = np.maximum(abs(EAST_M), abs(SOUTH_M))
    put_ground(bare, tmp_path, np.maximum(0.0, (400.0 - away_m) / 20.0))
    assert set(waters(bare, ring("skerry", 400.0))) == {None}


def test_an_islet_in_a_lake_is_land(bare: Notebook, tmp_path: Path) -> None:
    put_ground(bare, tmp_path, np.full((CELLS, CELLS), 100.0))
    lake = ring("black tarn", 300.0)
    assert waters(bare, lake)["black tarn"] == pytest.approx(36.0, rel=0.05)
    assert waters(bare, lake, lake)["black tarn"] == pytest.approx(36.0, rel=0.05)
    islet = waters(bare, lake, ring("", 60.0))
    assert islet == {"black tarn": pytest.approx(36.0 - 1.44, rel=0.05)}


def test_a_search_looks_on_land_only(coast: Notebook) -> None:
    put_start(coast)
    lost(coast, "hut", -20.0, 0.0, 200.0)
    answer = ask(coast)
    # 5 m of a cell and what a shore is drawn off by
    at_sea = place(15.0, 0.0).longitude_deg
    assert answer.stops
    assert all(stop.longitude_deg < at_sea for stop in answer.stops)
    assert any("hold no chance" in each for each in answer.rests_on)


def on_water(likely: Likely) -> float:
    return float(likely.share[likely.ground.longitude_deg > place(30.0, 0.0).longitude_deg].sum())


def test_water_holds_no_chance_unless_something_speaks_for_it(coast: Notebook) -> None:
    lost(coast, "hut", -20.0, 0.0, 200.0)
    assert on_water(where_likely(coast, "hut")) < 1e-6
    lost(coast, "raft", 300.0, 0.0, 100.0)  # no land within its error
    assert on_water(where_likely(coast, "raft")) > 0.5
    with coast.writing():
        clue = MemoryClue(
            subject_id=find_subject(coast, "hut").id,
            kind="near a place",
            words="near the buoy",
            sure=0.8,
            place=place(150.0, 0.0),
            high=200.0,
        )
        add_clue(coast, clue)
    assert on_water(where_likely(coast, "hut")) > 0.1
