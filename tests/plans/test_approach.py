"""Ways over made ground: what is known is used, what bars is named, and times keep to the rule."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from tests.fieldwork import put_walk
from tests.readers.rasters import write_tif

from backbearing.errors import BadInput
from backbearing.models.walking import OFF_PATH_FACTOR, din_s_per_m
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.lines import add_passage, store_line
from backbearing.plans.approach import Going, approach
from backbearing.plans.pace import pace_of
from backbearing.plans.terrain import add_terrain
from backbearing.records import (
    Approach,
    GroundLine,
    Passage,
    PassageKind,
    PassageReport,
    Place,
    Segment,
    Track,
)

DAY = date(2026, 7, 1)
LATITUDE, LONGITUDE = 47.0, -21.0
M_NORTH, M_EAST = 111_170.0, 76_060.0  # of a degree there
CELLS, CELL_M = 321, 10.0


def place(east_m: float, north_m: float) -> Place:
    return Place(
        latitude_deg=LATITUDE + north_m / M_NORTH,
        longitude_deg=LONGITUDE + east_m / M_EAST,
        error_m=5.0,
        error_basis="given",
    )


START, END = place(-600.0, 0.0), place(600.0, 0.0)


def line(kind: str, name: str, *points: tuple[float, float]) -> GroundLine:
    places = [place(*point) for point in points]
    return GroundLine(
        name=name,
        kind=kind,  # type: ignore[arg-type]
        longitude_deg=np.array([each.longitude_deg for each in places]),
        latitude_deg=np.array([each.latitude_deg for each in places]),
    )


def walked(*points: tuple[float, float]) -> Track:
    """A walk along points, a fix each 10 m, at 1 m/s, at a height of 100 m."""
    corners = np.array(points, dtype=float)
    lengths = np.hypot(*np.diff(corners, axis=0).T)
    way = np.concatenate([[0.0], np.cumsum(lengths)])
    at = np.arange(0.0, way[-1], 10.0)
    east, north = (np.interp(at, way, corners[:, i]) for i in (0, 1))
    return Track(
        name="walked",
        segments=(
            Segment(
                latitude_deg=LATITUDE + north / M_NORTH,
                longitude_deg=LONGITUDE + east / M_EAST,
                height_m=np.full(at.size, 100.0),
                time=np.datetime64("2026-05-01T08:00", "ms")
                + (at * 1000).astype("timedelta64[ms]"),
            ),
        ),
    )


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Notebook]:
    """A notebook without terrain."""
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as notebook:
        yield notebook


@pytest.fixture
def level(bare: Notebook, tmp_path: Path) -> Notebook:
    put_ground(bare, tmp_path, np.full((CELLS, CELLS), 100.0))
    return bare


def put_ground(notebook: Notebook, folder: Path, heights: np.ndarray) -> None:
    """Heights about the middle of the made country; row 0 is north."""
    from backbearing.models.gridframe import _into

    x, y = _into("EPSG:32627")[0].transform(LONGITUDE, LATITUDE)
    half = CELLS * CELL_M / 2.0
    path = write_tif(
        folder / "ground.tif", heights.astype("float32"), west=x - half, north=y + half, cell=CELL_M
    )
    add_terrain(notebook, [str(path)], ground="bare ground")


def go(notebook: Notebook, going: Going | None = None, *, end: Place = END) -> Approach:
    return approach(notebook, START, end, on=DAY, pace=pace_of(notebook, "DIN 33466"), going=going)


def test_over_open_level_ground_it_is_the_straight_line_at_the_rule(level: Notebook) -> None:
    way = go(level)
    assert way.length_m == pytest.approx(1200.0, abs=25.0)
    expected = way.length_m * float(din_s_per_m(0.0)) * OFF_PATH_FACTOR
    assert way.usual_s == pytest.approx(expected, rel=0.01)
    assert way.slow_s == pytest.approx(1.3 * way.usual_s)
    assert way.walked_share == 0.0
    assert {leg.footing for leg in way.out} == {"trackless"}
    assert all(leg.rough for leg in way.out)
    assert "no water lines on record" in " ".join(way.rests_on)


def test_a_path_is_taken_where_it_is_quicker_and_the_way_is_cut_there(level: Notebook) -> None:
    with level.writing():
        store_line(level, None, line("path", "", (-600.0, 0.0), (100.0, 0.0)))
    way = go(level)
    assert [leg.footing for leg in way.out] == ["path", "trackless"]
    assert way.walked_share == pytest.approx(0.6, abs=0.06)
    assert [leg.footing for leg in way.back] == ["trackless", "path"]
    assert not way.out[0].rough
    length = sum(leg.length_m for leg in way.out)
    assert length == pytest.approx(way.length_m)


def test_a_track_of_ones_own_is_worth_a_way_round_up_to_five_thirds(level: Notebook) -> None:
    put_walk(level, walked((-600.0, 0.0), (-600.0, 250.0), (600.0, 250.0), (600.0, 0.0)))
    way = go(level)
    assert {leg.footing for leg in way.out} == {"own track"}
    assert "1 May 2026" in way.out[0].name
    assert way.length_m == pytest.approx(1700.0, rel=0.05)


STREAM = line("stream", "the beck", (0.0, -2500.0), (0.0, 2500.0))


def test_water_bars_the_way_and_is_named(level: Notebook) -> None:
    with level.writing():
        store_line(level, None, STREAM)
    with pytest.raises(BadInput, match="the beck") as caught:
        go(level)
    assert "passage add" in str(caught.value)
    way = go(level, Going(wade=True))
    assert [leg.end_name for leg in way.out] == ["the beck", "camera position"]
    assert way.out[1].water == ("the beck",)


def passage(state: str, cause: str = "", north_m: float = 300.0) -> Passage:
    return Passage(
        name="plank bridge",
        kind="bridge",
        place=place(0.0, north_m),
        reports=(PassageReport(state=state, cause=cause, on=date(2026, 6, 1)),),  # type: ignore[arg-type]
    )


def test_water_is_crossed_at_a_passage_and_the_leg_ends_there(level: Notebook) -> None:
    with level.writing():
        store_line(level, None, STREAM)
        add_passage(level, passage("open"))
    way = go(level)
    assert [leg.end_name for leg in way.out] == ["plank bridge", "camera position"]
    assert way.length_m == pytest.approx(2 * np.hypot(600.0, 300.0), rel=0.05)
    assert [leg.end_name for leg in way.back] == ["plank bridge", "start"]


@pytest.mark.parametrize(
    ("kind", "water"), [("ford", ("plank bridge",)), ("step", ()), ("bridge", ())]
)
def test_a_ford_or_step_on_a_track_wants_light_without_a_line_on_record(
    level: Notebook, kind: PassageKind, water: tuple[str, ...]
) -> None:
    put_walk(level, walked((-620.0, 0.0), (620.0, 0.0)))
    with level.writing():
        add_passage(level, replace(passage("open"), kind=kind, place=place(0.0, 0.0)))
    way = go(level)
    by = [leg for leg in (*way.out, *way.back) if leg.passages]
    assert len(by) == 4  # it ends a leg and begins one, each way
    assert {leg.rough for leg in by} == {kind != "bridge"}
    assert {leg.water for leg in by} == {water}


def test_the_way_back_from_each_leg_as_one_came_is_known(bare: Notebook, tmp_path: Path) -> None:
    east = np.arange(CELLS) + 0.0 * np.arange(CELLS)[:, None]
    put_ground(bare, tmp_path, 100.0 + 2.0 * east)
    way = go(bare)
    # the same straight line: as much as the way back counts
    retraced = sum(leg.retraced_s or 0.0 for leg in way.out)
    assert retraced == pytest.approx(way.back_usual_s, rel=1e-3)
    assert retraced != pytest.approx(way.usual_s, rel=0.05)
    assert {leg.retraced_s for leg in way.back} == {None}


def test_a_blocked_passage_is_not_counted_on(level: Notebook) -> None:
    with level.writing():
        store_line(level, None, STREAM)
        add_passage(level, passage("blocked", "wall"))
    with pytest.raises(BadInput, match=r"'plank bridge \(a wall\)'…\) and no passage"):
        go(level)


def test_where_a_track_crossed_water_it_can_be_crossed(level: Notebook) -> None:
    with level.writing():
        store_line(level, None, STREAM)
    put_walk(level, walked((-200.0, -200.0), (200.0, -200.0)))
    way = go(level)
    assert way.length_m > 1220.0
    north = [
        (latitude - LATITUDE) * M_NORTH
        for leg in way.out
        for latitude, longitude in leg.line
        if abs(longitude - LONGITUDE) * M_EAST < 15.0
    ]
    assert north
    assert north == pytest.approx([-200.0] * len(north), abs=40.0)


def test_wandering_along_a_bank_is_no_crossing(level: Notebook) -> None:
    with level.writing():
        store_line(level, None, STREAM)
    zigzag = [(4.0 * (-1) ** i, -500.0 + 20.0 * i) for i in range(50)]
    put_walk(level, walked(*zigzag))
    with pytest.raises(BadInput, match="the beck"):
        go(level)


def test_a_wall_of_rock_is_gone_round_or_named(bare: Notebook, tmp_path: Path) -> None:
    heights = np.full((CELLS, CELLS), 100.0)
    heights[:200, 160:] = 200.0  # a cliff from the north down to 390 m south of the middle
    put_ground(bare, tmp_path, heights)
    with pytest.raises(BadInput, match="40° and more lies across"):
        go(bare)
    ramp = 100.0 + 100.0 * np.clip((np.arange(CELLS) - 160.0) / 100.0, 0.0, 1.0)
    heights[250:] = ramp
    heights[200:250] = ramp
    put_ground(bare, tmp_path, heights)
    way = go(bare, end=place(600.0, 300.0))
    assert way.length_m > 1300.0
    assert max(leg.steepest_deg or 0.0 for leg in way.out) < 40.0
    assert "ground from 40° closed" in " ".join(way.rests_on)


def test_with_snow_about_steep_ground_off_the_track_is_closed(
    bare: Notebook, tmp_path: Path
) -> None:
    row = np.arange(CELLS)[:, None]
    bank = 100.0 + 7.0 * np.clip(np.arange(CELLS) - 160.0, 0.0, 20.0)  # 35°, 200 m wide
    put_ground(bare, tmp_path, bank + 0.0 * row)
    plain = go(bare)
    with pytest.raises(BadInput, match="snow slopes of 30°"):
        go(bare, Going(snow="ankle"))
    forced = go(bare, Going(snow="ankle", steep_snow=True))
    assert any("35° off the tracks, avalanche ground" in each for each in forced.cautions)
    assert not any("avalanche ground" in each for each in go(bare).cautions)
    assert any("not the same as none being there" in each for each in forced.cautions)
    assert forced.usual_s == pytest.approx(1.5 * plain.usual_s, rel=0.01)
    # back in one's own tracks the snow counts half
    assert forced.back_usual_s == pytest.approx(1.25 * plain.back_usual_s, rel=0.02)


def test_a_track_over_steep_ground_is_avalanche_ground_too_under_snow(
    bare: Notebook, tmp_path: Path
) -> None:
    row = np.arange(CELLS)[:, None]
    bank = 100.0 + 7.0 * np.clip(np.arange(CELLS) - 160.0, 0.0, 20.0)  # 35°
    put_ground(bare, tmp_path, bank + 0.0 * row)
    put_walk(bare, walked((-620.0, 0.0), (620.0, 0.0)))
    cautions = go(bare, Going(snow="knee")).cautions
    named = [each for each in cautions if "35° on a track that snow covers, avalanche" in each]
    assert [each.split(",")[0] for each in named] == ["Leg 1 out", "Leg 1 back"]
    assert not any("avalanche ground" in each for each in go(bare).cautions)


def test_without_terrain_the_way_follows_tracks_alone(bare: Notebook) -> None:
    with pytest.raises(BadInput, match="no terrain is on record"):
        go(bare)
    put_walk(bare, walked((-600.0, 0.0), (0.0, 400.0), (600.0, 0.0)))
    way = go(bare)
    assert way.length_m == pytest.approx(2 * np.hypot(600.0, 400.0), rel=0.05)
    assert "past tracks and paths alone" in " ".join(way.rests_on)


def test_two_tracks_that_do_not_meet_give_no_way(bare: Notebook) -> None:
    put_walk(bare, walked((-600.0, 0.0), (-100.0, 0.0)))
    put_walk(bare, walked((100.0, 0.0), (600.0, 0.0)))
    with pytest.raises(BadInput, match="does not connect them"):
        go(bare)


def test_a_start_in_a_void_is_refused(bare: Notebook, tmp_path: Path) -> None:
    heights = np.full((CELLS, CELLS), 100.0)
    heights[:, :160] = np.nan
    put_ground(bare, tmp_path, heights)
    with pytest.raises(BadInput, match="no ground to walk on is known at 'start'"):
        go(bare)
