"""What we write against the GPX 1.1 schema's rules, and in GDAL.

Rules: https://www.topografix.com/GPX/1/1/gpx.xsd (wptType: the order of its children, the
bounds of latitudeType −90…90 and longitudeType −180…<180, decimals without exponents), as
seen in public copies of it. GDAL's GPX driver opens the file through pyogrio.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree

import pyogrio
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.plans.exporting import Export, ExportedSubject
from backbearing.readers.gpx import read_gpx
from backbearing.records import Bearing, CameraPosition, Place, Subject
from backbearing.writers.gpx import gpx_text

NAMESPACE = "{http://www.topografix.com/GPX/1/1}"
WPT_CHILDREN = [
    *("ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym"),
    *("type", "fix", "sat", "hdop", "vdop", "pdop", "ageofdgpsdata", "dgpsid", "extensions"),
]
XSD_DECIMAL = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)")


def place(latitude_deg: float, longitude_deg: float, height_m: float | None = None) -> Place:
    return Place(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        height_m=height_m,
        error_m=20.0,
        error_basis="assumed: trees",
    )


def export(*subjects: Subject) -> Export:
    camera = CameraPosition(
        place=place(47.0029, -20.9997, 262.0),
        bearing=Bearing(true_deg=209.0, error_deg=2.0, as_written="215M", declination_deg=-6.0),
        distance_m=8.0,
    )
    return Export(
        subjects=tuple(ExportedSubject(subject=s, camera_positions=(camera,)) for s in subjects)
    )


WINDING_HOUSE = Subject(
    name="winding house",
    place=place(47.003, -21.0, 260.0),
    state="scouted",
    words="drum still in place",
    blocked="sun dead ahead",
    next_time="be there by ten",
    marked_at=datetime(2026, 3, 14, 15, 32, tzinfo=UTC),
)


def check_against_the_schema(text: str) -> None:
    root = ElementTree.fromstring(text)
    assert root.tag == f"{NAMESPACE}gpx"
    assert root.attrib["version"] == "1.1"
    assert root.attrib["creator"]
    for point in root:
        assert point.tag == f"{NAMESPACE}wpt"
        assert XSD_DECIMAL.fullmatch(point.attrib["lat"])
        assert XSD_DECIMAL.fullmatch(point.attrib["lon"])
        assert -90 <= float(point.attrib["lat"]) <= 90
        assert -180 <= float(point.attrib["lon"]) < 180
        children = [WPT_CHILDREN.index(child.tag.removeprefix(NAMESPACE)) for child in point]
        assert children == sorted(set(children))
        for child in point:
            if child.tag == f"{NAMESPACE}ele":
                assert XSD_DECIMAL.fullmatch(child.text or "")
            if child.tag == f"{NAMESPACE}time":
                assert (child.text or "").endswith("Z")


def test_the_schemas_rules() -> None:
    check_against_the_schema(gpx_text(export(WINDING_HOUSE)))


@pytest.mark.parametrize("longitude_deg", [179.99999999, -180.0, 1e-7, -5e-8, 0.0])
def test_they_hold_at_the_edges_of_the_globe(longitude_deg: float) -> None:
    for latitude_deg in (90.0, -90.0, 1e-9, 0.0):
        edge = Subject(name="edge", place=place(latitude_deg, longitude_deg, 1e-6))
        check_against_the_schema(gpx_text(export(edge)))


@given(st.text(max_size=40), st.text(max_size=40))
def test_they_hold_for_any_words(name: str, words: str) -> None:
    text = gpx_text(export(Subject(name=name, place=place(47, -21), words=words)))
    text.encode()
    check_against_the_schema(text)


def test_gdal_opens_it(tmp_path: Path) -> None:
    path = tmp_path / "subjects.gpx"
    path.write_text(gpx_text(export(WINDING_HOUSE)), encoding="utf-8")
    found = pyogrio.read_dataframe(path, layer="waypoints")
    assert found["name"].tolist() == ["winding house", "winding house, camera"]
    assert found["type"].tolist() == ["subject", "camera position"]
    assert found.geometry.x.tolist() == [-21.0, -20.9997]
    assert found["ele"].tolist() == [260.0, 262.0]
    assert "blocked: sun dead ahead" in found["cmt"][0]


def test_our_reader_reads_it_without_a_fault() -> None:
    file = read_gpx("subjects.gpx", content=gpx_text(export(WINDING_HOUSE)).encode())
    assert file.faults == ()
    assert [w.name for w in file.waypoints] == ["winding house", "winding house, camera"]
    assert file.waypoints[0].time == WINDING_HOUSE.marked_at


def test_the_same_records_give_the_same_bytes() -> None:
    assert gpx_text(export(WINDING_HOUSE)) == gpx_text(export(WINDING_HOUSE))
