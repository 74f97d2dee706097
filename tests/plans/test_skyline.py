"""The skyline of a spot: worked out once, kept, found while the raster is away."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from tests.readers.rasters import NORTH, WEST, spot, write_tif

from backbearing.errors import BadFile, BadInput
from backbearing.notebook import Notebook, open_notebook
from backbearing.plans import skyline as plan
from backbearing.plans.skyline import skyline_at, skyline_for, skylines_for
from backbearing.plans.terrain import add_terrain
from backbearing.readers.terrain import Terrain, open_terrain
from backbearing.records import Grid, Skyline


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as opened:
        yield opened


def wall_in_the_south(tall_m: float = 100.0, size: int = 200) -> np.ndarray:
    """Level ground at 50 m with a wall along row 150, 500 m south of row 100."""
    ground = np.full((size, size), 50.0, "float32")
    ground[150:] += tall_m
    return ground


def write_wall(folder: Path, tall_m: float = 100.0) -> Path:
    folder.mkdir(exist_ok=True)
    return write_tif(folder / "wall.tif", wall_in_the_south(tall_m))


def test_the_ground_comes_from_the_raster_at_the_very_spot(tmp_path: Path) -> None:
    """A wall 98.5 m over the eye, 500 m away at right angles: tan a = 98.5/500."""
    skyline = skyline_at(open_terrain(write_wall(tmp_path / "d")), *spot(100, 100))
    assert skyline.eye_height_m == pytest.approx(51.5, abs=1e-3)
    south = skyline.altitude_deg[360]
    assert skyline.azimuth_deg[360] == 180.0
    # between the last low cell, 490 m away, and the first high one, the ground rises as a ramp
    assert south == pytest.approx(np.degrees(np.arctan(98.5 / 500)), abs=0.05)
    assert skyline.distance_m[360] == pytest.approx(500, abs=10)
    assert skyline.reach_m[360] == pytest.approx(990, abs=20)  # where the data end
    assert skyline.reach_m.max() < 1500


def test_outside_and_in_a_void_is_an_error_and_never_nought(tmp_path: Path) -> None:
    ground = wall_in_the_south()
    ground[90:110, 90:110] = np.nan
    terrain = open_terrain(write_tif(tmp_path / "a.tif", ground))
    for place in (spot(100, 100), spot(-50, 10), (0.0, 0.0)):
        with pytest.raises(BadInput, match="no terrain has a height"):
            skyline_at(terrain, *place)


def test_a_raster_that_is_gone_is_an_error_where_it_was_named(tmp_path: Path) -> None:
    path = write_wall(tmp_path / "d")
    terrain = open_terrain(path)
    path.unlink()
    with pytest.raises(BadFile, match="is not there"):
        skyline_at(terrain, *spot(100, 100))


# ---------------------------------------------------------------- from the notebook


def same(one: Skyline, other: Skyline) -> bool:
    return np.array_equal(one.altitude_deg, other.altitude_deg)


def count(notebook: Notebook) -> int:
    (row,) = notebook.rows("SELECT count(*) AS kept FROM skylines")
    return int(row["kept"])


def test_a_kept_skyline_answers_while_the_drive_is_unplugged(
    notebook: Notebook, tmp_path: Path
) -> None:
    add_terrain(notebook, [write_wall(tmp_path / "drive")])
    first = skyline_for(notebook, *spot(100, 100))
    assert first.basis.startswith("terrain of 10 m cells")
    (tmp_path / "drive").rename(tmp_path / "away")
    again = skyline_for(notebook, *spot(100, 100))
    assert same(again, first)
    assert again.basis == first.basis
    elsewhere = skyline_for(notebook, *spot(90, 100))
    assert elsewhere.basis == "flat horizon assumed: wall.tif is not there"
    assert not elsewhere.altitude_deg.any()


def test_it_is_worked_out_once(
    notebook: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_terrain(notebook, [write_wall(tmp_path / "drive")])
    first = skyline_for(notebook, *spot(100, 100))

    def never(*_: object, **__: object) -> Skyline:
        raise AssertionError("worked out twice")

    monkeypatch.setattr("backbearing.models.skyline.skyline", never)
    assert same(skyline_for(notebook, *spot(100, 100)), first)
    with pytest.raises(AssertionError, match="twice"):  # other settings are another skyline
        skyline_for(notebook, *spot(100, 100), eye_height_m=3.0)


def test_touching_or_copying_a_raster_changes_nothing(notebook: Notebook, tmp_path: Path) -> None:
    path = write_wall(tmp_path / "drive")
    add_terrain(notebook, [path])
    skyline_for(notebook, *spot(100, 100))
    os.utime(path, ns=(1, 1))
    skyline_for(notebook, *spot(100, 100))
    assert count(notebook) == 1
    (stamp,) = notebook.rows("SELECT stamp FROM terrain_layers")
    assert stamp["stamp"].endswith(":1")  # seen, so that it is not fingerprinted each time
    copy = Path(shutil.copy(path, tmp_path / "copy.tif"))
    path.unlink()
    add_terrain(notebook, [copy])
    assert "not there" not in skyline_for(notebook, *spot(100, 100)).basis
    assert count(notebook) == 1


def test_new_ground_at_the_same_path_makes_a_new_skyline(
    notebook: Notebook, tmp_path: Path
) -> None:
    path = write_wall(tmp_path / "drive", 100.0)
    add_terrain(notebook, [path], ground="bare ground", vertical_error_m=2.0)
    low = skyline_for(notebook, *spot(100, 100))
    write_wall(tmp_path / "drive", 200.0)
    high = skyline_for(notebook, *spot(100, 100))
    assert high.altitude_deg[360] > low.altitude_deg[360] + 5
    (row,) = notebook.rows("SELECT highest_m, ground, vertical_error_m FROM terrain_layers")
    assert tuple(row) == (250.0, "bare ground", 2.0)  # what the user said of it still holds


def test_a_raster_far_away_changes_no_key_and_one_near_does(
    notebook: Notebook, tmp_path: Path
) -> None:
    add_terrain(notebook, [write_wall(tmp_path / "drive")])
    skyline_for(notebook, *spot(100, 100))
    far = write_tif(tmp_path / "far.tif", wall_in_the_south(), north=NORTH - 500_000)
    add_terrain(notebook, [far])
    skyline_for(notebook, *spot(100, 100))
    assert count(notebook) == 1
    near = write_tif(tmp_path / "near.tif", wall_in_the_south(300.0), west=WEST - 5000, cell=50)
    add_terrain(notebook, [near])
    assert "then 50 m cells" in skyline_for(notebook, *spot(100, 100)).basis
    assert count(notebook) == 2


def test_a_part_of_the_rasters_gone_is_said(notebook: Notebook, tmp_path: Path) -> None:
    far = write_tif(tmp_path / "far.tif", wall_in_the_south(300.0), west=WEST - 5000, cell=50)
    add_terrain(notebook, [write_wall(tmp_path / "drive"), far])
    far.unlink()
    basis = skyline_for(notebook, *spot(100, 100)).basis
    assert basis.endswith("; far.tif is not there")
    # kept for the part, too
    assert skyline_for(notebook, *spot(100, 100)).basis == basis
    assert count(notebook) == 1


def test_without_terrain_the_horizon_is_flat_and_says_why(
    notebook: Notebook, tmp_path: Path
) -> None:
    assert skyline_for(notebook, 47.0, -21.0).basis == "flat horizon assumed"
    ground = wall_in_the_south()
    ground[90:110, 90:110] = np.nan
    add_terrain(notebook, [write_tif(tmp_path / "a.tif", ground)])
    basis = skyline_for(notebook, 10.0, 10.0).basis
    assert basis == "flat horizon assumed: no terrain on record reaches the spot"
    for place in (spot(100, 100), spot(-50, 10)):
        basis = skyline_for(notebook, *place).basis
        assert basis.startswith("flat horizon assumed: no terrain has a height")
    assert count(notebook) == 0


def test_a_damaged_raster_is_said_and_others_still_answer_later(
    notebook: Notebook, tmp_path: Path
) -> None:
    path = write_wall(tmp_path / "drive")
    add_terrain(notebook, [path])
    path.write_bytes(path.read_bytes()[:5000])
    assert skyline_for(notebook, *spot(100, 100)).basis.startswith("flat horizon assumed: wall.tif")
    path.unlink()
    write_wall(tmp_path / "drive")
    assert skyline_for(notebook, *spot(100, 100)).basis.startswith("terrain")


def test_many_spots_are_kept_in_few_transactions_with_progress(
    notebook: Notebook, tmp_path: Path
) -> None:
    add_terrain(notebook, [write_wall(tmp_path / "drive")])
    told: list[str] = []
    spots = [spot(50 + number, 80) for number in range(45)]
    found = skylines_for(notebook, spots, progress=told.append, reach_m=2000.0)
    assert count(notebook) == 45
    assert told[-1] == "skylines: 45 of 45"
    assert same(found[7], skyline_for(notebook, *spots[7], reach_m=2000.0))


def test_a_notebook_open_for_reading_answers_and_keeps_nothing(tmp_path: Path) -> None:
    path = tmp_path / "notebook.gpkg"
    with open_notebook(path, create=True) as notebook:
        add_terrain(notebook, [write_wall(tmp_path / "drive")])
    with open_notebook(path, readonly=True) as notebook:
        assert skyline_for(notebook, *spot(100, 100)).basis.startswith("terrain")
        assert count(notebook) == 0


def test_a_kept_skyline_is_found_without_the_rasters_library(tmp_path: Path) -> None:
    """rasterio takes as long to load as a year of the sun's positions."""
    import subprocess
    import sys

    path = tmp_path / "notebook.gpkg"
    with open_notebook(path, create=True) as notebook:
        add_terrain(notebook, [write_wall(tmp_path / "drive")])
        skyline_for(notebook, *spot(100, 100))
    latitude_deg, longitude_deg = spot(100, 100)
    code = (
        "import sys\n"
        "from backbearing.notebook import open_notebook\n"
        "from backbearing.plans.skyline import skyline_for\n"
        f"with open_notebook({str(path)!r}, readonly=True) as notebook:\n"
        f"    print(skyline_for(notebook, {latitude_deg!r}, {longitude_deg!r}).basis[:7])\n"
        "print('rasterio' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["terrain", "False"]


def test_spots_beside_one_another_read_the_ground_once(
    notebook: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_terrain(notebook, [write_wall(tmp_path / "drive")])
    one, other = spot(100, 100), spot(104, 100)
    alone = [skyline_for(notebook, *at) for at in (one, other)]
    notebook.connection.execute("DELETE FROM skylines")
    read: list[float] = []
    whole = Terrain.grids_around

    def counted(terrain: Terrain, *args: float) -> tuple[Grid, ...]:
        read.append(args[0])
        return whole(terrain, *args)

    monkeypatch.setattr(Terrain, "grids_around", counted)
    together = plan.skylines_for(notebook, [one, other])
    assert len(read) == 1
    for shared, own in zip(together, alone, strict=True):
        assert shared.altitude_deg == pytest.approx(own.altitude_deg, abs=0.02)
