"""GeoJSON as we write it, against RFC 7946 (The GeoJSON Format, August 2016) and GDAL."""

import json
from pathlib import Path

import pyogrio
import pytest

from backbearing.plans.exporting import Export, ExportedSubject
from backbearing.records import Bearing, CameraPosition, Place, Subject
from backbearing.writers.geojson import geojson_text

HOSTILE = "</script>${x}\u202e`"


def place(latitude_deg: float, longitude_deg: float) -> Place:
    return Place(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        height_m=437.0,
        error_m=40.0,
        error_basis="assumed: under walls",
    )


@pytest.fixture(scope="module")
def text() -> str:
    bearing = Bearing(true_deg=209.0, error_deg=2.0, as_written="215M")
    camera = CameraPosition(place=place(47.0601, -21.0302), bearing=bearing, distance_m=8.0)
    return geojson_text(
        Export(
            subjects=(
                ExportedSubject(
                    subject=Subject(name="winding house", place=place(47.06, -21.03)),
                    camera_positions=(camera,),
                ),
                ExportedSubject(
                    subject=Subject(name=HOSTILE, place=place(-89.5, 180.0)), camera_positions=()
                ),
            )
        )
    )


def test_it_is_a_feature_collection_without_a_crs(text: str) -> None:
    """RFC 7946, sections 3.3 and 4."""
    read = json.loads(text)
    assert read["type"] == "FeatureCollection"
    assert "crs" not in read
    assert {f["type"] for f in read["features"]} == {"Feature"}
    assert {f["geometry"]["type"] for f in read["features"]} == {"Point"}


def test_longitude_stands_first_and_within_its_range(text: str) -> None:
    """RFC 7946, section 3.1.1."""
    points = [f["geometry"]["coordinates"] for f in json.loads(text)["features"]]
    assert points[0] == [-21.03, 47.06]
    assert all(-180 <= lon <= 180 and -90 <= lat <= 90 for lon, lat in points)


def test_missing_values_are_null_and_names_survive(text: str) -> None:
    subject, camera, hostile = (f["properties"] for f in json.loads(text)["features"])
    assert subject["tall_m"] is None
    assert camera["bearing_true_deg"] == 209.0
    assert camera["subject"] == "winding house"
    assert hostile["name"] == HOSTILE


def test_gdal_opens_it(text: str, tmp_path: Path) -> None:
    target = tmp_path / "subjects.geojson"
    target.write_text(text, encoding="utf-8")
    info = pyogrio.read_info(target)
    assert (info["features"], info["geometry_type"], info["crs"]) == (3, "Point", "EPSG:4326")


def test_nothing_on_record_is_an_empty_collection() -> None:
    assert json.loads(geojson_text(Export(subjects=())))["features"] == []
