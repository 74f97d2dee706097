"""The notebook in the hands of others: GDAL (through pyogrio) and geopandas.

Sources: OGC 12-128, GeoPackage Encoding Standard (requirements as numbered there; clause 2.1.3
for the blobs, the RTree Spatial Indexes extension for the index). GDAL is the reference reader
and writer; its own index triggers are taken from a file it makes during the test.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import geopandas
import numpy as np
import pyogrio
import pytest
import shapely
from tests.notebook import samples

from backbearing.notebook import Notebook, lines, open_notebook, tracks
from backbearing.notebook.bin import discard, restore
from backbearing.notebook.integrity import check
from backbearing.notebook.kit import put_entry
from backbearing.notebook.photos import store_photo
from backbearing.notebook.plates import add_plate
from backbearing.notebook.subjects import (
    add_camera_position,
    add_note,
    add_subject,
    find_subject,
    list_subjects,
    update_subject,
)
from backbearing.notebook.surroundings import add_reading, set_trees
from backbearing.records import Holder, Place, Plate, Segment, Subject, Waypoint

# geopandas has no place for M: GDAL says so each time it meets our segments
drops_m = pytest.mark.filterwarnings("ignore:Measured .M. geometry types:UserWarning")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "notebook.gpkg"


@pytest.fixture
def notebook(path: Path) -> Iterator[Notebook]:
    bare = Segment(  # neither heights nor times
        longitude_deg=np.array([-21.0, -21.1]),
        latitude_deg=np.array([47.0, 47.1]),
        height_m=np.array([np.nan, np.nan]),
        time=np.array(["NaT", "NaT"], dtype="datetime64[ms]"),
    )
    walked = samples.track(samples.segment(3), samples.segment(1), bare)
    with open_notebook(path, create=True) as opened:
        with opened.writing():
            original_id = tracks.store_original(opened, samples.original())
            tracks.store_track(opened, original_id, walked, samples.summary(walked))
            tracks.store_route(opened, original_id, samples.route())
            tracks.store_waypoint(
                opened, original_id, Waypoint(latitude_deg=47.0, longitude_deg=-21.0, name="012")
            )
            subject = add_subject(opened, replace(samples.subject(), marked_at=samples.NOON))
            add_camera_position(opened, samples.camera_position(subject.id))
            add_note(opened, samples.note(subject.id))
            add_reading(opened, samples.reading(subject.id), subject.place)
            set_trees(opened, subject.id, samples.trees())
            lines.store_line(opened, original_id, samples.line())
            lines.add_passage(opened, samples.passage())
            store_photo(opened, samples.photo(), b"\xff\xd8\xff")
            put_entry(opened, Holder(name="1"))
            add_plate(opened, Plate(holder="1", side="A", batch="box"))
        yield opened


LAYERS = {
    "segments": "LineString Z",
    "waypoints": "Point Z",
    "routes": "LineString Z",
    "subjects": "Point Z",
    "camera_positions": "Point Z",
    "edge_readings": "Point Z",
    "lines": "LineString Z",
    "passages": "Point Z",
    "photos": "Point Z",
    "tracks": None,
    "notes": None,
    "trees": None,
    "passage_reports": None,
    "kit": None,
    "plates": None,
    "clues": None,
    "looks": None,
}


@drops_m
def test_gdal_lists_each_layer_with_its_geometry_and_no_table_of_ours(
    notebook: Notebook, path: Path
) -> None:
    assert dict(pyogrio.list_layers(path).tolist()) == LAYERS


def test_gdal_knows_the_segments_as_measured_3d_lines(notebook: Notebook, path: Path) -> None:
    with pytest.warns(UserWarning, match="Original type 'Measured 3D LineString'"):
        pyogrio.read_info(path, layer="segments")


@drops_m
@pytest.mark.parametrize("layer", [layer for layer, shape in LAYERS.items() if shape])
def test_gdal_finds_every_layer_in_wgs_84_with_its_extent(
    notebook: Notebook, path: Path, layer: str
) -> None:
    info = pyogrio.read_info(path, layer=layer)
    assert info["crs"] == "EPSG:4326"
    assert info["features"] >= 1
    declared = info["total_bounds"]
    frame = geopandas.read_file(path, layer=layer)
    assert tuple(frame.total_bounds) == pytest.approx(declared, abs=0)


@drops_m
def test_gdal_reads_each_fix_with_height_and_unix_time(notebook: Notebook, path: Path) -> None:
    """M of 2024-05-01T10:00:00.250Z is 1714557600.25 s (`date -d`); the next are 5 s apart.

    pyogrio's GDAL carries SpatiaLite, whose functions take the blobs apart independently.
    """
    fix = "ST_PointN(geom, n.value)"
    frame = pyogrio.read_dataframe(
        path,
        sql=f"SELECT number, points, ST_X({fix}) AS x, ST_Y({fix}) AS y, ST_Z({fix}) AS z, "
        f"ST_M({fix}) AS m FROM segments JOIN "
        "(SELECT 1 AS value UNION SELECT 2 UNION SELECT 3) AS n "
        "WHERE n.value <= ST_NPoints(geom) ORDER BY number, n.value",
        sql_dialect="SQLITE",
    )
    first, lone, bare = (frame[frame["number"] == number] for number in range(3))
    assert first[["x", "y", "z", "m"]].to_numpy() == pytest.approx(
        np.array(
            [
                [-21.0, 47.0, 10.0, 1714557600.25],
                [-20.9999, 47.0002, 25.0, 1714557605.25],
                [-20.9998, 47.0004, 40.0, 1714557610.25],
            ]
        ),
        rel=1e-15,
    )
    assert lone["m"].tolist() == [1714557600.25] * 2  # one fix, written twice
    assert lone["points"].tolist() == [1, 1]
    assert bare["x"].tolist() == [-21.0, -21.1]
    assert bare[["z", "m"]].isna().all(axis=None)


@drops_m
def test_geopandas_reads_every_layer_as_a_table(notebook: Notebook, path: Path) -> None:
    frames = {layer: geopandas.read_file(path, layer=layer) for layer in LAYERS}
    subject = frames["subjects"].iloc[0]
    assert subject["name"] == "Winding house"
    assert subject.geometry.z == 212.5
    assert subject["marked_at"].isoformat() == "2024-05-01T12:00:00.123000+00:00"
    position = frames["camera_positions"].iloc[0]
    assert position["bearing_true_deg"] == 204.5
    assert position["distance_m"] == 8.0
    assert list(frames["segments"].geometry.map(lambda line: len(line.coords))) == [3, 2, 2]
    assert frames["tracks"].iloc[0]["length_m"] == 1234.5
    assert frames["notes"].iloc[0]["text"] == "left of the leat"
    assert np.isnan(frames["waypoints"].geometry.iloc[0].z)


def test_the_header_says_geopackage_1_3(notebook: Notebook, path: Path) -> None:
    """Requirements 1 and 2: the offsets are those of the SQLite file format."""
    head = path.read_bytes()[:100]
    assert head[:16] == b"SQLite format 3\x00"
    assert head[68:72] == b"GPKG"
    assert int.from_bytes(head[60:64], "big") == 10300


def test_our_points_are_gdals_points_byte_for_byte(notebook: Notebook, tmp_path: Path) -> None:
    other = tmp_path / "other.gpkg"
    geopandas.GeoDataFrame(geometry=[shapely.Point(-21.02, 47.01, 212.5)], crs="EPSG:4326").to_file(
        other, layer="points", engine="pyogrio", GEOMETRY_NAME="geom"
    )
    theirs = sqlite3.connect(other)
    (blob,) = theirs.execute("SELECT geom FROM points").fetchone()
    theirs.close()
    assert notebook.rows("SELECT geom FROM subjects")[0]["geom"] == blob


# ---------------------------------------------------------------- a GIS writes


def test_what_gdal_adds_to_a_layer_is_a_subject(notebook: Notebook, path: Path) -> None:
    geopandas.GeoDataFrame(
        {"name": ["Powder house"], "words": ["below the incline"]},
        geometry=[shapely.Point(-21.03, 47.02, 99.0)],
        crs="EPSG:4326",
    ).to_file(path, layer="subjects", engine="pyogrio", mode="a")
    added = find_subject(notebook, "powder house")
    assert added.words == "below the incline"
    assert (added.place.longitude_deg, added.place.latitude_deg) == (-21.03, 47.02)
    assert added.place.height_m == 99.0
    with open_notebook(path) as again, again.writing():
        add_subject(again, samples.subject("Arch"))  # and the notebook stays ours


def with_index_by_gdal(path: Path, tmp_path: Path) -> None:
    """Add to our subjects the very index and counters GDAL makes for a layer of its own."""
    other = tmp_path / "indexed.gpkg"
    geopandas.GeoDataFrame(
        {"name": ["x"]}, geometry=[shapely.Point(0, 0, 0)], crs="EPSG:4326"
    ).to_file(other, layer="subjects", engine="pyogrio", GEOMETRY_NAME="geom", FID="id")
    theirs = sqlite3.connect(other)
    made = theirs.execute(
        "SELECT sql FROM sqlite_master WHERE (type = 'trigger' AND tbl_name = 'subjects') "
        "OR name = 'gpkg_ogr_contents'"
    ).fetchall()
    registered = theirs.execute("SELECT * FROM gpkg_extensions").fetchall()
    theirs.close()
    assert sum("rtree" in sql for (sql,) in made) >= 7
    with open_notebook(path) as ours:
        sql = ours.connection.execute
        sql("CREATE VIRTUAL TABLE rtree_subjects_geom USING rtree(id, minx, maxx, miny, maxy)")
        sql(
            "INSERT INTO rtree_subjects_geom SELECT id, ST_MinX(geom), ST_MaxX(geom), "
            "ST_MinY(geom), ST_MaxY(geom) FROM subjects WHERE NOT ST_IsEmpty(geom)"
        )
        for (statement,) in made:
            sql(statement)
        sql("INSERT INTO gpkg_ogr_contents SELECT 'subjects', count(*) FROM subjects")
        ours.connection.executemany(
            "INSERT INTO gpkg_extensions VALUES (?, ?, ?, ?, ?)", registered
        )


def test_a_spatial_index_added_by_a_gis_follows_all_we_write(
    notebook: Notebook, path: Path, tmp_path: Path
) -> None:
    notebook.close()
    with_index_by_gdal(path, tmp_path)

    def named_within(west: float, south: float, east: float, north: float) -> set[str]:
        """GDAL answers this from the index."""
        frame = pyogrio.read_dataframe(path, layer="subjects", bbox=(west, south, east, north))
        return set(frame["name"])

    def at(latitude_deg: float, longitude_deg: float) -> Place:
        return samples.place(latitude_deg, longitude_deg)

    with open_notebook(path) as ours:
        assert not ours.readonly
        with ours.writing():
            arch = add_subject(ours, Subject(name="Arch", place=at(47.5, -21.5)))
        assert named_within(-21.6, 47.4, -21.4, 47.6) == {"Arch"}
        with ours.writing():
            update_subject(ours, replace(arch, place=at(10.0, 20.0)))
        assert named_within(-21.6, 47.4, -21.4, 47.6) == set()
        assert named_within(19, 9, 21, 11) == {"Arch"}
        with ours.writing():
            binned = discard(ours, "subject", arch.id or 0)
        assert named_within(19, 9, 21, 11) == set()
        with ours.writing():
            restore(ours, binned.id)
        assert named_within(19, 9, 21, 11) == {"Arch"}
        assert check(ours) == []
        (count,) = ours.rows("SELECT feature_count FROM gpkg_ogr_contents")[0]
        assert count == len(list_subjects(ours)) == 2
        assert ours.rows("SELECT rtreecheck('rtree_subjects_geom')")[0][0] == "ok"


@pytest.mark.parametrize(
    ("shape", "box"),
    [
        (shapely.LineString([(0, 5, 1), (3, 1, 2), (2, 9, 0)]), (0, 1, 3, 9)),
        (shapely.MultiLineString([[(0, 5), (3, 1)], [(9, 9), (8, 8)]]), (0, 1, 9, 9)),
        (shapely.MultiPoint([(4, 5), (3, 7)]), (3, 5, 4, 7)),
        (shapely.Point(4, 5), (4, 5, 4, 5)),
    ],
    ids=["line", "lines", "points", "point"],
)
def test_the_functions_of_an_index_agree_with_shapely_on_gdals_blobs(
    notebook: Notebook, tmp_path: Path, shape: shapely.Geometry, box: tuple[float, ...]
) -> None:
    other = tmp_path / "shape.gpkg"
    geopandas.GeoDataFrame(geometry=[shape], crs="EPSG:4326").to_file(
        other, layer="s", engine="pyogrio", GEOMETRY_NAME="geom"
    )
    theirs = sqlite3.connect(other)
    (blob,) = theirs.execute("SELECT geom FROM s").fetchone()
    theirs.close()
    asked = "SELECT ST_IsEmpty(?1), ST_MinX(?1), ST_MinY(?1), ST_MaxX(?1), ST_MaxY(?1)"
    assert tuple(notebook.connection.execute(asked, (blob,)).fetchone()) == (0, *box)
    assert shape.bounds == box


def test_an_empty_shape_is_empty_to_an_index(notebook: Notebook) -> None:
    empty = bytes.fromhex("47500011e6100000010200000000000000")  # LINESTRING EMPTY
    row = notebook.connection.execute(
        "SELECT ST_IsEmpty(?1), ST_MinX(?1), ST_IsEmpty(NULL)", (empty,)
    ).fetchone()
    assert tuple(row) == (1, None, None)
