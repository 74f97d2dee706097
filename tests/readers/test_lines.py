"""Lines from GeoJSON: what RFC 7946 allows, and what strangers send."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadFile
from backbearing.readers import lines as reader
from backbearing.readers.lines import looks_like_lines, read_lines
from backbearing.records import LinesFile

STREAM = [[8.0, 46.0], [8.01, 46.01, 512.0], [8.02, 46.01]]


def feature(geometry: Any, **properties: Any) -> dict[str, Any]:
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def read(tree: Any) -> LinesFile:
    return read_lines("lines.geojson", content=json.dumps(tree).encode())


def test_lines_come_with_name_kind_and_order() -> None:
    found = read(
        {
            "type": "FeatureCollection",
            "features": [
                feature({"type": "LineString", "coordinates": STREAM}, name="it", kind="Beck "),
                feature({"type": "Point", "coordinates": [8, 46]}, kind="stream"),
                feature(None),
                feature({"type": "MultiLineString", "coordinates": [STREAM, STREAM[:2]]}),
            ],
        }
    )
    assert [line.kind for line in found.lines] == ["stream", "other", "other"]
    assert found.lines[0].name == "it"
    assert found.lines[0].latitude_deg == pytest.approx([46.0, 46.01, 46.01])
    assert found.lines[2].source == "feature 4"
    assert found.others == 2
    assert found.faults == ()


@pytest.mark.parametrize(
    ("tags", "kind"),
    [
        ({"waterway": "stream"}, "stream"),
        ({"waterway": "canal"}, "leat"),
        ({"highway": "path"}, "path"),
        ({"natural": "arete"}, "ridge"),
        ({"natural": "coastline"}, "shore"),
        ({"highway": "motorway"}, "other"),
        ({"kind": ["stream"]}, "other"),
        ({"waterway": {"a": 1}}, "other"),
        ({"kind": "ridge", "waterway": "stream"}, "ridge"),
    ],
)
def test_kinds_come_from_open_map_tags_too(tags: dict[str, Any], kind: str) -> None:
    found = read(feature({"type": "LineString", "coordinates": STREAM}, **tags))
    assert found.lines[0].kind == kind


def test_the_rim_of_a_lake_is_its_shore() -> None:
    ring = [*STREAM, STREAM[0]]
    found = read(feature({"type": "Polygon", "coordinates": [ring, ring]}, natural="water"))
    assert [line.kind for line in found.lines] == ["shore", "shore"]


def test_a_bare_geometry_and_a_collection_of_them_are_geojson_too() -> None:
    line = {"type": "LineString", "coordinates": STREAM}
    assert len(read(line).lines) == 1
    assert len(read({"type": "GeometryCollection", "geometries": [line, line]}).lines) == 2
    deep: Any = line
    for _ in range(3):
        deep = {"type": "GeometryCollection", "geometries": [deep]}
    assert read(deep).lines == ()  # nested collections are left out, and counted
    assert read(deep).others == 1


@pytest.mark.parametrize(
    "coordinates",
    [
        [[8.0, 46.0]],
        [[8.0, 46.0], [181.0, 46.0]],
        [[8.0, 46.0], [8.0, -90.5]],
        [[8.0, 46.0], [8.0]],
        [[8.0, 46.0], ["8", "46"]],
        [[8.0, 46.0], [True, False]],
        [[8.0, 46.0], None],
        [[8.0, 46.0], [1e400, 46.0]],
        [[8.0, 46.0], [10**400, 46.0]],
        "8 46, 9 46",
        None,
    ],
)
def test_a_feature_with_a_position_that_is_none_is_dropped_and_said(coordinates: Any) -> None:
    good = feature({"type": "LineString", "coordinates": STREAM})
    bad = feature({"type": "LineString", "coordinates": coordinates})
    text = json.dumps({"type": "FeatureCollection", "features": [bad, good]})
    found = read_lines("lines.geojson", content=text.replace("Infinity", "1e400").encode())
    assert len(found.lines) == 1
    assert [fault.line for fault in found.faults] == [1]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"[1, 2]",
        b'{"type": "Topology"}',
        b'{"type": "FeatureCollection", "features": 3}',
        b'{"type": "LineString", "coordinates": [[NaN, 1], [2, 3]]}',
        b"\xff\xfe\x00",
        b"[" * 200_000,
        b'{"a":' * 200_000,
    ],
)
def test_what_is_no_geojson_is_refused(content: bytes) -> None:
    with pytest.raises(BadFile):
        read_lines("lines.geojson", content=content)


@pytest.mark.parametrize(
    ("name", "good"),
    [
        ("urn:ogc:def:crs:OGC:1.3:CRS84", True),
        ("urn:ogc:def:crs:EPSG::4326", True),
        ("urn:ogc:def:crs:EPSG::2056", False),
        (None, False),
    ],
)
def test_another_reference_system_is_refused(name: Any, good: bool) -> None:
    tree = feature({"type": "LineString", "coordinates": STREAM})
    tree["crs"] = {"type": "name", "properties": {"name": name}}
    if good:
        assert read(tree).lines
    else:
        with pytest.raises(BadFile, match="WGS 84"):
            read(tree)


def test_sizes_are_capped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader, "MOST_POINTS", 4)
    with pytest.raises(BadFile, match="points"):
        read(feature({"type": "MultiLineString", "coordinates": [STREAM, STREAM]}))
    monkeypatch.setattr(reader, "MOST_BYTES", 40)
    with pytest.raises(BadFile, match="MB"):
        read(feature({"type": "LineString", "coordinates": STREAM}))


def test_names_come_without_control_characters() -> None:
    line = {"type": "LineString", "coordinates": STREAM}
    found = read(feature(line, name="a\x1b[31m\u202eb\nc" + "x" * 999))
    assert found.lines[0].name.startswith("a[31mb c")
    assert len(found.lines[0].name) == reader.LONGEST_NAME


JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.floats(-200, 200) | st.text(max_size=4),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["type", "features", "geometry", "coordinates", "properties", "kind"]),
            inner | st.sampled_from(["Feature", "FeatureCollection", "LineString", "Polygon"]),
            max_size=4,
        )
    ),
    max_leaves=12,
)


@given(JSON_VALUES)
def test_any_json_gives_lines_or_a_bad_file(tree: Any) -> None:
    try:
        found = read(tree)
    except BadFile:
        return
    for line in found.lines:
        assert line.longitude_deg.shape == line.latitude_deg.shape
        assert np.all(np.abs(line.latitude_deg) <= 90.0)


def test_geojson_is_known_by_its_content() -> None:
    assert looks_like_lines(b' \xef\xbb\xbf {"type": "FeatureCollection", "features": []}')
    assert not looks_like_lines(b"seen arch, 47.0 N 21.0 W")
    assert not looks_like_lines(b"<gpx>")


def test_the_demos_water_is_read() -> None:
    here = Path(__file__).parents[2] / "maps" / "water.geojson"
    found = read_lines(here)
    assert found.faults == ()
    assert {line.kind for line in found.lines} <= {"leat", "stream", "shore"}
