"""Terrain on record: one bad raster stops no other; what covers a place is said with its edges."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from tests.readers.rasters import WEST, slope, source, spot, write_tif, write_vrt

from backbearing.errors import NotFound
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.subjects import add_subject
from backbearing.plans.terrain import add_terrain, covering, forget_terrain, list_terrain
from backbearing.readers.terrain import open_terrain
from backbearing.records import Place, Subject


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as opened:
        yield opened


def test_one_bad_raster_stops_no_other(notebook: Notebook, tmp_path: Path) -> None:
    good = write_tif(tmp_path / "good.tif")
    bad = write_tif(tmp_path / "bad.tif", crs=None)
    report = add_terrain(notebook, [bad, good, "/vsicurl/http://x/y.tif", tmp_path / "gone.tif"])
    assert [added.layer.path for added in report.added] == [str(good)]
    assert [Path(refused.path).name for refused in report.refused] == [
        "bad.tif",
        "y.tif",
        "gone.tif",
    ]


def test_twice_is_once_and_new_words_bring_it_up_to_date(
    notebook: Notebook, tmp_path: Path
) -> None:
    path = write_tif(tmp_path / "a.tif")
    outcomes = [
        add_terrain(notebook, [path], ground=ground).added[0].outcome
        for ground in (None, None, "surface", None)
    ]
    assert outcomes == ["added", "already on record", "brought up to date", "already on record"]
    (known,) = list_terrain(notebook).layers
    assert known.layer.ground == "surface"  # said once, it holds until something else is said


def test_what_was_said_of_a_raster_outlives_its_change(notebook: Notebook, tmp_path: Path) -> None:
    path = write_tif(tmp_path / "a.tif")
    add_terrain(notebook, [path], vertical_error_m=3.0, unit="ft")
    write_tif(path, slope(50, 50))
    assert list_terrain(notebook).layers[0].state == "changed"
    (added,) = add_terrain(notebook, [path]).added
    assert added.outcome == "brought up to date"
    assert (added.layer.unit_m, added.layer.vertical_error_m) == (0.3048, 3.0)
    assert list_terrain(notebook).layers[0].state == "there"
    path.unlink()
    assert list_terrain(notebook).layers[0].state == "gone"


def test_what_covers_a_place_and_how_far(tmp_path: Path) -> None:
    """60 × 40 cells of 10 m, twice side by side, on 100 × 100 of 30 m; UTM's scale is 0.9996."""
    write_tif(tmp_path / "a.tif")
    write_tif(tmp_path / "b.tif", west=WEST + 600)
    write_tif(tmp_path / "c.tif", np.zeros((100, 100), "int16"), cell=30.0)
    layers = open_terrain(tmp_path).layers
    fine, coarse = covering(layers, *spot(20, 10))
    assert fine.rasters == ("a.tif", "b.tif")
    # ten cells up to the edge, a hundred to the right across the seam, each counted whole
    assert fine.nearest_m == pytest.approx(110 / 0.9996, abs=0.1)
    assert fine.farthest_m == pytest.approx(1000 / 0.9996, abs=0.1)
    assert coarse.rasters == ("c.tif",)
    assert coarse.farthest_m == pytest.approx(97 * 30 / 0.9996, abs=0.1)
    assert [one.rasters for one in covering(layers, *spot(200, 100))] == [("c.tif",)]
    assert covering(layers, 0.0, 0.0) == ()


def test_a_gap_between_tiles_ends_the_cover(tmp_path: Path) -> None:
    write_tif(tmp_path / "a.tif")
    write_tif(tmp_path / "b.tif", west=WEST + 700)
    (cover,) = covering(open_terrain(tmp_path).layers, *spot(20, 10))
    assert cover.farthest_m == pytest.approx(400, abs=1)


def test_each_subject_is_told_its_ground(notebook: Notebook, tmp_path: Path) -> None:
    for name, place in (("arch", spot(20, 10)), ("landing stage", (10.0, 10.0))):
        with notebook.writing():
            add_subject(
                notebook,
                Subject(
                    name=name,
                    place=Place(
                        latitude_deg=place[0],
                        longitude_deg=place[1],
                        error_m=10.0,
                        error_basis="given",
                    ),
                ),
            )
    assert list_terrain(notebook).subjects == ()
    add_terrain(notebook, [write_tif(tmp_path / "a.tif")])
    found = {one.subject: one.by for one in list_terrain(notebook).subjects}
    assert len(found["arch"]) == 1
    assert found["landing stage"] == ()


def test_rasters_are_forgotten_by_any_of_their_names(notebook: Notebook, tmp_path: Path) -> None:
    tiles = tmp_path / "tiles"
    tiles.mkdir()
    for number in range(3):
        write_tif(tiles / f"{number}.tif", west=WEST + 600 * number)
    vrt = write_vrt(tiles / "all.vrt", *(source(f"{n}.tif", n) for n in range(3)))
    names = {
        "0.tif": 1,
        str(tiles / "1.tif"): 1,
        str(tiles): 3,
        str(vrt): 3,
    }
    for name, count in names.items():
        add_terrain(notebook, [vrt if name == str(vrt) else tiles])
        assert len(forget_terrain(notebook, [name])) == count
        for known in list_terrain(notebook).layers:
            forget_terrain(notebook, [str(known.layer.id)])
    add_terrain(notebook, [tiles / "0.tif"])
    (known,) = list_terrain(notebook).layers
    assert forget_terrain(notebook, [str(known.layer.id)])[0].path.endswith("0.tif")
    assert (tiles / "0.tif").exists()
    add_terrain(notebook, [tiles / "0.tif"])
    with pytest.raises(NotFound, match="'nowhere'"):
        forget_terrain(notebook, ["0.tif", "nowhere"])
    assert len(list_terrain(notebook).layers) == 1  # all of them, or none
